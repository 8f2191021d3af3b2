"""The rods of a day: which reel and which rig fall to each."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from guiding.days.models import DayPlan, PlannedRig
from guiding.days.queries.drops import PlannedGear
from guiding.days.sheets.flying import main_line_of
from guiding.days.sheets.rigs import recipe
from guiding.flying.craft import MainLine
from guiding.flying.rigs import Rig, two_dropper_rig
from guiding.flying.strength import strength_n_from_kgf

# The line reckoned with until a reel is chosen. House default.
STAND_IN_LINE = MainLine(diameter_mm=0.30, strength_n=strength_n_from_kgf(22.7), spooled_m=0)


@dataclass(frozen=True, slots=True)
class Rod:
    """A rod as it is set. Without a chosen rig the usual one stands in; `planned` is then None."""

    number: int
    reel: str
    line: MainLine | None
    line_text: str
    planned: PlannedRig | None
    rig: Rig


def rods_of(plan: DayPlan, gear: PlannedGear) -> tuple[Rod, ...]:
    """Every rod of the plan, the reels and the rigs dealt out in their order.

    Rods beyond those that the rigs were chosen for get the last of them.
    """
    dealt = [one for one in gear.rigs for _ in range(one.rods)]
    made = {one.pk: recipe(one.rig, weak_link_kgf=one.weak_link_kgf) for one in gear.rigs}
    rods = []
    for index in range(plan.rods):
        state = gear.reels[index] if index < len(gear.reels) else None
        sheet = state.reel if state else None
        line = main_line_of(sheet)
        one = dealt[min(index, len(dealt) - 1)] if dealt else None
        rods.append(
            Rod(
                number=index + 1,
                reel=state.label if state else "",
                line=line,
                line_text=sheet.line if sheet else "",
                planned=one,
                rig=made[one.pk] if one else two_dropper_rig((line or STAND_IN_LINE).strength_n),
            )
        )
    return tuple(rods)


def alike(rods: Sequence[Rod]) -> list[tuple[list[int], Rod]]:
    """Rods that are set alike, by their numbers: each kind needs looking at only once."""
    found: dict[tuple[object, ...], tuple[list[int], Rod]] = {}
    for rod in rods:
        found.setdefault((rod.rig, rod.line), ([], rod))[0].append(rod.number)
    return list(found.values())


def rods_words(numbers: Sequence[int]) -> str:
    """Rods by their numbers: 'Rod 3' or 'Rods 1, 2 and 4'."""
    if len(numbers) == 1:
        return f"Rod {numbers[0]}"
    return f"Rods {', '.join(str(n) for n in numbers[:-1])} and {numbers[-1]}"
