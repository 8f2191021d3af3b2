"""The tide of a spot: rows turned into a source that answers for itself, and how far it reaches."""

from __future__ import annotations

import datetime
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from django.db.models import Count, Max, Min, QuerySet

from guiding.almanac.tide import (
    Constituent,
    HarmonicTide,
    HeightRule,
    SecondaryTide,
    TableTide,
    TideDifferences,
    Turn,
    TurnKind,
)
from guiding.almanac.tide import TideSource as Tide
from guiding.days.models import TideSource, TideTurn

# Turns on both sides of a day are needed to know the height within it.
_AROUND = datetime.timedelta(days=2)
# No tide on Earth waits longer for its next turn: a table that does has a part missing.
_LONGEST_WAIT = datetime.timedelta(hours=27)
REMIND_DAYS = 60  # before a table ends [house]

NO_SOURCE = "This spot has no tide source yet: choose or import one."


@dataclass(frozen=True)
class OfficialTable(TableTide):
    """A table of highs and lows that knows its place's mean range from elsewhere."""

    known_range_m: float | None = None

    @property
    def mean_range_m(self) -> float:
        """The mean range of the place where it was given, else that of the rows at hand."""
        return self.known_range_m or super().mean_range_m


@dataclass(frozen=True, slots=True)
class TideBook:
    """Everything that is known of the tide at a place over some time, the best source first.

    `reach` tells from when to when there is a table, also where no part of it is near.
    """

    name: str
    tides: tuple[Tide, ...]
    reach: str = ""

    def over(self, start: datetime.datetime, end: datetime.datetime) -> tuple[Tide | None, str]:
        """The source that covers a span, and what to say where none does."""
        for tide in self.tides:
            if tide.valid_from <= start and end <= tide.valid_until:
                return tide, ""
        if not self.tides and not self.reach:
            return None, f"{self.name} holds no figures yet: import its constants or its table."
        return None, (
            f"The tide of {self.name} is known from {self.reach} only, and not for the whole of "
            "this time: import the table of the year you ask for."
        )


def tide_for(
    source: TideSource | None, *, start: datetime.datetime, end: datetime.datetime
) -> tuple[Tide | None, str]:
    """The tide over a span and what to say where there is none.

    An official table wins where it covers the span; constants serve where it does not.
    """
    if source is None:
        return None, NO_SOURCE
    return tide_books([source], start=start, end=end)[source.pk].over(start, end)


def tide_books(
    sources: Iterable[TideSource | None], *, start: datetime.datetime, end: datetime.datetime
) -> dict[int, TideBook]:
    """The tide of each of these places over a span, by row, in a fixed number of queries."""
    wanted = [source.pk for source in sources if source is not None]
    rows = list(
        TideSource.objects.filter(pk__in=wanted)
        .select_related("reference")
        .prefetch_related("constants", "reference__constants")
    )
    owners = {row.pk for row in rows} | {row.reference_id for row in rows}
    near: dict[int, list[Turn]] = {}
    turns = TideTurn.objects.filter(
        source__in=owners, at__gte=start - _AROUND, at__lte=end + _AROUND
    ).order_by("source", "at")
    for pk, at, height_m, high in turns.values_list("source", "at", "height_m", "high"):
        kind = TurnKind.HIGH if high else TurnKind.LOW
        near.setdefault(pk, []).append(Turn(at, height_m, kind))
    ends = {reach.source_id: reach for reach in _reaches()}
    return {row.pk: _book(row, near, ends) for row in rows}


@dataclass(frozen=True, slots=True)
class _Reach:
    source_id: int
    turns: int
    first: datetime.datetime
    last: datetime.datetime


def _reaches() -> list[_Reach]:
    """The first and the last turn of every table."""
    found = TideTurn.objects.values_list("source").annotate(Count("pk"), Min("at"), Max("at"))
    return [_Reach(*row) for row in found.order_by("source")]


def _book(row: TideSource, near: dict[int, list[Turn]], ends: dict[int, _Reach]) -> TideBook:
    secondary = row.kind == TideSource.Kind.SECONDARY and row.reference is not None
    of = row.reference if secondary and row.reference else row
    tides = _tides(of, near.get(of.pk, []))
    if secondary:
        tides = tuple(_secondary(row, each) for each in tides)
    reach = ends.get(of.pk)
    known = f"{reach.first:%-d %B %Y} to {reach.last:%-d %B %Y}" if reach else ""
    return TideBook(row.name, tides, known or _predicted(tides))


def _predicted(tides: Sequence[Tide]) -> str:
    return ", ".join(f"{each.valid_from:%-d %B %Y} to {each.valid_until:%Y}" for each in tides)


def _tides(row: TideSource, near: Sequence[Turn]) -> tuple[Tide, ...]:
    found: list[Tide] = list(_tables(row, near))
    constants = row.constants.all()
    if constants:
        found.append(
            HarmonicTide(
                source=f"{row.name}: {row.source} (predicted from constants)",
                constituents=tuple(
                    Constituent(each.name, each.amplitude_m, each.phase_deg) for each in constants
                ),
                z0_m=row.mean_level_m,
                datum=row.datum,
                mean_range_m=row.mean_range_m,
                station_id=row.station,
                name=row.name,
            )
        )
    return tuple(found)


def _tables(row: TideSource, near: Sequence[Turn]) -> list[TableTide]:
    """The parts of a table near the span that hang together; a gap ends one and begins the next."""
    parts: list[list[Turn]] = []
    for turn in near:
        if parts and turn.at - parts[-1][-1].at <= _LONGEST_WAIT:
            parts[-1].append(turn)
        else:
            parts.append([turn])
    return [_table(row, part) for part in parts if len(part) > 1]


def _table(row: TideSource, turns: Sequence[Turn]) -> TableTide:
    return OfficialTable(
        source=f"{row.name}: {row.table_source or row.source} (official table)",
        table=tuple(turns),
        datum=row.datum,
        known_range_m=row.mean_range_m,
    )


def _secondary(row: TideSource, reference: Tide) -> Tide:
    return SecondaryTide(
        source=f"{row.name}, by differences from {reference.source}",
        reference=reference,
        differences=TideDifferences(
            high_min=row.high_minutes,
            low_min=row.low_minutes,
            height_rule=HeightRule.RATIO if row.by_ratio else HeightRule.DIFFERENCE_M,
            high=row.high_height,
            low=row.low_height,
        ),
        datum=row.datum,
        mean_range_m=row.mean_range_m,
    )


# ------------------------------------------------------------------ how far the tables reach


@dataclass(frozen=True, slots=True)
class TideReach:
    """How far the table of a place reaches, in words, and whether to load the next one.

    `ends_on` is None where there is no table; `constants` says that predictions go on after it.
    """

    source: TideSource
    ends_on: datetime.date | None
    days_left: int | None
    constants: bool
    words: str
    remind: bool


def tide_sources() -> QuerySet[TideSource]:
    """Every place with a tide, its spots and its constants fetched along."""
    return TideSource.objects.select_related("reference").prefetch_related("spots", "constants")


def tide_reaches(*, on: datetime.date, zone: datetime.tzinfo) -> list[TideReach]:
    """How far each place reaches as of a day, in a fixed number of queries."""
    ends = {reach.source_id: reach for reach in _reaches()}
    rows = tide_sources().prefetch_related("reference__constants")
    return [_reach_of(row, ends, on, zone) for row in rows]


def tide_reminders(*, on: datetime.date, zone: datetime.tzinfo) -> list[TideReach]:
    """The tables in use at a spot that end within two months, or have ended."""
    return [
        reach for reach in tide_reaches(on=on, zone=zone) if reach.remind and _in_use(reach.source)
    ]


def _in_use(row: TideSource) -> bool:
    return bool(row.spots.all())


def _reach_of(
    row: TideSource, ends: dict[int, _Reach], on: datetime.date, zone: datetime.tzinfo
) -> TideReach:
    of = row.reference if row.kind == TideSource.Kind.SECONDARY and row.reference else row
    constants = bool(of.constants.all())
    reach = ends.get(of.pk)
    if reach is None:
        words = "predicted for any day" if constants else "no figures yet: import a table"
        return TideReach(row, None, None, constants, words, remind=not constants)
    ends_on = reach.last.astimezone(zone).date()
    days_left = (ends_on - on).days
    words = (
        f"the table ended {ends_on:%-d %B %Y}"
        if days_left < 0
        else f"the table ends {ends_on:%-d %B %Y}, {_when(days_left)}"
    )
    if constants:
        words += "; predicted from constants after that"
    return TideReach(row, ends_on, days_left, constants, words, days_left <= REMIND_DAYS)


def _when(days: int) -> str:
    return {0: "today", 1: "tomorrow"}.get(days, f"in {days} days")
