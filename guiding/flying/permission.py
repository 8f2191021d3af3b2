"""Whether a bait may be dropped from the air at a place on a date: two permissions, both proven.

Flying and fishing answer to different authorities, and either may forbid what the other allows.
Where one is not proven, the day is planned for casting only. This is a gate, not a reminder.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from enum import StrEnum

CHECK = "Check with your own authority."


class PermissionKind(StrEnum):
    """Which authority a permission comes from."""

    AVIATION = "aviation"
    FISHERY = "fishery"


class FishingMode(StrEnum):
    """How a day may be fished."""

    DROP = "drop"
    CAST_ONLY = "cast only"


@dataclass(frozen=True, slots=True)
class Permission:
    """One paper that allows something somewhere for a time.

    `places` are the names of the spots it covers, as the guide writes them. `covers_dropping`
    says that the paper itself allows a bait to be let go from an aircraft (aviation), or bait to be
    set by one (fishery); a general licence does not. `on_file` says that a copy is kept.
    """

    kind: PermissionKind
    authority: str
    number: str
    places: tuple[str, ...]
    valid_from: date
    valid_to: date
    covers_dropping: bool
    on_file: bool
    height_limit_m: float | None = None
    people_distance_m: float | None = None


@dataclass(frozen=True, slots=True)
class DropPermission:
    """The gate's answer for one place and date.

    `papers` are the numbers of what was proven. `reasons` are empty only where dropping is
    permitted; `sentence` says the same in one breath, for a strip or a sheet. The limits are the
    tightest that the papers set; None where none does.
    """

    place: str
    on: date
    mode: FishingMode
    papers: tuple[str, ...]
    reasons: tuple[str, ...]
    height_limit_m: float | None
    people_distance_m: float | None
    sentence: str = ""

    @property
    def may_drop(self) -> bool:
        """Whether both permissions are proven."""
        return self.mode is FishingMode.DROP


def drop_permission(permissions: tuple[Permission, ...], place: str, on: date) -> DropPermission:
    """Whether dropping bait is permitted at a place on a date, or the day is for casting only.

    permissions: all papers held; place: the spot's name; on: the day of the trip in the place's own
    zone. Each of aviation and fishery needs one paper that is on file, names the place, covers
    dropping and is valid that day. Anything less gives 'cast only' with the reasons.
    """
    proven: list[Permission] = []
    short: list[str] = []
    for kind in PermissionKind:
        held = [paper for paper in permissions if paper.kind is kind]
        good = [paper for paper in held if not _lacks(paper, place, on)]
        proven.extend(good)
        if not good:
            short.append(_why_not(kind, held, place, on))
    heights = [p.height_limit_m for p in proven if p.height_limit_m is not None]
    clearances = [p.people_distance_m for p in proven if p.people_distance_m is not None]
    return DropPermission(
        place=place,
        on=on,
        mode=FishingMode.CAST_ONLY if short else FishingMode.DROP,
        papers=tuple(f"{p.kind}: {p.authority}, {p.number}" for p in proven),
        reasons=tuple(_sentence([one]) for one in short),
        height_limit_m=min(heights, default=None),
        people_distance_m=max(clearances, default=None),
        sentence=_sentence(short) if short else "",
    )


def _sentence(short: list[str]) -> str:
    return f"Cast only: {'; '.join(short)}. {CHECK}"


def _lacks(paper: Permission, place: str, on: date) -> tuple[str, ...]:
    """What a paper is short of for this place and day; empty where it proves the permission."""
    short = []
    if not paper.number.strip():
        short.append("has no number")
    if not paper.on_file:
        short.append("has no copy on file")
    if _plain(place) not in {_plain(name) for name in paper.places}:
        short.append("does not name this place")
    if not paper.covers_dropping:
        short.append("does not cover dropping bait")
    if on < paper.valid_from:
        short.append(f"is only valid from {paper.valid_from:%d %B %Y}")
    if on > paper.valid_to:
        short.append(f"was valid to {paper.valid_to:%d %B %Y}")
    return tuple(short)


def _why_not(kind: PermissionKind, held: list[Permission], place: str, on: date) -> str:
    if not held:
        return f"no {kind} permission is on record for {place}"
    nearest = min(held, key=lambda paper: len(_lacks(paper, place, on)))
    number = f"{nearest.authority} {nearest.number}".strip()
    short = " and ".join(_lacks(nearest, place, on))
    return f"the {kind} permission ({number}) {short}"


def _plain(name: str) -> str:
    return " ".join(name.split()).casefold()
