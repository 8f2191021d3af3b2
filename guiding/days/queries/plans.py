"""Questions about day plans and spots."""

from __future__ import annotations

from django.db.models import Prefetch, QuerySet

from bookings.models import Trip
from equipment.models import FlightPack, Reel
from guiding.days.models import DayPlan, Spot


def spots() -> QuerySet[Spot]:
    """Spots with all that decides about a day at one."""
    return Spot.objects.select_related("tide_source").prefetch_related(
        "permits", "closures", "wind_limits"
    )


def plan_of(trip: Trip) -> DayPlan | None:
    """The plan of a trip with spot, craft, packs and reels."""
    return (
        DayPlan.objects.filter(trip=trip)
        .select_related("spot__tide_source__reference", "craft", "vehicle", "drop_setup")
        .prefetch_related(
            "spot__permits",
            "spot__closures",
            "spot__wind_limits",
            Prefetch("packs", FlightPack.objects.order_by("planned__position")),
            Prefetch("reels", Reel.objects.order_by("planned__position")),
        )
        .first()
    )
