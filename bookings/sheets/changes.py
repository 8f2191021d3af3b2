"""What a change of a booking would come to, worked out before anybody agrees to it."""

from __future__ import annotations

import datetime
from dataclasses import dataclass
from decimal import Decimal

from bookings.models import Booking, Business, Offer, OfferExtra, Quote, Trip
from bookings.queries.money import booking_account
from bookings.rules import prices
from bookings.rules.ladder import (
    Cancellation,
    CancelledBy,
    Settlement,
    Wish,
    settle_cancellation,
)
from bookings.rules.money import rounded_money
from bookings.sheets.cancelling import cancellation_terms
from bookings.sheets.pricing import (
    Priced,
    agreed_extras,
    agreed_quote,
    agreed_steps,
    booking_rungs,
    plain,
    price_offer,
)


@dataclass(frozen=True, slots=True)
class HeadsChange:
    """A party of another size: what it costs, and what is charged for places given up."""

    heads: int
    children: int
    old_price: Decimal
    priced: Priced
    charge: Decimal
    why: str
    paid: Decimal

    @property
    def new_price(self) -> Decimal:
        return self.priced.total

    @property
    def left(self) -> Decimal:
        return max(self.new_price - self.paid, Decimal(0))

    @property
    def over(self) -> Decimal:
        return max(self.paid - self.new_price, Decimal(0))


@dataclass(frozen=True, slots=True)
class DateChange:
    """Another day: what the old one keeps, what goes along, and what the new one costs."""

    trip: Trip
    outcome: Settlement
    price: Decimal
    deposit: Decimal

    @property
    def left(self) -> Decimal:
        return max(self.price - self.outcome.moved, Decimal(0))

    @property
    def over(self) -> Decimal:
        return max(self.outcome.moved - self.price, Decimal(0))


def heads_change(
    booking: Booking, *, heads: int, children: int, on: datetime.date, business: Business
) -> HeadsChange:
    """A booking at another number of heads. ValueError with a sentence where it cannot be.

    Places given up are settled by the ladder on the difference in price, as the client's own wish.
    """
    if heads < 1:
        raise ValueError("A party of nobody is a cancellation: cancel the booking instead.")
    quote = agreed_quote(booking)
    offer, extras, before = _as_agreed(booking, quote)
    steps = agreed_steps(quote.terms) or None if quote else None
    priced = price_offer(
        offer,
        business=business,
        heads=heads,
        children=children,
        extras=extras,
        given_up=before,
        steps=steps,
    )
    lines_before = (
        sum((plain(line.amount) for line in quote.lines.all()), Decimal(0))
        if quote
        else (plain(booking.price or Decimal(0)))
    )
    lines_after = sum((line.amount for line in priced.lines), Decimal(0))
    charge, why = Decimal(0), ""
    if heads < booking.heads and lines_after < lines_before:
        charge, why = _given_up(booking, lines_before - lines_after, heads, on, offer, business)
    if charge:
        priced = price_offer(
            offer,
            business=business,
            heads=heads,
            children=children,
            extras=extras,
            given_up=[*before, prices.Extra(why[:200], charge)],
            steps=steps,
        )
    return HeadsChange(
        heads=heads,
        children=children,
        old_price=plain(booking.price or Decimal(0)),
        priced=priced,
        charge=charge,
        why=why,
        paid=rounded_money(booking_account(booking).paid, booking.currency),
    )


def _as_agreed(
    booking: Booking, quote: Quote | None
) -> tuple[Offer, list[OfferExtra], list[prices.Extra]]:
    """The offer as it stood when the price was made, with the extras and charges agreed so far."""
    offer = booking.trip.offer
    if quote is None:
        return offer, [], []
    try:
        offer = quote.offer.history.as_of(quote.made_at)
    except Offer.DoesNotExist:  # older than its history: as it stands
        offer = quote.offer
    extras = agreed_extras(quote.terms)
    charges = [
        prices.Extra(label, Decimal(amount)) for label, amount in quote.terms.get("given_up", [])
    ]
    return offer, extras, charges


def _given_up(
    booking: Booking,
    difference: Decimal,
    heads: int,
    on: datetime.date,
    offer: Offer,
    business: Business,
) -> tuple[Decimal, str]:
    currency = booking.currency
    deposit = prices.deposit_due(difference, offer.deposit_percent / 100, currency)
    outcome = settle_cancellation(
        Cancellation(
            by=CancelledBy.CLIENT,
            cancelled_on=on,
            trip_on=booking.trip.starts_at.astimezone(business.tz).date(),
            price=difference,
            deposit=deposit,
            paid=difference,
            currency=currency,
        ),
        booking_rungs(booking),
    )
    gone = booking.heads - heads
    places = f"{gone} place{'s' if gone > 1 else ''} given up"
    _who, _colon, rule = outcome.rule.partition(": ")
    days = f"{outcome.days_before} days before" if outcome.days_before > 1 else "too late"
    return outcome.kept, f"{places} {days}: {rule}"


def date_change(
    booking: Booking, trip: Trip, *, by: str, on: datetime.date, business: Business
) -> DateChange:
    """A booking on another day. ValueError with a sentence where that day cannot be priced.

    The old day is settled by the ladder, with the wish to move; on a day of the same offer the
    price stays as it was agreed.
    """
    if trip.pk == booking.trip_id:
        raise ValueError("This is the same day. Choose another.")
    outcome = cancellation_terms(booking, by=by, on=on, business=business)[Wish.MOVE]
    price, deposit = plain(booking.price or Decimal(0)), plain(booking.deposit or Decimal(0))
    if trip.offer_id != booking.trip.offer_id:
        quote = agreed_quote(booking)
        priced = price_offer(
            trip.offer,
            business=business,
            heads=booking.heads,
            children=quote.children if quote else 0,
        )
        price, deposit = priced.total, priced.deposit
    return DateChange(trip=trip, outcome=outcome, price=price, deposit=deposit)
