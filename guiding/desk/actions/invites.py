"""Calendars told of a trip: asked, moved, called off; and what they answer."""

from __future__ import annotations

import datetime
from collections.abc import Mapping
from dataclasses import asdict, dataclass, field, replace

from django.core.exceptions import ValidationError
from django.db import transaction

from bookings.actions.invites import (
    keep_answer,
    keep_asked,
    keep_refused,
    keep_taken_off,
    keep_told,
    locked_invite,
)
from bookings.actions.outbox import put_in_outbox, withdraw
from bookings.models import Booking, Business, Message, MessageKind, Trip, TripAttendee, TripInvite
from bookings.queries.messages import quiet_hours, rules
from bookings.rules.messages import URGENT, before_event
from guiding.calendars import records as calendar
from guiding.calendars.message import invite_message
from guiding.calendars.reply import Reply, reply_in_mail, reply_refusal
from guiding.desk.actions.writing import choices_for
from guiding.desk.sheets.answers import answer_address, quotes_link_of
from guiding.desk.sheets.gather import TripFile, gather
from guiding.desk.sheets.invites import (
    Wanted,
    as_json,
    cancel_for,
    event_summary,
    from_json,
    request_for,
    telling,
    wanted,
)
from guiding.desk.sheets.languages import language_of
from guiding.desk.sheets.messages import trip_values, written
from guiding.desk.sheets.moved import KEPT, Meeting, moved_words
from guiding.safety.actions.watch import set_itself

_WITH_INVITE = (
    MessageKind.CONFIRMATION,
    MessageKind.CHANGE,
    MessageKind.TAKEN_OFF,
    MessageKind.CALL_OFF,
)
_KEPT = ("asked", "had")
_CLOSE = datetime.timedelta(hours=2)


@transaction.atomic
def tell_calendars(*, trip_pk: int, at: datetime.datetime, by_rule: bool = True) -> list[Message]:
    """Bring every attendee's calendar into step with a trip; the mails that were written.

    The first REQUEST confirms, the next corrects with a higher SEQUENCE, a CANCEL takes off. Told
    is what the tables say, not what somebody pressed: run again it writes nothing.
    """
    row = locked_invite(trip=Trip(pk=trip_pk))
    file = gather(trip_pk, business=Business.objects.get())
    if file is None or file.trip.status in {Trip.Status.TENTATIVE, Trip.Status.FISHED}:
        return []
    if row is None and file.trip.status == Trip.Status.CANCELLED:
        return []
    known = list(file.trip.attendees.select_related("booking__party__client"))
    before = from_json(row.told["event"]) if row else None
    found = telling(file, before, known, at)
    if row is None and not found.ask:
        return []
    event = found.event
    if found.take_off and event.sequence == 0:
        event = replace(event, sequence=1)
    known_to = _KnownTo(**{name: dict(row.told.get(name, {})) for name in _KEPT} if row else {})
    mails = [
        _ask(file, event, one, found.moved, before, known_to, at, by_rule) for one in found.ask
    ]
    mails += [_take_off(file, event, one, known_to, at, by_rule) for one in found.take_off]
    keep_told(
        trip=file.trip,
        uid=event.uid,
        sequence=event.sequence,
        told={"event": as_json(event), **asdict(known_to)},
        at=at,
    )
    return [mail for mail in mails if mail is not None]


def day_agreed(*, trip_pk: int, at: datetime.datetime) -> None:
    """A price was agreed: the watch is set where that confirmed the day, and the calendars hear.

    Unless the guide tells them by hand.
    """
    set_itself(trip=Trip(pk=trip_pk), at=at)
    if rules()["confirmation"].automatic:
        tell_calendars(trip_pk=trip_pk, at=at)


@dataclass(frozen=True, slots=True)
class _KnownTo:
    """By address: the version last asked for, and the meeting that its reader had before that."""

    asked: dict[str, int] = field(default_factory=dict)
    had: dict[str, object] = field(default_factory=dict)

    def before(self, mail: str, told: calendar.Invite | None, *, reached: bool) -> Meeting | None:
        """What a reader knows: what was told last, unless that never left; None for nothing."""
        if reached and told is not None and mail in self.asked:
            self.had[mail] = KEPT.dump_python(Meeting.of_invite(told), mode="json")
        return KEPT.validate_python(self.had[mail]) if mail in self.had else None

    def forget(self, mail: str) -> None:
        self.asked.pop(mail, None)
        self.had.pop(mail, None)


def _ask(
    file: TripFile,
    event: calendar.Invite,
    one: Wanted,
    moved: bool,
    told: calendar.Invite | None,
    known_to: _KnownTo,
    at: datetime.datetime,
    by_rule: bool,
) -> Message | None:
    reached = not withdraw_older(file.trip, one.mail)
    had = known_to.before(one.mail, told, reached=reached)
    known_to.asked[one.mail] = event.sequence
    row = keep_asked(
        trip=file.trip, booking=one.booking, name=one.name, mail=one.mail, anew=moved, at=at
    )
    kind = MessageKind.CONFIRMATION if had is None else MessageKind.CHANGE
    invite = request_for(event, one, wanted(file))
    links = {"answer": answer_address(row), "moved": moved_words(file, one.booking, had)}
    return _mail(file, kind, invite, one.booking, one.name, one.mail, at, by_rule, links)


def _take_off(
    file: TripFile,
    event: calendar.Invite,
    one: TripAttendee,
    known_to: _KnownTo,
    at: datetime.datetime,
    by_rule: bool,
) -> Message | None:
    known_to.forget(one.mail.lower())
    withdraw_older(file.trip, one.mail)
    keep_taken_off(attendee=one, at=at)
    whole = file.trip.status == Trip.Status.CANCELLED
    kind = MessageKind.CALL_OFF if whole else MessageKind.TAKEN_OFF
    invite = cancel_for(event, one.mail, one.name, whole=whole)
    links = {"choices": choices_for(one.booking, one.mail, at=at)} if whole else {}
    return _mail(file, kind, invite, one.booking, one.name, one.mail, at, by_rule, links)


def _mail(
    file: TripFile,
    kind: MessageKind,
    invite: calendar.Invite,
    booking: Booking,
    name: str,
    mail: str,
    at: datetime.datetime,
    by_rule: bool,
    links: Mapping[str, str],
) -> Message | None:
    first_name = "" if mail == booking.party.client.email.lower() else name.split(" ")[0]
    values = trip_values(file, booking, first_name=first_name, reason=file.trip.cancelled_reason)
    language = language_of(booking)
    words = written(kind, language, {**values, **links})
    invite = replace(invite, summary=event_summary(file, language))

    def whole(message_id: str, sent_at: datetime.datetime) -> bytes:
        message = invite_message(
            invite, mail, words.subject, words.body, message_id=message_id, sent_at=sent_at
        )
        return message.as_bytes()

    return put_in_outbox(
        kind=kind,
        cause=f"invite {invite.uid} {invite.sequence}",
        to_mail=mail,
        to_name=name,
        subject=words.subject,
        body=words.body,
        party=booking.party,
        trip=file.trip,
        mail=whole,
        due_at=leaves_at(file.trip, kind, at=at),
        by_rule=by_rule,
        at=at,
    )


def leaves_at(trip: Trip, kind: str, *, at: datetime.datetime) -> datetime.datetime:
    """When a mail about a trip may go: in daytime, or at once where that would be too late."""
    if kind in URGENT or trip.starts_at - at <= _CLOSE:
        return at
    return before_event(trip.starts_at, 24 * 365, quiet_hours(), at)


def withdraw_older(trip: Trip, mail: str) -> bool:
    """Whether something had not left yet: out of date, it must not arrive behind what is right."""
    waiting = Message.objects.filter(
        trip=trip, to_mail__iexact=mail, kind__in=_WITH_INVITE, state=Message.State.QUEUED
    )
    return bool([withdraw(message=row) for row in waiting])


class StrangerError(ValidationError):
    """An answer in the name of somebody else than its sender."""

    def __init__(self, attendee: TripAttendee, reply: Reply) -> None:
        self.attendee, self.reply = attendee, reply
        sender = reply.sender or "an address that the mail does not name"
        super().__init__(
            {
                "mail": f"The answer of {attendee.mail} came from {sender}. It was not taken over: "
                f"ask {attendee.name or attendee.mail}, or have them press the link in their mail."
            }
        )


def take_answer(*, mail: bytes, at: datetime.datetime) -> TripAttendee:
    """Read the answer in a mail that came back and take it over, or refuse with the reason.

    The sender must be who answers, or the mail quotes their own link. What came from somebody else
    is kept beside the answer that stands.
    """
    try:
        return _taken(mail, at)
    except StrangerError as stranger:
        keep_refused(
            attendee=stranger.attendee,
            answer=stranger.reply.answer,
            sender=stranger.reply.sender,
            at=at,
        )
        raise


@transaction.atomic
def _taken(mail: bytes, at: datetime.datetime) -> TripAttendee:
    try:
        reply = reply_in_mail(mail)
    except ValueError as refusal:
        raise ValidationError({"mail": str(refusal)}) from None
    row = TripInvite.objects.select_related("trip").filter(uid=reply.uid).first()
    attendee = (
        row.trip.attendees.filter(mail__iexact=reply.mail, removed_at=None).first() if row else None
    )
    if row is None:
        raise ValidationError({"mail": "The answer is to no trip of ours."})
    if attendee is None:
        raise ValidationError({"mail": f"{reply.mail} is not on the list of that trip."})
    refusal_words = _refusal(row, attendee, reply)
    if refusal_words:
        raise ValidationError({"mail": refusal_words})
    own = reply.sender.lower() == attendee.mail.lower()
    if not own and not quotes_link_of(reply.text, attendee, at=at):
        raise StrangerError(attendee, reply)
    return keep_answer(
        attendee=attendee,
        answer=reply.answer,
        sequence=reply.sequence,
        stamp=reply.dtstamp,
        comment=reply.comment,
    )


def _refusal(row: TripInvite, attendee: TripAttendee, reply: Reply) -> str | None:
    """Judged by the version this person was told, which may be older than the newest."""
    sequence = int(row.told["asked"].get(attendee.mail.lower(), row.sequence))
    told = replace(
        from_json(row.told["event"]),
        sequence=sequence,
        attendees=(calendar.Attendee(attendee.name, attendee.mail),),
    )
    return reply_refusal(reply, told)
