"""The mail that carries an invitation, in the shape mail programs show as one (RFC 6047, 2.4)."""

import hashlib
import re
from dataclasses import dataclass
from datetime import UTC, datetime
from email.headerregistry import Address
from email.message import EmailMessage
from email.policy import SMTP

from guiding.calendars.invite import invite_ics, recipients
from guiding.calendars.records import Invite, Method, Person

_MEDIA_TYPE = re.compile(r"[a-z]+/[a-z0-9.+-]+")


@dataclass(frozen=True, slots=True)
class Enclosure:
    """A further file of the mail."""

    name: str
    media_type: str
    content: bytes

    def __post_init__(self) -> None:
        if not _MEDIA_TYPE.fullmatch(self.media_type):
            raise ValueError(
                f"{self.media_type!r} is no media type; write it like application/pdf."
            )


def invite_message(
    invite: Invite,
    recipient: str,
    subject: str,
    text: str,
    html: str = "",
    sender: Person | None = None,
    reply_to: Person | None = None,
    sent_at: datetime | None = None,
    message_id: str = "",
    enclosures: tuple[Enclosure, ...] = (),
) -> EmailMessage:
    """The mail to one attendee: words, then the invitation, then the same bytes as a file.

    multipart/mixed( multipart/alternative( text/plain, [text/html,] text/calendar; method=... ),
    invite.ics, further files ). The calendar is the last alternative, in base64, its `method`
    equal to the METHOD inside. The same arguments give the same bytes. Line breaks in subject and
    names become blanks; a recipient who is not an attendee is refused with ValueError.
    """
    if invite.method is None or invite.organizer is None:
        raise ValueError("An entry without METHOD is no message; set REQUEST or CANCEL first.")
    if recipient not in recipients(invite):
        raise ValueError(f"{recipient} is not an attendee; a mail program would show no buttons.")
    calendar = invite_ics(invite)
    seed = hashlib.sha256(b"\0".join([calendar, recipient.encode(), text.encode()])).hexdigest()
    sender = sender or invite.organizer
    message = EmailMessage(policy=SMTP)
    message["From"] = _address(sender)
    message["To"] = _address(_addressee(invite, recipient))
    if reply_to:
        message["Reply-To"] = _address(reply_to)
    message["Subject"] = _one_line(subject)
    message["Date"] = (sent_at or invite.dtstamp).astimezone(UTC)
    domain = sender.mail.rpartition("@")[2]
    message["Message-ID"] = _one_line(message_id) or f"<{seed[:32]}@{domain}>"
    message["MIME-Version"] = "1.0"
    message["Content-Type"] = "multipart/mixed"
    message.set_boundary(f"=_mixed_{seed[:24]}")
    _attach(message, _alternatives(calendar, invite.method, text, html, seed))
    _attach(message, _calendar_part(calendar, invite.method, as_file=True))
    for one in enclosures:
        _attach(message, _enclosed(one))
    return message


def _one_line(text: str) -> str:
    return " ".join("".join(c if c.isprintable() else " " for c in text).split())


def _address(person: Person) -> Address:
    return Address(display_name=_one_line(person.name), addr_spec=person.mail)


def _addressee(invite: Invite, recipient: str) -> Person:
    name = next(one.name for one in invite.attendees if one.mail == recipient)
    return Person(name, recipient)


def _part() -> EmailMessage:
    return EmailMessage(policy=SMTP)


def _attach(whole: EmailMessage, part: EmailMessage) -> None:
    del part["MIME-Version"]  # it belongs to the mail, not to its parts
    whole.attach(part)


def _alternatives(calendar: bytes, method: Method, text: str, html: str, seed: str) -> EmailMessage:
    part = _part()
    part["Content-Type"] = "multipart/alternative"
    part.set_boundary(f"=_words_{seed[24:48]}")
    plain = _part()
    plain.set_content(text, cte="quoted-printable")
    _attach(part, plain)
    if html:
        rich = _part()
        rich.set_content(html, subtype="html", cte="quoted-printable")
        _attach(part, rich)
    _attach(part, _calendar_part(calendar, method, as_file=False))
    return part


def _calendar_part(calendar: bytes, method: Method, as_file: bool) -> EmailMessage:
    # As bytes in base64: text would have its line breaks rewritten on the way.
    part = _part()
    params = {"method": str(method), "charset": "UTF-8"}
    if as_file:
        params["name"] = "invite.ics"
    part.set_content(
        calendar,
        maintype="text",
        subtype="calendar",
        cte="base64",
        params=params,
        disposition="attachment" if as_file else None,
        filename="invite.ics" if as_file else None,
    )
    return part


def _enclosed(one: Enclosure) -> EmailMessage:
    main, _, sub = one.media_type.partition("/")
    part = _part()
    part.set_content(
        one.content,
        maintype=main,
        subtype=sub,
        cte="base64",
        disposition="attachment",
        filename=_one_line(one.name),
    )
    return part
