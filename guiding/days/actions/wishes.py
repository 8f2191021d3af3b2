"""Writes about what a party wishes for, and the day that is held for it in one step."""

from __future__ import annotations

import datetime
from dataclasses import replace
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone

from bookings.actions.quotes import draft_quote
from bookings.actions.trips import hold_places, release_lapsed_holds
from bookings.models import Booking, Business, Offer, Party
from guiding.days.actions.plans import plan_day
from guiding.days.models import PartyWish, Spot
from guiding.days.queries.plans import plan_of, spots
from guiding.days.sheets.cost import TripCost, trip_cost
from guiding.days.sheets.cost_facts import cost_facts
from guiding.days.sheets.find_days import DayOption, Search, find_days


@transaction.atomic
def save_wish(*, party: Party, **fields: Any) -> PartyWish:
    """What a party wishes for beside its dates; set anew it replaces what was there."""
    wish = PartyWish.objects.filter(party=party).first() or PartyWish(party=party)
    for name, value in fields.items():
        setattr(wish, name, value)
    wish.full_clean()
    wish.save()
    return wish


def hold_day(
    *,
    party: Party,
    offer: Offer,
    spot: Spot,
    day: datetime.date,
    search: Search,
    hold_until: datetime.datetime | None = None,
    at: datetime.datetime | None = None,
) -> Booking:
    """Hold a day for a party: the trip planned or joined, the places held, the price drafted.

    All gates are asked again, so that a day that was taken meanwhile is refused. Asked twice, the
    hold of the first time is given back. The hold ends by itself.
    """
    at = at or timezone.now()
    # A transaction of its own: it locks trips, which come after the business.
    release_lapsed_holds(at=at)
    return _hold_day(party, offer, spot, day, search, hold_until, at)


@transaction.atomic
def _hold_day(
    party: Party,
    offer: Offer,
    spot: Spot,
    day: datetime.date,
    search: Search,
    hold_until: datetime.datetime | None,
    at: datetime.datetime,
) -> Booking:
    # Two that hold at once queue here: a day is planned once.
    business = Business.objects.select_for_update(no_key=True).get()
    held = _held_already(party, offer, spot, day, business)
    if held is not None:
        return held
    option = _still_open(party, offer, spot, day, search, business, at)
    trip = option.join
    if trip is None:
        plan = plan_day(offer=offer, spot=spot, day=day, business=business, at=at)
        trip = plan.trip
    booking = hold_places(party=party, trip=trip, heads=party.heads, hold_until=hold_until, at=at)
    plan_now = plan_of(trip)
    cost = trip_cost(trip=trip, plan=plan_now, business=business) if plan_now else "no plan"
    draft_quote(
        party=party,
        offer=offer,
        heads=party.heads,
        children=party.minors if offer.child_price is not None else 0,
        booking=booking,
        cost_estimate=cost_facts(cost) if isinstance(cost, TripCost) else {"why": cost},
        at=at,
    )
    return booking


def _held_already(
    party: Party, offer: Offer, spot: Spot, day: datetime.date, business: Business
) -> Booking | None:
    """The party's own booking on such a day."""
    live = Booking.objects.filter(party=party, trip__offer=offer, trip__plan__spot=spot).exclude(
        status=Booking.Status.CANCELLED
    )
    for booking in live.select_related("trip"):
        if booking.trip.starts_at.astimezone(business.tz).date() == day:
            return booking
    return None


def _still_open(
    party: Party,
    offer: Offer,
    spot: Spot,
    day: datetime.date,
    search: Search,
    business: Business,
    at: datetime.datetime,
) -> DayOption:
    """The one option that was chosen, gates and all as they stand now."""
    chosen = spots().filter(pk=spot.pk).first()
    if chosen is None:
        raise ValidationError("This spot is not there any more. Search again.")
    narrow = replace(
        search, first=day, last=day, offers=(offer,), spots=(chosen,),
        heads=party.heads, minors=party.minors,
    )  # fmt: skip
    try:
        found = find_days(search=narrow, business=business, at=at)
    except ValueError as refusal:
        raise ValidationError({"day": str(refusal)}) from None
    if not found.options:
        why = found.refused[0].refusal.why
        raise ValidationError(f"{day:%-d %B %Y} cannot be held: {why}.")
    return found.options[0]
