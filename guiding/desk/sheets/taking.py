"""What to take on a trip: the need of its plan, and what the gear house advises for it."""

from __future__ import annotations

from dataclasses import dataclass

from equipment.queries.suggest import Suggestion, Suggestions, suggest
from guiding.days.models import DayPlan
from guiding.days.sheets.drops import DropsOfDay
from guiding.desk.sheets.drops import trip_drops
from guiding.desk.sheets.gather import TripFile
from guiding.flying.pack_plan import packs_needed


@dataclass(frozen=True, slots=True)
class Taking:
    """The advice for a trip, and whether its plan already has it so.

    `groups`: name of the kind, how many are needed, why so many, the things best first.
    `planned`: the ids of what is on the plan.
    """

    suggestions: Suggestions
    groups: tuple[tuple[str, int, str, tuple[Suggestion, ...]], ...]
    planned: frozenset[int]
    cast_only: str

    @property
    def taken(self) -> frozenset[int]:
        """What goes, by the advice and the guide's own words."""
        return frozenset(
            one.fitness.thing_id for *_rest, things in self.groups for one in things if one.take
        )

    @property
    def as_planned(self) -> bool:
        return self.taken == self.planned


def what_to_take(file: TripFile) -> Taking | None:
    """The advice for a trip on the day of its plan; None where it has no plan yet."""
    plan, drops = file.plan, trip_drops(file)
    if plan is None or drops is None:
        return None
    flown, why_none = _flown(plan, drops)
    packs, why_packs = _packs(plan, drops) if flown else (0, why_none)
    found = suggest(
        on=file.day,
        trip_uid=file.trip.uid,
        craft=int(flown),
        packs=packs,
        reels=plan.rods,
        drop_m=plan.drop_m,
        planned_craft=plan.craft_id,
    )
    things = [one.pk for one in (*plan.packs.all(), *plan.reels.all())]
    return Taking(
        suggestions=found,
        groups=(
            ("Craft", int(flown), why_none, found.craft),
            ("Flight packs", packs, why_packs, found.packs),
            ("Reels", plan.rods, "one a rod", found.reels),
        ),
        planned=frozenset([*things, *([plan.craft_id] if plan.craft_id else [])]),
        cast_only=why_none,
    )


def _flown(plan: DayPlan, drops: DropsOfDay) -> tuple[bool, str]:
    """Whether bait is flown out at all; without a craft on the plan one is still looked for."""
    if drops.permission.sentence:
        return False, drops.permission.sentence
    return (True, "") if plan.drops else (False, "No drop is planned.")


def _packs(plan: DayPlan, drops: DropsOfDay) -> tuple[int, str]:
    """How many packs the drops need, and where that number comes from."""
    estimate = drops.estimate
    if estimate is not None and estimate.drops:
        fillings = packs_needed(plan.drops, estimate.drops)
        packs = max(fillings - drops.charges, min(fillings, 2))
        charged = f", {drops.charges} filled again on the beach" if drops.charges else ""
        asked = f"{plan.drops} drop{'s' * (plan.drops != 1)}"
        return packs, f"{asked} at {estimate.drops} a pack, and a spare{charged}"
    if plan.pack_cycles:
        return plan.pack_cycles + 1, _cycles(plan.pack_cycles)
    return 0, "no cycles on the plan"


def _cycles(count: int) -> str:
    return f"{count} cycle{'s' * (count != 1)} on the plan, and a spare"
