"""Reels and the line on them: metres left, how far they reach, for how many trips."""

from __future__ import annotations

import datetime
from collections.abc import Collection, Mapping
from dataclasses import dataclass

from django.db.models import F, Min, Q, QuerySet, Sum
from django.utils import timezone

from equipment.models import Line, Reel, Spooling
from equipment.models.use import USED_UP_KINDS
from equipment.queries.use import end_of, standing
from equipment.rules.line import (
    LineVerdict,
    TripsLeft,
    backing_length_m,
    line_advice,
    line_capacity_m,
    line_need_m,
    line_reach_m,
    line_trips_left,
)

# The distance lists are judged for when no trip is named: default of the house.
USUAL_DROP_M = 300.0
_DAYS_A_SEASON = 365.25


@dataclass(frozen=True, slots=True)
class ReelSheet:
    """One reel on one day, and the line on it; what tells of the line is empty without one."""

    reel_id: int
    label: str
    model_note: str
    drop_m: float
    need_m: float
    line_id: int | None = None
    line: str = ""
    strength_kgf: float | None = None
    diameter_mm: float | None = None
    colour: str = ""
    spooled_m: float | None = None
    used_m: float | None = None
    left_m: float | None = None
    backing_m: float | None = None
    on_from: datetime.date | None = None
    worn_end_inside: bool = False
    reach_m: float | None = None
    advice: LineVerdict | None = None
    trips_left: TripsLeft | None = None


def reel_sheets(
    *,
    on: datetime.date,
    drop_m: float = USUAL_DROP_M,
    height_m: float = 0.0,
    reels: Collection[int] | None = None,
    with_trips: bool = True,
) -> list[ReelSheet]:
    """Every reel in use on a day, by label, judged for a drop at a distance.

    `with_trips` adds the trips left at the logged loss, for one query more.
    """
    rows = (
        Reel.objects.filter(
            Q(retired_on=None) | Q(retired_on__gt=on), Q(bought_on=None) | Q(bought_on__lte=on)
        )
        .only("label", "model_note")
        .order_by("label")
    )
    if reels is not None:
        rows = rows.filter(pk__in=reels)
    found = list(rows)
    wound = wound_on(on=on, reels=[row.pk for row in found])
    losses = loss_per_trip(wound=wound.values(), on=on) if with_trips else {}
    asked = _Asked(on, drop_m, height_m, line_need_m(distance_m=drop_m, height_m=height_m))
    return [
        _sheet(row, wound[row.pk], losses, asked) if row.pk in wound else _bare(row, asked)
        for row in found
    ]


@dataclass(frozen=True, slots=True)
class Wound:
    """The line on a reel on a day, and the metres that had been used of it by then."""

    spooling: Spooling
    line: Line
    used_m: float


@dataclass(frozen=True, slots=True)
class _Asked:
    """The day and the drop that reels are judged for."""

    on: datetime.date
    drop_m: float
    height_m: float
    need_m: float


def wound_on(*, on: datetime.date, reels: Collection[int] | None = None) -> dict[int, Wound]:
    """The line on each reel at the end of a day, by the id of the reel."""
    rows = (
        Spooling.objects.filter(Q(on_until=None) | Q(on_until__gt=on), on_from__lte=on)
        .select_related("line")
        .order_by("on_from", "pk")
    )
    if reels is not None:
        rows = rows.filter(reel__in=reels)
    later: dict[int, float] = {}
    if on < timezone.localdate():  # nothing can have been logged later than today
        later = _used_later(on)
    return {
        row.reel_id: Wound(row, row.line, round(row.line.used_m - later.get(row.line_id, 0.0), 6))
        for row in rows
    }


def _used_later(on: datetime.date) -> dict[int, float]:
    """Metres taken off lines after a day, by the id of the line."""
    used = (
        standing()
        .filter(kind__in=USED_UP_KINDS, at__gte=end_of(on))
        .order_by()
        .values_list("line_id")
        .annotate(total=Sum("amount"))
    )
    return dict(used)


def loss_per_trip(*, wound: Collection[Wound], on: datetime.date) -> dict[int, tuple[float, ...]]:
    """Metres lost or cut back on each trip since the line went on, by the id of the line; a trip
    of the reel without a loss counts with zero."""
    since = {one.spooling.reel_id: one.spooling for one in wound}
    if not since:
        return {}
    rows = (
        standing()
        .filter(thing__in=list(since), trip_uid__isnull=False, at__lt=end_of(on))
        .order_by()
        .values("thing_id", "trip_uid")
        .annotate(
            first_at=Min("at"),
            metres=Sum(
                "amount",
                filter=Q(kind__in=USED_UP_KINDS, line__in=[one.line.pk for one in wound]),
            ),
        )
        .order_by("first_at")
    )
    found: dict[int, list[float]] = {}
    for row in rows:
        spooling = since[row["thing_id"]]
        if row["first_at"] >= _start_of(spooling.on_from):
            found.setdefault(spooling.line_id, []).append(row["metres"] or 0.0)
    return {line_id: tuple(losses) for line_id, losses in found.items()}


def _start_of(day: datetime.date) -> datetime.datetime:
    return end_of(day - datetime.timedelta(days=1))


def _sheet(
    row: Reel, wound: Wound, losses: Mapping[int, tuple[float, ...]], asked: _Asked
) -> ReelSheet:
    line, spooling = wound.line, wound.spooling
    left_m = max(0.0, round(line.spooled_m - wound.used_m, 6))
    return ReelSheet(
        reel_id=row.pk,
        label=row.label,
        model_note=row.model_note,
        line_id=line.pk,
        line=str(line),
        strength_kgf=line.strength_kgf,
        diameter_mm=line.diameter_mm,
        colour=line.colour,
        spooled_m=line.spooled_m,
        used_m=wound.used_m,
        left_m=left_m,
        backing_m=spooling.backing_m,
        on_from=spooling.on_from,
        worn_end_inside=spooling.reversed,
        drop_m=asked.drop_m,
        need_m=asked.need_m,
        reach_m=line_reach_m(left_m=left_m, height_m=asked.height_m),
        advice=_advice(spooling, left_m, asked),
        trips_left=line_trips_left(
            left_m=left_m, need_m=asked.need_m, loss_per_trip_m=losses.get(line.pk, ())
        ),
    )


def _bare(row: Reel, asked: _Asked) -> ReelSheet:
    """A reel without a line."""
    return ReelSheet(
        reel_id=row.pk,
        label=row.label,
        model_note=row.model_note,
        drop_m=asked.drop_m,
        need_m=asked.need_m,
    )


def _advice(spooling: Spooling, left_m: float, asked: _Asked) -> LineVerdict:
    since = spooling.line.bought_on or spooling.on_from
    seasons = round((asked.on - since).days / _DAYS_A_SEASON, 1)
    return line_advice(
        left_m=left_m,
        need_m=asked.need_m,
        seasons=max(0.0, seasons),
        reversed_before=spooling.reversed,
    )


@dataclass(frozen=True, slots=True)
class SpoolFill:
    """How a spool fills: what it takes of a line, and the backing that fills the rest."""

    room_m: float
    backing_m: float | None
    why: str


def spool_fill(
    *,
    rated_m: float,
    rated_mm: float,
    line_m: float,
    line_mm: float,
    backing_mm: float | None = None,
) -> SpoolFill:
    """What a spool of known capacity takes of a line, and the metres of backing under it."""
    room_m = line_capacity_m(
        rated_length_m=rated_m, rated_diameter_mm=rated_mm, new_diameter_mm=line_mm
    )
    try:
        backing_m = backing_length_m(
            spool_length_m=rated_m,
            spool_diameter_mm=rated_mm,
            main_length_m=line_m,
            main_diameter_mm=line_mm,
            backing_diameter_mm=backing_mm or line_mm,
        )
    except ValueError as error:
        return SpoolFill(room_m, None, str(error))
    return SpoolFill(room_m, backing_m, "")


def line_history(*, line: Line) -> list[Spooling]:
    """The reels a line has been on, newest first."""
    return list(line.spoolings.select_related("reel").order_by("-on_from", "-pk"))


def lines_in_hand() -> QuerySet[Line]:
    """Lines that a reel could take over: on a reel now, or taken off with metres left."""
    return Line.objects.filter(used_m__lt=F("spooled_m")).order_by("-pk")


def line_on(*, reel: Reel) -> Line | None:
    """The line that is on a reel now."""
    spooling = Spooling.objects.filter(reel=reel.pk, on_until=None).select_related("line").first()
    return spooling.line if spooling else None
