"""What cancelling a booking would come to, on any day, before anybody does it."""

from __future__ import annotations

import datetime
from dataclasses import replace
from decimal import Decimal

from bookings.models import Booking, Business, Settlement
from bookings.queries.money import booking_account
from bookings.rules.ladder import (
    Cancellation,
    CancelledBy,
    LadderDay,
    Wish,
    ladder_days,
    settle_cancellation,
)
from bookings.rules.ladder import (
    Settlement as Outcome,
)
from bookings.rules.money import rounded_money
from bookings.sheets.pricing import booking_rungs, plain


def cancellation_terms(
    booking: Booking,
    *,
    by: str,
    on: datetime.date,
    business: Business,
    refilled: bool = False,
) -> dict[Wish, Outcome]:
    """What is kept, refunded, moved and still due if a booking is cancelled, by either wish."""
    facts = Cancellation(
        by=CancelledBy(by),
        cancelled_on=on,
        trip_on=booking.trip.starts_at.astimezone(business.tz).date(),
        price=plain(booking.price or Decimal(0)),
        deposit=plain(booking.deposit or Decimal(0)),
        paid=rounded_money(booking_account(booking).paid, booking.currency),
        currency=booking.currency,
        refilled=refilled,
        moved_before=moved_before(booking),
    )
    rungs = booking_rungs(booking)
    return {wish: settle_cancellation(replace(facts, wish=wish), rungs) for wish in Wish}


def moved_before(booking: Booking) -> bool:
    """Whether the client moved another day to this one before; the guide's moves do not count."""
    return booking.moved_from.filter(by=Settlement.By.CLIENT).exists()


def terms_in_words(
    booking: Booking, *, on: datetime.date, business: Business
) -> tuple[LadderDay, ...]:
    """What can still happen to a booking that is cancelled, with its dates, as the client reads."""
    trip_on = booking.trip.starts_at.astimezone(business.tz).date()
    return ladder_days(trip_on, booking_rungs(booking), on=on)
