"""What an attendee answers: a REPLY read, judged and taken over (RFC 5546, 3.2.3)."""

from dataclasses import dataclass, replace
from datetime import UTC, datetime
from email import message_from_bytes, policy
from email.message import EmailMessage

from icalendar import Calendar, Event

from guiding.calendars.invite import recipients
from guiding.calendars.records import Answer, Invite, Person

_LARGEST_BYTES = 256 * 1024
# What the library raises on input that is no calendar, or a damaged one.
_UNREADABLE = (ValueError, KeyError, IndexError, TypeError, AttributeError)


@dataclass(frozen=True, slots=True)
class Reply:
    """One attendee's answer to one version of one event."""

    uid: str
    mail: str
    name: str
    answer: Answer
    sequence: int
    dtstamp: datetime
    comment: str = ""
    sender: str = ""
    """The address in the head of the mail; empty where it names none, or several."""
    text: str = ""
    """What else the mail says, in plain words."""


def read_reply(data: bytes) -> Reply:
    """The answer in an iCalendar object with METHOD:REPLY.

    Raises ValueError with one sentence when it is no such object, answers for several people, or
    leaves out what says who answered what.
    """
    if len(data) > _LARGEST_BYTES:
        raise ValueError("The answer is larger than any answer is; it was not read.")
    try:
        calendar = Calendar.from_ical(data.decode("utf-8"))
        return _read(calendar)
    except UnicodeDecodeError as wrong:
        raise ValueError("The answer is not in UTF-8; ask for it again.") from wrong
    except _RefusalError as refused:
        raise ValueError(str(refused)) from None
    except _UNREADABLE as wrong:
        raise ValueError("The answer is no calendar object, or a damaged one.") from wrong


def reply_in_mail(data: bytes) -> Reply:
    """The answer in a whole mail: its first part of type text/calendar with method=REPLY.

    Who answers stands in the calendar part; who sent the mail is said beside it, for whoever takes
    the answer over must judge whether the two are one (RFC 6047, 2.3). Raises ValueError when the
    mail holds no answer.
    """
    if len(data) > 40 * _LARGEST_BYTES:
        raise ValueError("The mail is too large to be read for an answer.")
    message = message_from_bytes(data, policy=policy.default)
    assert isinstance(message, EmailMessage)  # noqa: S101 - what the default policy makes
    for part in message.walk():
        if part.get_content_type() != "text/calendar":
            continue
        if str(part.get_param("method", "REPLY")).upper() != "REPLY":
            continue
        payload = part.get_payload(decode=True)
        if isinstance(payload, bytes):
            return replace(read_reply(payload), sender=_sender(message), text=_text(message))
    raise ValueError("The mail holds no calendar answer; read it as an ordinary message.")


def reply_refusal(reply: Reply, invite: Invite, last: Reply | None = None) -> str | None:
    """Why an answer may not be taken over, or None when it stands.

    `invite` is the event as it was last sent, `last` the answer of the same person taken before.
    """
    if reply.uid != invite.uid:
        return "The answer is for another event."
    invited = {mail.lower() for mail in recipients(invite)}
    if reply.mail.lower() not in invited:
        return f"{reply.mail} was not invited to this event; add them first if they should be."
    if reply.sequence < invite.sequence:
        return "The answer is to an older version of the event; wait for one to the new times."
    if reply.sequence > invite.sequence:
        return "The answer is to a version of the event that was never sent."
    if last and (reply.sequence, reply.dtstamp) < (last.sequence, last.dtstamp):
        return "A later answer of the same person is already here."
    return None


def answered(invite: Invite, reply: Reply) -> Invite:
    """The event with an answer taken over; its SEQUENCE stays (RFC 5546, 2.1.4).

    Raises ValueError when the answer may not be taken over, with the reason.
    """
    refusal = reply_refusal(reply, invite)
    if refusal:
        raise ValueError(refusal)
    attendees = tuple(
        replace(one, answer=reply.answer)
        if one.mail and one.mail.lower() == reply.mail.lower()
        else one
        for one in invite.attendees
    )
    return replace(invite, attendees=attendees)


def _sender(message: EmailMessage) -> str:
    try:
        people = [one.addr_spec for head in message.get_all("From", []) for one in head.addresses]
    except _UNREADABLE:
        return ""
    return people[0] if len(people) == 1 else ""


def _text(message: EmailMessage) -> str:
    """Every part that is text, one after the other; what cannot be read is left out."""
    found = []
    for part in message.walk():
        payload = part.get_payload(decode=True)
        if part.get_content_maintype() == "text" and isinstance(payload, bytes):
            found.append(payload.decode("utf-8", "replace"))
    return "\n".join(found)


class _RefusalError(Exception):
    """A sentence for the reader."""


def _read(calendar: Calendar) -> Reply:
    if str(calendar.get("METHOD", "")).upper() != "REPLY":
        raise _RefusalError("The calendar object is no answer: its METHOD is not REPLY.")
    events = [one for one in calendar.subcomponents if isinstance(one, Event)]
    if not events:
        raise _RefusalError("The answer names no event.")
    event = events[0]
    uid, stamp = str(event.get("UID", "")), event.get("DTSTAMP")
    if not uid or stamp is None:
        raise _RefusalError("The answer leaves out which event it is for, or when it was given.")
    if any(str(one.get("UID", "")) != uid for one in events):
        raise _RefusalError("The answer is for several events at once; ask for one answer each.")
    if len(events) > 1 or "RECURRENCE-ID" in event:
        raise _RefusalError("The answer is for one day of a series; these events have no series.")
    person, answer = _who(event)
    when = stamp.dt
    if not isinstance(when, datetime) or when.tzinfo is None:
        raise _RefusalError("The answer does not say in UTC when it was given.")
    sequence = int(event.get("SEQUENCE", 0))
    comment = " ".join(str(event.get("COMMENT", "")).split())
    return Reply(uid, person.mail, person.name, answer, sequence, when.astimezone(UTC), comment)


def _who(event: Event) -> tuple[Person, Answer]:
    attendee = event.get("ATTENDEE")
    if attendee is None or isinstance(attendee, list):
        raise _RefusalError("An answer speaks for one person; this one names none or several.")
    address = str(attendee)
    if not address.lower().startswith("mailto:"):
        raise _RefusalError("The answer gives no mail address of the one who answers.")
    word = str(attendee.params.get("PARTSTAT", "")).upper()
    if word not in set(Answer):
        raise _RefusalError(
            f"The answer says {word!r}; known are accepted, declined and tentative."
        )
    try:
        person = Person(str(attendee.params.get("CN", "")), address[len("mailto:") :])
    except ValueError as wrong:
        raise _RefusalError(str(wrong)) from None
    return person, Answer(word)
