"""Questions about single bookings: one with all its page shows, the days it could move to."""

from __future__ import annotations

import datetime

from django.db.models import Exists, F, OuterRef, Prefetch, Q, QuerySet

from bookings.models import Booking, MoneyEntry, Quote, Settlement, Trip, Waiting


def full_bookings() -> QuerySet[Booking]:
    """Bookings with what their accounts and papers are read from; a constant number of queries."""
    return Booking.objects.select_related("party__client", "trip__offer__ladder").prefetch_related(
        Prefetch("quotes", Quote.objects.prefetch_related("lines")),
        "trip__offer__ladder__steps",
    )


def booking_page(pk: int, party_pk: int) -> Booking | None:
    return full_bookings().filter(pk=pk, party=party_pk).first()


def days_for(booking: Booking, *, at: datetime.datetime) -> list[Trip]:
    """Days to come with room for a booking, soonest first."""
    trips = (
        Trip.objects.filter(
            starts_at__gt=at,
            status__in=[Trip.Status.TENTATIVE, Trip.Status.CONFIRMED],
            places_taken__lte=F("places") - booking.heads,
        )
        .exclude(pk=booking.trip_id)
        .select_related("offer")
        .order_by("starts_at", "pk")
    )
    # An unshared day that somebody has is no day for another party.
    return [trip for trip in trips[:200] if trip.offer.shared or not trip.places_taken]


def days_like(trip: Trip, *, at: datetime.datetime) -> list[Trip]:
    """Days to come that parties of a called-off day could go to, soonest first."""
    trips = (
        Trip.objects.filter(
            starts_at__gt=at,
            status__in=[Trip.Status.TENTATIVE, Trip.Status.CONFIRMED],
            places_taken__lt=F("places"),
        )
        .exclude(pk=trip.pk)
        .select_related("offer")
        .order_by("starts_at", "pk")
    )
    return [each for each in trips[:60] if each.offer.shared or not each.places_taken]


def settlements_of_trip(trip: Trip) -> list[Settlement]:
    """Parties of a cancelled day who wait: for their money or, none being paid, another day."""
    live = Booking.objects.exclude(status=Booking.Status.CANCELLED)
    went_on = live.filter(party=OuterRef("booking__party"), booked_at__gte=OuterRef("settled_at"))
    nothing_paid = Q(by=Settlement.By.GUIDE, paid=0) & ~Exists(went_on)
    return list(
        Settlement.objects.filter(booking__trip=trip)
        .filter(Q(choice=Settlement.Choice.OPEN) | nothing_paid)
        .select_related("booking__party__client")
        .order_by("booking__party__client__family_name", "pk")
    )


def client_bookings(booking: Booking) -> QuerySet[Booking]:
    """All bookings of the client, soonest first: one payment may be for several."""
    return full_bookings().filter(party__client=booking.party.client_id).order_by("trip__starts_at")


def entries_of_booking(booking: Booking) -> QuerySet[MoneyEntry]:
    """What happened to the money of a booking, oldest first, with its part of each entry."""
    return (
        MoneyEntry.objects.filter(shares__booking=booking)
        .annotate(owed=F("shares__owed"))
        .select_related("reversed_by", "reverses", "corrects")
        .order_by("entered_at", "pk")
    )


def settlement_of(booking: Booking) -> Settlement | None:
    return Settlement.objects.select_related("moved_to__trip").filter(booking=booking).first()


def waiting_for(trip: Trip) -> list[Waiting]:
    """Who waits for a place on a day, first come first; those that fit now carry `fits`."""
    found = list(
        Waiting.objects.filter(trip=trip, outcome=Waiting.Outcome.WAITS)
        .select_related("party__client")
        .order_by("asked_at", "pk")
    )
    for each in found:
        each.fits = each.heads <= trip.places_left  # type: ignore[attr-defined]
    return found
