"""Writes about the day that is sold: planned, booked, moved, called off, fished.

A place is taken by one conditional UPDATE of `Trip.places_taken`: the database decides who gets
the last one, however many ask at once.
"""

from __future__ import annotations

import datetime
from decimal import Decimal

from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction
from django.db.models import F, Q
from django.utils import timezone

from bookings.actions.locks import lock_parties, lock_trips
from bookings.actions.money.settlements import settle
from bookings.models import Booking, Business, Offer, Party, Quote, Settlement, Trip
from bookings.models.trip import FIRST_INSTANT
from bookings.queries.stops import trip_stops
from bookings.rules.deadlines import has_lapsed, hold_lapses_at
from bookings.rules.states import BookingState, TripState, checked_booking_move, checked_trip_move


@transaction.atomic
def plan_trip(
    *,
    offer: Offer,
    starts_at: datetime.datetime,
    ends_at: datetime.datetime,
    meeting_place: str,
    meeting_latitude: float | None = None,
    meeting_longitude: float | None = None,
    places: int | None = None,
    note: str = "",
    at: datetime.datetime | None = None,
) -> Trip:
    """A new day for sale, tentative until somebody confirms it."""
    _check_span(starts_at, ends_at)
    trip = Trip(
        offer=offer,
        starts_at=starts_at,
        ends_at=ends_at,
        meeting_place=meeting_place,
        meeting_latitude=meeting_latitude,
        meeting_longitude=meeting_longitude,
        places=offer.places if places is None else places,
        note=note,
        changed_at=at or timezone.now(),
    )
    trip.full_clean()
    trip.save()
    return trip


def _check_span(starts_at: datetime.datetime, ends_at: datetime.datetime) -> None:
    if starts_at < FIRST_INSTANT:
        raise ValidationError(
            {"starts_at": f"The year {starts_at.year} is long past. Check the date."}
        )
    if ends_at <= starts_at:
        raise ValidationError({"ends_at": "The day ends before it begins. Check both times."})
    if ends_at - starts_at > datetime.timedelta(hours=36):
        raise ValidationError({"ends_at": "A trip lasts 36 hours at most. Check both times."})


@transaction.atomic
def change_trip(
    *,
    trip: Trip,
    starts_at: datetime.datetime,
    ends_at: datetime.datetime,
    meeting_place: str,
    meeting_latitude: float | None = None,
    meeting_longitude: float | None = None,
    places: int,
    note: str = "",
    at: datetime.datetime | None = None,
) -> Trip:
    """Change a trip. A new time or place raises SEQUENCE: RFC 5546 section 2.1.4."""
    (trip,) = lock_trips([trip.pk])
    _check_span(starts_at, ends_at)
    if places < trip.places_taken:
        raise ValidationError(
            {"places": f"{trip.places_taken} places are taken already; {places} would be too few."}
        )
    told = (starts_at, ends_at, meeting_place, meeting_latitude, meeting_longitude)
    before = (
        trip.starts_at,
        trip.ends_at,
        trip.meeting_place,
        trip.meeting_latitude,
        trip.meeting_longitude,
    )
    trip.starts_at, trip.ends_at, trip.meeting_place = starts_at, ends_at, meeting_place
    trip.meeting_latitude, trip.meeting_longitude = meeting_latitude, meeting_longitude
    trip.places, trip.note = places, note
    if told != before:
        trip.sequence += 1
    trip.changed_at = at or timezone.now()
    trip.full_clean()
    trip.save()
    _end_by_its_start(trip)
    return trip


def _end_by_its_start(trip: Trip) -> None:
    """What is held or offered for a trip never outlives its start, wherever that moves."""
    start = trip.starts_at
    Booking.objects.filter(trip=trip, status=Booking.Status.TENTATIVE, hold_until__gt=start).update(
        hold_until=start
    )
    Quote.objects.filter(
        booking__trip=trip,
        status__in=[Quote.Status.DRAFT, Quote.Status.SENT],
        valid_until__gt=start,
    ).update(valid_until=start)


def refuse_begun(trip: Trip, at: datetime.datetime) -> None:
    """Nothing is held, offered or agreed any more on a day that is under way or over."""
    if has_lapsed(trip.starts_at, at):
        raise ValidationError("This trip has begun: nothing can be booked on it any more.")


@transaction.atomic
def move_trip_state(
    *, trip: Trip, to: TripState, reason: str = "", at: datetime.datetime | None = None
) -> Trip:
    """Confirm, call off or close a trip; the moves allowed stand in `rules.states`.

    A day called off gives every party its place back, with all that it paid.
    """
    at = at or timezone.now()
    if to is TripState.CANCELLED and not reason.strip():
        raise ValidationError({"reason": "Say why the day is called off; the parties will ask."})
    (trip,) = lock_trips([trip.pk])
    live = _locked_live(trip) if to is TripState.CANCELLED else []
    try:
        checked_trip_move(TripState(trip.status), to)
    except ValueError as refusal:
        raise ValidationError(str(refusal)) from None
    trip.status = to.value
    trip.cancelled_reason = reason.strip() if to is TripState.CANCELLED else ""
    trip.sequence += 1  # STATUS changed: RFC 5546 section 2.1.4
    trip.changed_at = at
    trip.full_clean()
    trip.save()
    for booking in live:
        let_go(booking, at=at)
    trip.refresh_from_db(fields=["places_taken"])
    return trip


def _locked_live(trip: Trip) -> list[Booking]:
    """The live bookings of a trip that is locked, with their parties locked."""
    live = Booking.objects.filter(trip=trip).exclude(status=Booking.Status.CANCELLED).order_by("pk")
    lock_parties(live.values_list("party_id", flat=True))
    return list(live)


@transaction.atomic
def hold_places(
    *,
    party: Party,
    trip: Trip,
    heads: int,
    price: Decimal | None = None,
    hold_until: datetime.datetime | None = None,
    at: datetime.datetime | None = None,
) -> Booking:
    """Hold places on a trip for a party until they answer or the hold ends by itself.

    `hold_until` empty is the house's 48 hours; whatever is asked, a hold ends when its trip begins.
    """
    at = at or timezone.now()
    (now,) = lock_trips([trip.pk])
    refuse_begun(now, at)
    release_lapsed_holds(at=at, trip=trip)
    if heads < 1:
        raise ValidationError({"heads": "A booking is for one person at least."})
    if party.state != Party.State.OPEN:
        raise ValidationError("This case is closed. Open it again before you book.")
    if not trip.offer.shared and _other_party_on(trip, party):
        raise ValidationError(
            f"{trip.offer} is for one party a day, and this day has one. Choose another day."
        )
    take_places(trip, heads)
    booking = Booking(
        party=party,
        trip=trip,
        heads=heads,
        status=Booking.Status.TENTATIVE,
        hold_until=min(hold_until or hold_lapses_at(at), now.starts_at),
        booked_at=at,
        price=price,
        currency=Business.objects.values_list("currency", flat=True).get(),
    )
    booking.full_clean(validate_constraints=False)
    try:
        with transaction.atomic():
            booking.save()
    except IntegrityError:
        raise ValidationError("This party is on this trip already.") from None
    trip.refresh_from_db(fields=["places_taken"])
    return booking


def _other_party_on(trip: Trip, party: Party) -> bool:
    return (
        Booking.objects.filter(trip=trip)
        .exclude(status=Booking.Status.CANCELLED)
        .exclude(party=party)
        .exists()
    )


def take_places(trip: Trip, heads: int) -> None:
    """Take places, or refuse with what is left."""
    taken = (
        Trip.objects.filter(
            pk=trip.pk,
            status__in=[Trip.Status.TENTATIVE, Trip.Status.CONFIRMED],
            places_taken__lte=F("places") - heads,
        )
        .order_by()
        .update(places_taken=F("places_taken") + heads)
    )
    if taken:
        return
    trip.refresh_from_db()
    if trip.status in {Trip.Status.CANCELLED, Trip.Status.FISHED}:
        raise ValidationError(f"This trip is {trip.get_status_display()}: nothing can be booked.")
    left = max(trip.places_left, 0)
    raise ValidationError(
        {
            "heads": f"Only {left} of {trip.places} places {_is(left)} left, and {heads} "
            f"{_is(heads)} asked for. Choose another day or a smaller party."
            if left
            else f"{_every(trip.places)} of this trip {_is(trip.places)} taken. Choose another day."
        }
    )


@transaction.atomic
def confirm_booking(
    *, booking: Booking, awaits_deposit: bool = False, at: datetime.datetime | None = None
) -> Booking:
    """The party has said yes: the hold becomes a booking, and a tentative trip is confirmed.

    A trip that something stops stays tentative: what is agreed stands, and the guide confirms the
    day when nothing stops it any more. So it does while the day `awaits_deposit`.
    """
    at = at or timezone.now()
    (trip,) = lock_trips([booking.trip_id])
    refuse_begun(trip, at)
    booking = Booking.objects.select_related("trip").get(pk=booking.pk)
    try:
        checked_booking_move(BookingState(booking.status), BookingState.CONFIRMED)
    except ValueError as refusal:
        raise ValidationError(str(refusal)) from None
    booking.status, booking.hold_until = Booking.Status.CONFIRMED, None
    booking.awaits_deposit = awaits_deposit
    booking.full_clean()
    booking.save()
    if not awaits_deposit:
        confirm_day(booking.trip, at)
    return booking


def confirm_day(trip: Trip, at: datetime.datetime) -> None:
    """A tentative trip that has become somebody's is confirmed, unless something stops it."""
    if trip.status == Trip.Status.TENTATIVE and not trip_stops(trip=trip):
        move_trip_state(trip=trip, to=TripState.CONFIRMED, at=at)


@transaction.atomic
def cancel_booking(
    *,
    booking: Booking,
    by: str = Settlement.By.GUIDE,
    refilled: bool = False,
    choice: str = Settlement.Choice.OPEN,
    moved_to: Booking | None = None,
    at: datetime.datetime | None = None,
) -> Booking:
    """Give the places back and settle the money by the ladder that was agreed.

    `by` the client or the guide; `refilled` when somebody else took the place. Cancelled by the
    guide, all that was paid is the client's. `choice` says what becomes of it, if it is known;
    `moved_to` is the booking that takes it over.
    """
    at = at or timezone.now()
    lock_trips([booking.trip_id])
    if booking.status != Booking.Status.TENTATIVE:
        lock_parties([booking.party_id])
    return let_go(booking, by=by, refilled=refilled, choice=choice, moved_to=moved_to, at=at)


def let_go(
    booking: Booking,
    *,
    by: str = Settlement.By.GUIDE,
    refilled: bool = False,
    choice: str = Settlement.Choice.OPEN,
    moved_to: Booking | None = None,
    at: datetime.datetime,
) -> Booking:
    """`cancel_booking` for a caller that has locked the trip, and the party unless it only held."""
    was, booking = booking.status, read_booking(booking.pk)
    if booking.status == Booking.Status.CONFIRMED != was:
        raise ValidationError("This hold was confirmed a moment ago. Load the page again.")
    try:
        checked_booking_move(BookingState(booking.status), BookingState.CANCELLED)
    except ValueError as refusal:
        raise ValidationError(str(refusal)) from None
    if booking.status == Booking.Status.CONFIRMED:
        settle(booking=booking, by=by, refilled=refilled, choice=choice, moved_to=moved_to, at=at)
    booking.status, booking.hold_until = Booking.Status.CANCELLED, None
    booking.cancelled_at, booking.awaits_deposit = at, False
    booking.save(update_fields=["status", "hold_until", "cancelled_at", "awaits_deposit"])
    Trip.objects.filter(pk=booking.trip_id).update(places_taken=F("places_taken") - booking.heads)
    return booking


def read_booking(pk: int) -> Booking:
    """A booking as it stands, with all that its price needs; the caller has locked its trip."""
    return (
        Booking.objects.select_related("party__client", "trip__offer__ladder")
        .prefetch_related("quotes__lines")
        .get(pk=pk)
    )


@transaction.atomic
def release_lapsed_holds(*, at: datetime.datetime, trip: Trip | None = None) -> int:
    """Give back the places of holds that have ended; how many there were."""
    over = Q(hold_until__lte=at) | Q(trip__starts_at__lte=at)
    lapsed = Booking.objects.filter(over, status=Booking.Status.TENTATIVE)
    if trip is not None:
        lapsed = lapsed.filter(trip=trip)
    trips = lock_trips(lapsed.order_by().values_list("trip", flat=True))
    # Asked once more: what was lapsed may have been confirmed before its trip was ours.
    still = list(lapsed.filter(trip__in=trips).order_by("pk")) if trips else []
    for booking in still:
        let_go(booking, at=at)
    return len(still)


def _is(count: int) -> str:
    return "is" if count == 1 else "are"


def _every(places: int) -> str:
    return "The only place" if places == 1 else f"All {places} places"
