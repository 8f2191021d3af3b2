"""A party put on a day, with its price."""

from __future__ import annotations

import datetime
from typing import Any

from django.db import transaction

from bookings.actions.quotes import draft_quote
from bookings.actions.trips import hold_places
from bookings.models import Party, Quote, Trip


@transaction.atomic
def hold_with_price(
    *,
    party: Party,
    trip: Trip,
    cost_estimate: dict[str, Any],
    at: datetime.datetime | None = None,
) -> Quote:
    """Hold places for a party and draft the price that goes with them: both or neither."""
    booking = hold_places(party=party, trip=trip, heads=party.heads, at=at)
    return draft_quote(
        party=party,
        offer=trip.offer,
        heads=party.heads,
        children=party.minors if trip.offer.child_price is not None else 0,
        booking=booking,
        cost_estimate=cost_estimate,
        at=at,
    )
