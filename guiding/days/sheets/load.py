"""What is loaded for a day: the kit, the plan's own gear, and what is no numbered thing."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from equipment.models import Thing
from equipment.queries.gear import FIT, GROUNDED, RETIRED, GearState
from guiding.days.models import Charger
from guiding.days.queries.flights import chargers
from guiding.days.queries.prep import has_load_lines, kit_along, load_lines
from guiding.days.rules.prep import (
    HOUSE_LOAD,
    LoadEntry,
    LoadGroup,
    load_count,
    load_group,
    load_order,
)
from guiding.days.sheets.drops import DropsOfDay
from guiding.flying.rig_lists import TieLine

# Behind the numbered things of a group.
_LATER = 50


def load_entries(
    *,
    drops: DropsOfDay,
    heads: int,
    minors: int,
    tie: Sequence[TieLine],
    bait_kg: float,
    bait: str,
) -> tuple[LoadEntry, ...]:
    """The load list of a day in its order; on a day for casting only nothing that flies."""
    found = [
        *_kit(drops),
        *_chosen(drops),
        *_lines(heads, minors),
        *_fishing(tie, bait_kg, bait),
    ]
    kept = [one for one in found if not (drops.cast_only and one.group is LoadGroup.FLYING)]
    return load_order(entries=tuple(kept))


def _kit(drops: DropsOfDay) -> Iterable[LoadEntry]:
    """Numbered kit; what is grounded stays, but what saves people is never silently missing."""
    rods = 0
    for state in kit_along(on=drops.on):
        placed = load_group(kind=state.kind)
        if placed is None:
            continue
        group, rank = placed
        grounded = state.state in (GROUNDED, RETIRED)
        if grounded and group is not LoadGroup.PEOPLE:
            continue
        if state.kind == Thing.Kind.ROD:
            rods += 1
            if rods > drops.plan.rods:
                continue
        yield LoadEntry(f"thing:{state.thing_id}", group, rank, state.label, 1, _warning(state))


def _warning(state: GearState) -> str:
    return "" if state.state == FIT else f"{state.state}: {state.reason}"


def _chosen(drops: DropsOfDay) -> Iterable[LoadEntry]:
    """Craft, packs, chargers and papers of a day that is flown; its reels in any case."""
    plan = drops.plan
    if plan.craft is not None:
        yield LoadEntry(f"thing:{plan.craft_id}", LoadGroup.FLYING, 0, str(plan.craft))
    for line in drops.packs:
        if line.fit:
            warning = "" if line.state == FIT else f"{line.state}: {line.reason}"
            yield LoadEntry(
                f"pack:{line.label}", LoadGroup.FLYING, 1, f"Pack {line.label}", 1, warning
            )
    for row in chargers(places=[Charger.Place.BEACH]):
        yield LoadEntry(f"charger:{row.pk}", LoadGroup.FLYING, 3, row.label)
    for rod in drops.rods:
        if rod.reel:
            yield LoadEntry(f"reel:{rod.reel}", LoadGroup.FISHING, 1, rod.reel)
    if not drops.cast_only:
        for number, paper in enumerate(drops.permission.papers, 1):
            yield LoadEntry(
                f"permit:{number}", LoadGroup.PAPERS, 0, f"Copy of the permission, {paper}"
            )


def _lines(heads: int, minors: int) -> Iterable[LoadEntry]:
    """What is no numbered thing: the guide's own lines, or the house's until there are any."""
    if has_load_lines():
        for row in load_lines():
            count = load_count(count=row.count, per=row.per, heads=heads, minors=minors)
            group = LoadGroup(row.group)
            yield LoadEntry(f"line:{row.pk}", group, _LATER + row.position, row.text, count)
        return
    for number, (group, text, each, per) in enumerate(HOUSE_LOAD, 1):
        count = load_count(count=each, per=per, heads=heads, minors=minors)
        yield LoadEntry(f"house:{text}", group, _LATER + number, text, count)


def _fishing(tie: Sequence[TieLine], bait_kg: float, bait: str) -> Iterable[LoadEntry]:
    for line in tie:
        yield LoadEntry(f"rigs:{line.rig}", LoadGroup.FISHING, 3, f"Rigs, {line.rig}", line.ready)
    if bait_kg:
        yield LoadEntry(
            "bait", LoadGroup.FISHING, 4, f"{bait_kg:.1f} kg of {bait}, in the cool box"
        )
