"""What gear asks for today: grounded, due, to be watched, lying badly; a row a thing."""

from __future__ import annotations

import datetime
from collections.abc import Collection
from dataclasses import dataclass

from equipment.models import Thing
from equipment.queries.due import DueItem, due_list
from equipment.queries.gear import FIT
from guiding.days.models import DayPlan
from guiding.desk.queries.booked import booked_days, booked_trips


@dataclass(frozen=True, slots=True)
class GearRow:
    """Things that ask for the same, and what that is, worst first: three packs just bought are one
    row."""

    things: tuple[DueItem, ...]
    tasks: tuple[DueItem, ...]

    @property
    def state(self) -> str:
        return self.tasks[0].state


@dataclass(frozen=True, slots=True)
class GearToday:
    """The rows of what cannot wait, and how many things more no booked trip needs."""

    rows: tuple[GearRow, ...]
    can_wait: int


def gear_today(*, on: datetime.date) -> GearToday:
    """What has to be done to gear now, worst first; what only comes due before a later trip is for
    the due list. A fixed number of queries."""
    items = [item for item in due_list(on=on, booked=booked_days(on=on)) if item.state != FIT]
    needs = _Needs(on)
    now = [item for item in items if _lies_badly(item, on) or needs.thing(item)]
    shown = {item.thing_id for item in now}
    return GearToday(_rows(now), len({item.thing_id for item in items} - shown))


def _lies_badly(item: DueItem, on: datetime.date) -> bool:
    """A pack left full or empty spoils whether a trip is booked or not."""
    return not item.rule and item.due_on is not None and item.due_on <= on


def _rows(items: list[DueItem]) -> tuple[GearRow, ...]:
    by_thing: dict[int, list[DueItem]] = {}
    for item in items:
        by_thing.setdefault(item.thing_id, []).append(item)
    alike: dict[tuple[object, ...], list[list[DueItem]]] = {}
    for tasks in by_thing.values():
        key = (tasks[0].kind, *((task.what, task.reason, task.state) for task in tasks))
        alike.setdefault(key, []).append(tasks)
    return tuple(
        GearRow(tuple(tasks[0] for tasks in several), tuple(several[0]))
        for several in alike.values()
    )


class _Needs:
    """What the booked trips to come go out with; a trip without a plan may need anything."""

    def __init__(self, on: datetime.date) -> None:
        trips = booked_trips(on=on)
        plans = list(
            DayPlan.objects.filter(trip__in=trips.values("pk")).prefetch_related("packs", "reels")
        )
        self.trips = trips.count()
        self.open = self.trips > len(plans)
        flown = [plan for plan in plans if plan.craft_id]
        self.chosen: dict[str, list[Collection[int]]] = {
            Thing.Kind.CRAFT: [{plan.craft_id or 0} for plan in flown],
            Thing.Kind.PACK: [{pack.pk for pack in plan.packs.all()} for plan in flown],
            Thing.Kind.REEL: [{reel.pk for reel in plan.reels.all()} for plan in plans],
        }

    def thing(self, item: DueItem) -> bool:
        """Whether a booked trip goes out with it, or may: nothing chosen is no proof against it."""
        if not self.trips or self.open or item.kind not in self.chosen:
            return bool(self.trips)
        return any(not ids or item.thing_id in ids for ids in self.chosen[item.kind])
