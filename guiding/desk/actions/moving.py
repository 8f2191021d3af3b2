"""A day moved: its hours or where it meets, with its plan, its watch and everybody who knew."""

from __future__ import annotations

import datetime
from dataclasses import dataclass

from django.core.exceptions import ValidationError
from django.db import transaction

from bookings.actions.locks import lock_trips
from bookings.actions.outbox import withdraw
from bookings.actions.trips import change_trip
from bookings.models import Booking, Business, Message, MessageKind, Trip
from guiding.days.actions.plans import move_plan
from guiding.days.models import DayPlan
from guiding.desk.actions.invites import leaves_at, tell_calendars, withdraw_older
from guiding.desk.actions.telling import withdraw_waiting
from guiding.desk.actions.writing import own_page, readers, to_party, trip_sheet_of
from guiding.desk.sheets.gather import TripFile, gather
from guiding.desk.sheets.languages import language_of
from guiding.desk.sheets.messages import trip_values, written
from guiding.desk.sheets.moved import Meeting, moved_words
from guiding.desk.sheets.safety import hard_stops
from guiding.safety.actions.watch import move_watch

_LIVE = (Trip.Status.TENTATIVE, Trip.Status.CONFIRMED)


@dataclass(frozen=True, slots=True)
class Moved:
    """The trip as it stands now, how many mails tell of it, and what is left to the guide."""

    trip: Trip
    mails: int
    to_do: tuple[str, ...]


@transaction.atomic
def move_day(
    *,
    trip: Trip,
    starts_at: datetime.datetime,
    ends_at: datetime.datetime,
    meeting_place: str,
    meeting_latitude: float | None = None,
    meeting_longitude: float | None = None,
    session_start: datetime.datetime | None = None,
    session_end: datetime.datetime | None = None,
    at: datetime.datetime,
) -> Moved:
    """Other hours or another meeting place; overdue and the watch move as much as the end does.

    Without hours of its own the fishing moves as much as the meeting. Everybody booked is told old
    and new. A day that has begun stands, and a confirmed one does not go where a paper stops it.
    """
    (trip,) = lock_trips([trip.pk])
    _check_ahead(trip, starts_at, at)
    stops = set(hard_stops(trip)) if trip.status == Trip.Status.CONFIRMED else set()
    old = Meeting.of_trip(trip)
    moved = change_trip(
        trip=trip,
        starts_at=starts_at,
        ends_at=ends_at,
        meeting_place=meeting_place.strip(),
        meeting_latitude=meeting_latitude,
        meeting_longitude=meeting_longitude,
        places=trip.places,
        note=trip.note,
        at=at,
    )
    plan = DayPlan.objects.filter(trip=moved).first()
    if plan is not None:
        by = starts_at - old.starts_at
        move_plan(
            plan=plan,
            trip=moved,
            session_start=session_start or plan.session_start + by,
            session_end=session_end or plan.session_end + by,
            end_by=ends_at - old.ends_at,
        )
        move_watch(trip=moved, by=ends_at - old.ends_at, at=at)
    if moved.status == Trip.Status.CONFIRMED:
        new = [sentence for sentence in hard_stops(moved) if sentence not in stops]
        if new:
            raise ValidationError(["The trip is confirmed and cannot move there.", *new])
    return _tell(moved, old, at) if Meeting.of_trip(moved) != old else Moved(moved, 0, ())


def _check_ahead(trip: Trip, starts_at: datetime.datetime, at: datetime.datetime) -> None:
    if trip.status not in _LIVE:
        raise ValidationError(f"This trip is {trip.get_status_display()}: it moves no more.")
    if trip.starts_at <= at:
        raise ValidationError(
            "The day has begun: its hours stand. Who waits ashore is told on the page of the watch."
        )
    if starts_at <= at:
        raise ValidationError({"starts_at": "That time has passed. Give one still to come."})


def _tell(trip: Trip, old: Meeting, at: datetime.datetime) -> Moved:
    """Calendars first; then whoever has no entry in one: holds, and days not confirmed yet."""
    withdraw_waiting(trip)
    told = tell_calendars(trip_pk=trip.pk, at=at, by_rule=False)
    file = gather(trip.pk, business=Business.objects.get(), at=at)
    if file is None:
        return Moved(trip, len(told), ())
    mails, to_do = len(told), []
    reached = {row.to_mail.lower() for row in told}
    for booking in file.bookings:
        client = booking.party.client
        if not client.email:
            to_do.append(f"{client} has no mail address: ring them.")
        elif client.email.lower() not in reached:
            mails += _tell_booker(file, booking, old, at) is not None
        try:
            mails += _sheet_anew(file, booking, at)
        except ValueError as refusal:
            to_do.append(f"{client} has the trip sheet with the old times: {refusal}")
    return Moved(trip, mails, tuple(to_do))


def _tell_booker(
    file: TripFile, booking: Booking, old: Meeting, at: datetime.datetime
) -> Message | None:
    known = not withdraw_older(file.trip, booking.party.client.email)
    values = trip_values(file, booking) | {
        "moved": moved_words(file, booking, old if known else None),
        "answer": own_page(booking.party, at=at),
    }
    words = written(MessageKind.CHANGE, language_of(booking), values)
    due_at = leaves_at(file.trip, MessageKind.CHANGE, at=at)
    cause = f"moved trip {file.trip.pk} {file.trip.sequence}"
    return to_party(file, booking, MessageKind.CHANGE, cause, words, at, due_at=due_at)


def _sheet_anew(file: TripFile, booking: Booking, at: datetime.datetime) -> int:
    """Who has a trip sheet with the old times gets another; how many mails that were."""
    had = file.trip.messages.filter(party=booking.party, kind=MessageKind.TRIP_SHEET)
    had = had.exclude(state=Message.State.WITHDRAWN)
    if not had.exists():
        return 0
    enclosed = trip_sheet_of(file, booking, at=at)
    for row in had.filter(state=Message.State.QUEUED):
        withdraw(message=row)
    rows = []
    for name, mail, first_name in readers(booking):
        values = trip_values(file, booking, first_name=first_name)
        words = written(MessageKind.TRIP_SHEET, language_of(booking), values)
        rows.append(
            to_party(
                file,
                booking,
                MessageKind.TRIP_SHEET,
                f"trip_sheet booking {booking.pk} moved {file.trip.sequence}",
                words,
                at,
                to=(name, mail),
                enclosed=enclosed,
                due_at=leaves_at(file.trip, MessageKind.TRIP_SHEET, at=at),
            )
        )
    return sum(row is not None for row in rows)
