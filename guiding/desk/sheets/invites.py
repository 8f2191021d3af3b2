"""A trip as an event of a calendar: for invitations, for the feed, and as it was last told."""

from __future__ import annotations

import datetime
from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import Any

from pydantic import TypeAdapter

from bookings.models import Booking, Trip, TripAttendee
from bookings.rules.phones import phone_text
from guiding.calendars import records as calendar
from guiding.calendars.invite import sequence_after
from guiding.desk.sheets.gather import TripFile
from guiding.desk.sheets.languages import language_of
from guiding.papers.words import Words
from guiding.safety.sheets.letterhead import standing_of

STATUS = {
    Trip.Status.TENTATIVE: calendar.Status.TENTATIVE,
    Trip.Status.CONFIRMED: calendar.Status.CONFIRMED,
    Trip.Status.FISHED: calendar.Status.CONFIRMED,
    Trip.Status.CANCELLED: calendar.Status.CANCELLED,
}
_EVENT = TypeAdapter(calendar.Invite)


def trip_uid(trip: Trip, host: str) -> str:
    return f"{trip.uid}@{host}"


def trip_event(
    file: TripFile, *, sequence: int | None = None, stamp: datetime.datetime | None = None
) -> calendar.Invite:
    """The entry of a trip as it stands, without a message around it.

    The stamp is when this state of the trip came about: the same trip gives the same bytes.
    """
    trip, business = file.trip, file.business
    cancelled = trip.status == Trip.Status.CANCELLED
    return calendar.Invite(
        uid=trip_uid(trip, business.email.rsplit("@", 1)[-1]),
        sequence=trip.sequence if sequence is None else sequence,
        dtstamp=stamp or trip.changed_at,
        start=trip.starts_at,
        end=trip.ends_at,
        zone=business.zone,
        summary=event_summary(file),
        method=None,
        status=STATUS[Trip.Status(trip.status)],
        organizer=calendar.Person(name=business.name, mail=business.email),
        description=_description(file),
        location=trip.meeting_place,
        latitude_deg=trip.meeting_latitude,
        longitude_deg=trip.meeting_longitude,
        reminders=()
        if cancelled
        else (
            calendar.Reminder(24 * 60, "Tomorrow: look at the trip sheet and pack"),
            calendar.Reminder(120, f"Meet at {trip.meeting_place}"),
        ),
        last_modified=trip.changed_at,
    )


def event_summary(file: TripFile, language: str = "en") -> str:
    """What a calendar shows of a trip for a reader of a language."""
    where = file.plan.spot.name if file.plan else "the shore"
    return banded(f"{file.trip.offer.name}, {where}", file.trip, language)


def banded(summary: str, trip: Trip, language: str = "en") -> str:
    """A line about a trip behind the words that stand on its papers where it is not sure."""
    band = Words.of(language).band(standing_of(trip))
    return f"{band}: {summary}" if band else summary


def _description(file: TripFile) -> str:
    business = file.business
    lines = [
        f"Meet: {file.trip.meeting_place}",
        f"Guide: {business.guide_name}, {phone_text(business.phone)}",
        "Bring what the trip sheet says. Times may move with the tide and the weather.",
    ]
    return "\n".join(lines)


def trip_invite(file: TripFile, *, stamp: datetime.datetime) -> calendar.Invite:
    """The invitation of a trip as a file to hand over; an entry alone where nobody has a mail.

    So it is too where several parties come and the file is nobody's: nobody learns of the others.
    """
    event = trip_event(file, stamp=stamp)
    if file.party and file.bookings:
        event = replace(event, summary=event_summary(file, language_of(file.bookings[0])))
    if file.party is None and len(file.parties) > 1:
        return event
    attendees = tuple(calendar.Attendee(one.name, one.mail) for one in wanted(file, held=True))
    if not attendees:
        return event
    if event.status is calendar.Status.CANCELLED:
        return replace(event, attendees=attendees, method=calendar.Method.CANCEL)
    return replace(event, attendees=attendees, method=calendar.Method.REQUEST)


@dataclass(frozen=True, slots=True)
class Wanted:
    """Somebody who should have a trip in their calendar."""

    booking: Booking
    name: str
    mail: str


def wanted(file: TripFile, *, held: bool = False) -> tuple[Wanted, ...]:
    """The bookers whose day it is and everybody of theirs with a mail, each once."""
    bookings = [one for one in file.bookings if held or one.is_fixed]
    return wanted_of(bookings)


def wanted_of(bookings: Iterable[Booking]) -> tuple[Wanted, ...]:
    """Uses the parties and people already fetched. An address nobody can be invited at is left."""
    found: dict[str, Wanted] = {}
    for booking in bookings:
        client = booking.party.client
        named = [(str(client), client.email)]
        named += [(str(one), one.email) for one in booking.party.participants.all()]
        for name, mail in named:
            if mail and _can_be_invited(mail):
                found.setdefault(mail.lower(), Wanted(booking, name, mail.lower()))
    return tuple(found.values())


def _can_be_invited(mail: str) -> bool:
    try:
        calendar.Person("", mail)
    except ValueError:
        return False
    return True


@dataclass(frozen=True, slots=True)
class Telling:
    """What calendars must be told now: the event, whom anew, whom to take off."""

    event: calendar.Invite
    moved: bool
    ask: tuple[Wanted, ...]
    take_off: tuple[TripAttendee, ...]


def telling(
    file: TripFile,
    before: calendar.Invite | None,
    attendees: Iterable[TripAttendee],
    at: datetime.datetime,
) -> Telling:
    """Compare the trip as it stands with the event as it was last told.

    A change of time, place or state is told to everybody; a change of party to that party alone:
    on a shared day strangers learn nothing of each other.
    """
    off = file.trip.status == Trip.Status.CANCELLED
    now = () if off else wanted(file)
    known = {one.mail.lower(): one for one in attendees if one.removed_at is None}
    gone = tuple(one for mail, one in known.items() if mail not in {each.mail for each in now})
    event = replace(
        trip_event(file, stamp=at),
        attendees=tuple(calendar.Attendee(one.name, one.mail) for one in now),
    )
    if before is None:
        return Telling(event, moved=False, ask=now, take_off=())
    sequence = sequence_after(before, event)
    alike = replace(event, attendees=before.attendees)
    moved = sequence_after(before, alike) > before.sequence
    event = replace(event, sequence=sequence)
    touched = {one.booking_id for one in gone}
    touched |= {one.booking.pk for one in now if one.mail not in known}
    ask = now if moved else tuple(one for one in now if one.booking.pk in touched)
    return Telling(event, moved=moved, ask=ask, take_off=gone)


def request_for(event: calendar.Invite, one: Wanted, all_of: Iterable[Wanted]) -> calendar.Invite:
    """The REQUEST to one attendee: it names those of their own party only."""
    same = [each for each in all_of if each.booking.pk == one.booking.pk]
    return replace(
        event,
        method=calendar.Method.REQUEST,
        attendees=tuple(calendar.Attendee(each.name, each.mail) for each in same),
    )


def cancel_for(event: calendar.Invite, mail: str, name: str, *, whole: bool) -> calendar.Invite:
    """The CANCEL to one attendee: of the whole event, or of their part in one that goes on."""
    return replace(
        event,
        method=calendar.Method.CANCEL,
        status=calendar.Status.CANCELLED if whole else None,
        attendees=(calendar.Attendee(name, mail),),
        reminders=(),
    )


def as_json(event: calendar.Invite) -> Any:
    """An event as it is kept."""
    return _EVENT.dump_python(event, mode="json")


def from_json(kept: object) -> calendar.Invite:
    return _EVENT.validate_python(kept)
