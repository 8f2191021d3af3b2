"""A day that is a party's only once the first part has come in becomes theirs."""

from __future__ import annotations

import datetime
from collections.abc import Iterable
from decimal import Decimal

from django.db import transaction

from bookings.actions.agreed import tell_agreed
from bookings.actions.locks import lock_parties, lock_trips
from bookings.actions.trips import confirm_day
from bookings.models import Booking, Business, Trip
from bookings.queries.money import booking_account
from bookings.sheets.pricing import booking_plan


@transaction.atomic
def fix_paid_days(*, at: datetime.datetime, only: Iterable[int] | None = None) -> int:
    """Give their day to those whose first part has come in; how many bookings that were.

    Run again it does nothing. `only` are numbers of bookings to look at; without it, all.
    """
    waiting = Booking.objects.filter(awaits_deposit=True).order_by("pk")
    if only is not None:
        waiting = waiting.filter(pk__in=list(only))
    trips = lock_trips(waiting.order_by().values_list("trip", flat=True))
    still = waiting.filter(trip__in=trips).select_related("trip").prefetch_related("quotes")
    lock_parties(still.order_by().values_list("party", flat=True))
    business = Business.objects.get() if trips else None
    paid = [each for each in still if business and _first_part_is_here(each, business)]
    for booking in paid:
        _give(booking, at)
    return len(paid)


def _first_part_is_here(booking: Booking, business: Business) -> bool:
    plan = booking_plan(booking, business)
    account = booking_account(booking)
    return account.paid + account.written_off >= (plan[0].amount if plan else Decimal(0))


def _give(booking: Booking, at: datetime.datetime) -> None:
    booking.awaits_deposit = False
    booking.save(update_fields=["awaits_deposit"])
    trip = Trip.objects.get(pk=booking.trip_id)
    if trip.starts_at > at:
        confirm_day(trip, at)
    tell_agreed(trip_pk=trip.pk, at=at)


def fix_by_hand(*, trip: Trip) -> None:
    """The guide confirms the day without waiting: it is theirs. The caller has locked the trip."""
    Booking.objects.filter(trip=trip, awaits_deposit=True).update(awaits_deposit=False)
