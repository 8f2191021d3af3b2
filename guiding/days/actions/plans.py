"""Writes about day plans: a trip planned at a spot, its gear chosen."""

from __future__ import annotations

import datetime
import math
from collections.abc import Sequence
from decimal import Decimal
from math import inf
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction

from bookings.actions.trips import plan_trip
from bookings.models import Business, Offer, Trip
from equipment.models import Craft, FlightPack, Reel, Thing
from guiding.days.actions.ranges import check_ranges
from guiding.days.models import DayPlan, PlannedPack, PlannedReel, Spot
from guiding.days.rules.session import OVERDUE_AFTER, DayTimes, day_times
from guiding.days.sheets.nature import propose_hours, spot_day

_QUANTITIES = {
    "rods": (0, 20),
    "soak_min": (1, 600),
    "turn_min": (1, 600),
    "drops": (0, 500),
    "drop_m": (1, 2000),
    "bait_g": (0, 20_000),
    "road_km": (0, 5000),
    "sand_km": (0, 1000),
    "guide_hours": (0, 200),
    "bait_kg": (0, 1000),
    "rigs": (0, 1000),
    "line_m": (0, 100_000),
    "pack_cycles": (0, 1000),
    "price_per_head": (0, inf),
}
_AT_HOME = Decimal(4)  # hours of messages, prep and washing down, house default


def propose_day(
    *, offer: Offer, spot: Spot, day: datetime.date, business: Business
) -> tuple[DayTimes, str]:
    """The times of an offer at a spot on a day, and why these hours; nothing is written."""
    try:
        nature = spot_day(spot=spot, day=day, zone=business.zone)
    except ValueError as refusal:
        raise ValidationError({"day": str(refusal)}) from None
    proposal = propose_hours(nature, offer)
    if proposal.span is None:
        raise ValidationError({"day": proposal.why})
    why = proposal.why if nature.tide else f"{proposal.why}. {nature.tide_why}"
    times = day_times(
        session=proposal.span,
        drive_min=spot.drive_min,
        set_up_min=spot.set_up_min,
        pack_up_min=spot.pack_up_min,
        walk_out_min=spot.walk_out_min,
    )
    return times, why


@transaction.atomic
def plan_day(
    *,
    offer: Offer,
    spot: Spot,
    day: datetime.date,
    business: Business,
    places: int | None = None,
    at: datetime.datetime,
    **quantities: Any,
) -> DayPlan:
    """A trip for sale with its plan, at the hours the tide and the light propose."""
    if day < at.astimezone(business.tz).date():
        raise ValidationError({"day": f"{day:%-d %B %Y} has passed. Choose a day to come."})
    if spot.max_party < (places or 1):
        raise ValidationError({"places": f"{spot} takes a party of {spot.max_party} at most."})
    times, _why = propose_day(offer=offer, spot=spot, day=day, business=business)
    trip = plan_trip(
        offer=offer,
        starts_at=times.pick_up,
        ends_at=times.drop_off,
        meeting_place=spot.meeting_place,
        meeting_latitude=spot.meeting_latitude,
        meeting_longitude=spot.meeting_longitude,
        places=places if places is not None else min(offer.places, spot.max_party),
        at=at,
    )
    return make_plan(trip=trip, spot=spot, times=times, **quantities)


@transaction.atomic
def make_plan(*, trip: Trip, spot: Spot, times: DayTimes, **quantities: Any) -> DayPlan:
    """The plan of a trip, with the quantities that its spot and its hours suggest."""
    plan = DayPlan(
        trip=trip,
        spot=spot,
        session_start=times.session_start,
        session_end=times.session_end,
        drop_m=spot.drop_m,
        overdue_at=trip.ends_at + OVERDUE_AFTER,
        vehicle=_only_vehicle(),
    )
    for name, value in (_suggested(plan, trip, spot) | quantities).items():
        setattr(plan, name, value)
    _clean(plan)
    plan.save()
    return plan


def _only_vehicle() -> Thing | None:
    """The vehicle, where there is one to choose; with two the guide says which one drives."""
    found = list(Thing.objects.filter(kind=Thing.Kind.VEHICLE, retired_on=None)[:2])
    return found[0] if len(found) == 1 else None


def _suggested(plan: DayPlan, trip: Trip, spot: Spot) -> dict[str, Any]:
    minutes = (plan.session_end - plan.session_start) / datetime.timedelta(minutes=1)
    drops = plan.rods * math.floor(minutes / (plan.soak_min + plan.turn_min))
    drops = min(drops, 30)  # trade practice: the pilot cannot supervise more
    out = Decimal((trip.ends_at - trip.starts_at) / datetime.timedelta(hours=1)).quantize(
        Decimal("0.25")
    )
    return {
        "drops": drops,
        "road_km": 2 * spot.drive_km,
        "sand_km": 2 * spot.sand_km,
        "guide_hours": out + _AT_HOME,
        "bait_kg": (drops * 2 * Decimal("0.08") * Decimal("1.15")).quantize(Decimal("0.1")),
        "rigs": math.ceil(drops * 0.1 * 1.5) + 2,
        "line_m": 10.0 * plan.rods,
        "pack_cycles": math.ceil(drops / 3),
    }


@transaction.atomic
def change_plan(
    *,
    plan: DayPlan,
    packs: Sequence[FlightPack] | None = None,
    reels: Sequence[Reel] | None = None,
    craft: Craft | None = None,
    **fields: Any,
) -> DayPlan:
    """Change quantities and gear of a plan; `packs` and `reels` in the order of use."""
    plan.craft = craft
    for name, value in fields.items():
        setattr(plan, name, value)
    _clean(plan)
    plan.save()
    if packs is not None:
        plan.planned_packs.all().delete()
        PlannedPack.objects.bulk_create(
            PlannedPack(plan=plan, pack=pack, position=n) for n, pack in enumerate(packs, 1)
        )
    if reels is not None:
        plan.planned_reels.all().delete()
        PlannedReel.objects.bulk_create(
            PlannedReel(plan=plan, reel=reel, position=n) for n, reel in enumerate(reels, 1)
        )
    return plan


@transaction.atomic
def move_plan(
    *,
    plan: DayPlan,
    trip: Trip,
    session_start: datetime.datetime,
    session_end: datetime.datetime,
    end_by: datetime.timedelta,
) -> DayPlan:
    """The plan of a trip that moved: other hours, and overdue as much later as the end is."""
    plan.trip, plan.session_start, plan.session_end = trip, session_start, session_end
    if plan.overdue_at is not None:
        plan.overdue_at += end_by
    _clean(plan)
    plan.save(update_fields=["session_start", "session_end", "overdue_at"])
    return plan


def _clean(plan: DayPlan) -> None:
    if plan.session_end <= plan.session_start:
        raise ValidationError({"session_end": "The session ends before it begins."})
    if plan.session_start < plan.trip.starts_at or plan.session_end > plan.trip.ends_at:
        raise ValidationError(
            {"session_start": "The session lies outside the trip's pick-up and drop-off."}
        )
    if plan.vehicle is not None and plan.vehicle.kind != Thing.Kind.VEHICLE:
        raise ValidationError({"vehicle": f"{plan.vehicle.label} is no vehicle: choose one."})
    check_ranges(plan, _QUANTITIES)
    plan.full_clean()
