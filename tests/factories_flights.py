"""Rows of rigs, permissions and drops for tests: made by the actions, valid and invented."""

from __future__ import annotations

import datetime
import uuid
from typing import Any

from equipment.models import Craft, FlightPack
from guiding.days.actions.flights import NewDrop, record_drop
from guiding.days.actions.permits import save_permit
from guiding.days.actions.plans import change_plan
from guiding.days.actions.prep import ChosenRig, plan_drops
from guiding.days.actions.rigs import save_rig, usual_parts
from guiding.days.models import Charger, DayPlan, Drop, DropPermit, Rig, Spot
from tests.factories_days import DayPlanFactory, SpotFactory
from tests.factories_equipment import (
    CraftFactory,
    FlightPackFactory,
    PackCheckFactory,
    ReelFactory,
    SpoolingFactory,
)

DAY = datetime.date(2026, 6, 13)  # the day of a plan as its factory makes it
FLOWN_AT = datetime.datetime(2026, 5, 20, 9, 0, tzinfo=datetime.UTC)
MAIN_KGF = 22.7


def rig(*, name: str = "Two droppers", main_kgf: float = MAIN_KGF, **fields: Any) -> Rig:
    """The usual beach rig."""
    usual, parts = usual_parts(main_strength_kgf=main_kgf)
    return save_rig(parts=parts, **usual | {"name": name} | fields)


def permit(which: str, /, *spots: Spot, **changes: Any) -> DropPermit:
    """One paper that proves its half of the permission."""
    fields: dict[str, Any] = {
        "kind": which,
        "authority": f"Invented {which} board",
        "number": f"{which[:1].upper()}-26",
        "valid_from": datetime.date(2026, 1, 1),
        "valid_until": datetime.date(2026, 12, 31),
        "covers_dropping": True,
        "copy_kept": "folder 3",
    }
    return save_permit(spots=list(spots), **fields | changes)


def permitted(spot: Spot) -> Spot:
    """A spot where bait may be flown out all year."""
    permit("aviation", spot, height_limit_m=50, people_distance_m=30)
    permit("fishery", spot)
    return spot


def pack(craft: Craft, *, health: float = 0.95) -> FlightPack:
    """A fit pack with a check just before the days of the tests."""
    made = FlightPackFactory(fits=craft)
    at = datetime.datetime(2026, 6, 10, 9, 0, tzinfo=datetime.UTC)
    PackCheckFactory(pack=made, at=at, cycles=10, capacity_ah=made.rated_ah * health)
    return made


def charger(**fields: Any) -> Charger:
    return Charger.objects.create(
        **{"label": "Bench charger", "place": "home", "power_w": 240, "slots": 2} | fields
    )


def flown_plan(*, packs: int = 6, rods: int = 4, spooled_m: float = 600, **fields: Any) -> DayPlan:
    """A day on which every check is a go: papers, craft, packs, reels, rigs, calm wind."""
    spot = permitted(SpotFactory(hook_limit=3))
    plan = DayPlanFactory(spot=spot, drops=12, rods=rods, **fields)
    craft = CraftFactory(label="Gannet")
    reels = [ReelFactory(label=f"Reel {n}") for n in range(1, rods + 1)]
    for reel in reels:
        SpoolingFactory(
            reel=reel,
            line__spooled_m=spooled_m,
            line__strength_kgf=MAIN_KGF,
            line__diameter_mm=0.30,
        )
    change_plan(plan=plan, craft=craft, packs=[pack(craft) for _ in range(packs)], reels=reels)
    plan_drops(plan=plan, rigs=[ChosenRig(rig(ready=3), rods, 1.4)], **CALM)
    return plan


CALM = {
    "wind_ms": 4.0,
    "gust_ms": 5.5,
    "wind_from_deg": 200.0,
    "wave_height_m": 0.8,
    "air_c": 16.0,
    "people_aside_m": 45.0,
    "people_back_m": 20.0,
}


def new_drop(craft: Craft, used: FlightPack, **changes: Any) -> NewDrop:
    """One drop as it comes from the beach."""
    fields: dict[str, Any] = {
        "craft": craft,
        "pack": used,
        "at": FLOWN_AT,
        "from_percent": 100.0,
        "to_percent": 78.0,
        "distance_m": 300.0,
        "wind_ms": 4.0,
        "payload_g": 350.0,
        "line_mm": 0.30,
        "key": uuid.uuid4(),
    }
    return NewDrop(**fields | changes)


def logged(craft: Craft, used: FlightPack, **changes: Any) -> Drop:
    return record_drop(drop=new_drop(craft, used, **changes))
