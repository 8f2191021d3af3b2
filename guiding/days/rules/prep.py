"""Getting ready: by when each thing is due, and in which order the car is loaded."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, time, timedelta
from enum import StrEnum
from zoneinfo import ZoneInfo

# House defaults: shops are open, somebody is awake, nothing is left to the morning.
_SHOP_DAYS_BEFORE = 3
_SHOP_AT = time(18)
_EVENING_AT = time(20)
_CHARGED_AT = time(22)
_AFTERNOON = time(14)
_THAW_H = 24
_LOADED_MIN = 30


class LoadGroup(StrEnum):
    """The groups of a load list; what saves people first comes first."""

    PEOPLE = "people"
    WAY = "way"
    PAPERS = "papers"
    FLYING = "flying"
    FISHING = "fishing"
    COMFORT = "comfort"


GROUP_WORDS = {
    LoadGroup.PEOPLE: "People first",
    LoadGroup.WAY: "The way there and back",
    LoadGroup.PAPERS: "Papers",
    LoadGroup.FLYING: "Flying",
    LoadGroup.FISHING: "Fishing",
    LoadGroup.COMFORT: "Comfort",
}
# Of what saves people, what stops bleeding and calls for help comes before all else.
_KIND_GROUPS = {
    "first_aid": (LoadGroup.PEOPLE, 0),
    "beacon": (LoadGroup.PEOPLE, 1),
    "safety": (LoadGroup.PEOPLE, 2),
    "buoyancy": (LoadGroup.PEOPLE, 3),
    "recovery": (LoadGroup.WAY, 0),
    "craft": (LoadGroup.FLYING, 0),
    "pack": (LoadGroup.FLYING, 1),
    "clip": (LoadGroup.FLYING, 2),
    "reel": (LoadGroup.FISHING, 1),
    "rod": (LoadGroup.FISHING, 0),
    "holder": (LoadGroup.FISHING, 2),
}


@dataclass(frozen=True, slots=True)
class LoadEntry:
    """One line of a load list. `key` stays the same for the same thing; `rank` orders a group."""

    key: str
    group: LoadGroup
    rank: int
    text: str
    count: int = 1
    warning: str = ""


@dataclass(frozen=True, slots=True)
class PrepTimes:
    """By when the steps of getting ready are due; aware instants in the zone of the business."""

    bought_by: datetime
    tied_by: datetime
    thaw_from: datetime
    charged_by: datetime
    loaded_by: datetime


# What goes along that is no numbered thing: group, text, how many, for each. House default.
HOUSE_LOAD: tuple[tuple[LoadGroup, str, int, str], ...] = (
    (LoadGroup.PEOPLE, "Litres of drinking water", 2, "head"),
    (LoadGroup.PEOPLE, "Head lamp, tried", 1, "head"),
    (LoadGroup.PEOPLE, "Foil blanket", 1, "head"),
    (LoadGroup.PEOPLE, "Hook cutter and eye wash", 1, "trip"),
    (LoadGroup.PEOPLE, "Bright vest in a child's size", 1, "minor"),
    (LoadGroup.WAY, "Tyre gauge and compressor", 1, "trip"),
    (LoadGroup.WAY, "Shovel and boards", 1, "trip"),
    (LoadGroup.WAY, "Spare key, carried by somebody else", 1, "trip"),
    (LoadGroup.PAPERS, "Emergency card, one left with the shore contact", 2, "trip"),
    (LoadGroup.FLYING, "Vented box for packs, terminals capped", 1, "trip"),
    (LoadGroup.FLYING, "Landing mat", 1, "trip"),
    (LoadGroup.FLYING, "Spare propellers, a set", 1, "trip"),
    (LoadGroup.FISHING, "Towel, unhooking tool, measure", 1, "trip"),
    (LoadGroup.FISHING, "Bags for litter and old line", 2, "trip"),
    (LoadGroup.COMFORT, "Lunch and a hot drink", 1, "head"),
    (LoadGroup.COMFORT, "Spare hat and gloves", 1, "minor"),
)


def prep_times(*, leave_at: datetime, zone: str) -> PrepTimes:
    """By when things are bought, tied, thawed, charged and loaded for a start.

    leave_at: aware instant of the pick-up; zone: the zone whose clock counts. Bought three days
    before, tied the evening before, thawing from 24 h before, packs full at ten the evening before
    (an hour before an afternoon start) because nobody sleeps beside packs that charge, loaded half
    an hour before. ValueError without a zone. House defaults.
    """
    if leave_at.tzinfo is None:
        raise ValueError("The time of leaving has no zone: give it in UTC.")
    here = ZoneInfo(zone)
    local = leave_at.astimezone(here)
    day, one = local.date(), timedelta(days=1)

    def at(days_before: int, clock: time) -> datetime:
        return datetime.combine(day - days_before * one, clock, here)

    late_start = local.time() >= _AFTERNOON
    hour_before = (leave_at - timedelta(hours=1)).astimezone(here)
    return PrepTimes(
        bought_by=at(_SHOP_DAYS_BEFORE, _SHOP_AT),
        tied_by=at(1, _EVENING_AT),
        thaw_from=(leave_at - timedelta(hours=_THAW_H)).astimezone(here),
        charged_by=hour_before if late_start else at(1, _CHARGED_AT),
        loaded_by=(leave_at - timedelta(minutes=_LOADED_MIN)).astimezone(here),
    )


def load_group(*, kind: str) -> tuple[LoadGroup, int] | None:
    """Where a kind of thing stands on a load list: its group and its rank there.

    kind: a kind of thing of the gear list. None for what is not loaded, such as the vehicle.
    """
    return _KIND_GROUPS.get(kind)


def load_count(*, count: int, per: str, heads: int, minors: int) -> int:
    """How many of a thing to load: for the trip, for each head (the guide too) or each minor.

    count: 1 or more; per: trip, head or minor; heads and minors 0 or more, minors within heads.
    ValueError otherwise.
    """
    if count < 1 or heads < 0 or not 0 <= minors <= max(heads, 0):
        raise ValueError(
            f"{count} for each {per} of {heads} heads, {minors} of them minors, is not possible."
        )
    each = {"trip": 1, "head": heads + 1, "minor": minors}
    if per not in each:
        raise ValueError(f"{per!r} is not known: give trip, head or minor.")
    return count * each[per]


def load_order(*, entries: tuple[LoadEntry, ...]) -> tuple[LoadEntry, ...]:
    """A load list in order: what saves people first, then the way, papers, flying, fishing.

    Within a group by rank, then as given. Entries of no pieces are left out.
    """
    groups = list(LoadGroup)
    wanted = [entry for entry in entries if entry.count > 0]
    return tuple(sorted(wanted, key=lambda entry: (groups.index(entry.group), entry.rank)))
