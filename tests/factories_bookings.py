"""Rows of the bookings house that tests need beside the basic ones: made by the actions."""

from __future__ import annotations

import datetime
from typing import Any

from bookings.actions.quotes import accept_quote, draft_quote, send_quote
from bookings.actions.trips import hold_places
from bookings.models import Booking, Quote
from tests.factories import NOON, PartyFactory, TripFactory


def held(*, heads: int = 2, at: datetime.datetime = NOON, **trip: Any) -> Booking:
    """A party of its own with a hold on a trip."""
    party = PartyFactory(heads=heads)
    trip.setdefault("offer", party.offer)
    return hold_places(party=party, trip=TripFactory(**trip), heads=heads, at=at)


def quoted(*, heads: int = 2, at: datetime.datetime = NOON, **trip: Any) -> Quote:
    """A draft price note for a held day."""
    booking = held(heads=heads, at=at, **trip)
    return draft_quote(
        party=booking.party, offer=booking.trip.offer, heads=heads, booking=booking, at=at
    )


def sent(*, heads: int = 2, at: datetime.datetime = NOON, **trip: Any) -> Quote:
    """A price note that the party has."""
    return send_quote(quote=quoted(heads=heads, at=at, **trip), at=at)


def agreed(*, heads: int = 2, at: datetime.datetime = NOON, **trip: Any) -> Booking:
    """A confirmed booking with its price agreed and its first invoice out."""
    quote = accept_quote(quote=sent(heads=heads, at=at, **trip), at=at)
    assert quote.booking is not None
    return quote.booking


def another(
    booking: Booking, *, heads: int = 2, at: datetime.datetime = NOON, **trip: Any
) -> Booking:
    """A second confirmed booking of the same party, on a day of its own."""
    offer = booking.trip.offer
    held = hold_places(
        party=booking.party, trip=TripFactory(offer=offer, **trip), heads=heads, at=at
    )
    quote = draft_quote(party=booking.party, offer=offer, heads=heads, booking=held, at=at)
    accepted = accept_quote(quote=send_quote(quote=quote, at=at), at=at)
    assert accepted.booking is not None
    return accepted.booking
