"""Questions about trips: what lies ahead, who comes."""

from __future__ import annotations

import datetime

from django.db.models import Prefetch, QuerySet

from bookings.models import Booking, Guardian, Participant, Trip

LIVE = [Trip.Status.TENTATIVE, Trip.Status.CONFIRMED]


def trips_between(*, start: datetime.datetime, end: datetime.datetime) -> QuerySet[Trip]:
    """Trips that begin in the half-open span, in order, with their live bookings."""
    return (
        Trip.objects.filter(starts_at__gte=start, starts_at__lt=end)
        .select_related("offer")
        .prefetch_related(_live_bookings())
    )


def next_trips(*, at: datetime.datetime) -> QuerySet[Trip]:
    """Trips still to come that are not called off, soonest first."""
    return (
        Trip.objects.filter(ends_at__gt=at, status__in=LIVE)
        .select_related("offer")
        .prefetch_related(_live_bookings())
    )


def trip_page(pk: int) -> Trip | None:
    """One trip with parties and people, in a constant number of queries."""
    return (
        Trip.objects.select_related("offer__ladder")
        .prefetch_related(_live_bookings(), "offer__ladder__steps")
        .filter(pk=pk)
        .first()
    )


def people_of(trip: Trip) -> list[Participant]:
    """Everybody of the live bookings of a trip, party by party; uses what `trip_page` fetched."""
    return [
        person
        for booking in trip.live_bookings  # type: ignore[attr-defined]
        for person in booking.party.participants.all()
    ]


def _live_bookings() -> Prefetch[str]:
    live = (
        Booking.objects.exclude(status=Booking.Status.CANCELLED)
        .select_related("party__client")
        .prefetch_related(
            Prefetch(
                "party__participants",
                Participant.objects.select_related("guardian").prefetch_related(
                    Prefetch("guardians", Guardian.objects.select_related("person"))
                ),
            )
        )
    )
    return Prefetch("bookings", live, to_attr="live_bookings")
