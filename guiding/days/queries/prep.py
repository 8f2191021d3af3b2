"""Questions about getting a day ready: what goes along, and what has been ticked."""

from __future__ import annotations

import datetime

from equipment.models import Thing
from equipment.queries.gear import GearState, gear_list
from guiding.days.models import DayPlan, LoadLine, PrepMark

# Kinds that go along whole, whatever the plan has chosen; craft, packs and reels are chosen.
_ALONG = (
    Thing.Kind.FIRST_AID,
    Thing.Kind.BEACON,
    Thing.Kind.SAFETY,
    Thing.Kind.BUOYANCY,
    Thing.Kind.RECOVERY,
    Thing.Kind.CLIP,
    Thing.Kind.ROD,
    Thing.Kind.HOLDER,
)


def kit_along(*, on: datetime.date) -> list[GearState]:
    """The kit that goes along on every day, in the state it is in on that day."""
    return gear_list(on=on, kinds=_ALONG)


def load_lines() -> list[LoadLine]:
    """The guide's own lines in use; none: the house's list counts."""
    return list(LoadLine.objects.filter(in_use=True))


def has_load_lines() -> bool:
    """Whether the guide keeps a list of their own at all."""
    return LoadLine.objects.exists()


def marks_of(*, plan: DayPlan) -> dict[str, PrepMark]:
    """What has been done about each line of a day's lists."""
    return {mark.item: mark for mark in PrepMark.objects.filter(plan=plan)}
