"""Reads an official table of highs and lows from CSV, whatever its columns, unit and clock."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta, timezone, tzinfo
from enum import StrEnum
from itertools import pairwise
from statistics import median

from guiding.almanac.instants import named_zone
from guiding.almanac.tide.reading import CellError, Problem, Row
from guiding.almanac.tide.source import Turn, TurnKind
from guiding.almanac.tide.table import TableTide
from guiding.almanac.tide.turn_places import TurnColumns, turn_places, typed_places

_LONGEST_GAP = 2.2  # times the usual time between turns; a missing high and low make it 3
_WORDS = {
    **dict.fromkeys(("h", "hh", "hw", "high", "high water", "high tide"), TurnKind.HIGH),
    **dict.fromkeys(("l", "ll", "lw", "low", "low water", "low tide"), TurnKind.LOW),
}
_FORMATS = (
    "%Y-%m-%d %H:%M", "%Y-%m-%d %H:%M:%S", "%Y/%m/%d %H:%M", "%d.%m.%Y %H:%M", "%Y%m%d %H:%M",
)  # fmt: skip
_FOOT_WORDS = re.compile(r"(^|[^a-z])(ft|feet|foot)([^a-z]|$)", re.IGNORECASE)
_FIXED = re.compile(r"^(?:UTC)?([+-])(\d{1,2}):?(\d{2})?$")


class HeightUnit(StrEnum):
    """The unit of the heights in a table."""

    METRE = "m"
    CENTIMETRE = "cm"
    FOOT = "ft"


_METRES = {HeightUnit.METRE: 1.0, HeightUnit.CENTIMETRE: 0.01, HeightUnit.FOOT: 0.3048}


class RepeatedHour(StrEnum):
    """What a local time means that comes twice when the clocks go back."""

    REFUSE = "refuse"  # unless the order of the rows settles it
    FIRST = "first"
    SECOND = "second"


@dataclass(frozen=True, slots=True)
class TurnsReading:
    """The tide of a table, or the problems; with a problem there is no tide at all."""

    tide: TableTide | None
    rows: int
    problems: tuple[Problem, ...]


@dataclass(frozen=True, slots=True)
class _Read:
    """A row as far as it can be understood by itself."""

    row: Row
    columns: TurnColumns
    at: datetime
    height_m: float
    kind: TurnKind | None


def read_turns_table(
    text: str,
    columns: TurnColumns,
    unit: HeightUnit,
    zone: str,
    source: str,
    datum: str = "the datum of the table",
    repeated_hour: RepeatedHour = RepeatedHour.REFUSE,
) -> TurnsReading:
    """The tide of an official table of highs and lows, from its text in CSV.

    `zone` is the clock of the table: UTC, an IANA name, or a fixed offset such as +01:00 for
    tables in standard time all year. A time that carries its own offset keeps it. Refused with the
    row's number: cells that cannot be read, times the clocks skip, times that come twice where
    neither order nor `repeated_hour` tells which, rows out of order, twice or missing, highs
    not over the lows beside them, and a height column named in feet when the unit is metres.

    A table with one row a day and several turns in it has its columns numbered, `time 1`,
    `height 1`, `time 2` and so on, or repeats their names; they are found by the names without
    the number. Cells of a turn that the day has not are empty or hold a dash.
    """
    table, places = turn_places(text, columns)
    problems = list(table.problems)
    if _FOOT_WORDS.search(columns.height) and unit is not HeightUnit.FOOT:
        message = f"the column's name says feet and the unit is {unit}: choose the unit ft."
        problems.append(Problem(1, columns.height, message))
    return _turns_of(places, problems, unit, zone, source, datum, repeated_hour)


def read_turns_lines(
    text: str,
    zone: str,
    source: str,
    datum: str = "the datum of the table",
    repeated_hour: RepeatedHour = RepeatedHour.REFUSE,
) -> TurnsReading:
    """The tide of typed lines: a day, then time, metres and high or low, once or several times.

    Without the word a turn is high or low by its neighbours. `zone` and what is refused are as
    with `read_turns_table`; the row of a problem is its line.
    """
    problems, places = typed_places(text)
    return _turns_of(places, problems, HeightUnit.METRE, zone, source, datum, repeated_hour)


def turns_lines(turns: Iterable[Turn], zone: str) -> str:
    """The lines that `read_turns_lines` reads as these turns: one a day, in the clock of `zone`.

    A time that comes twice when the clocks go back has its offset with it.
    """
    rules = _clock(zone).rules
    days: dict[str, list[str]] = {}
    for turn in turns:
        local = turn.at.astimezone(rules)
        twice = local.utcoffset() != local.replace(fold=1 - local.fold).utcoffset()
        time = local.isoformat(timespec="minutes")[11:] if twice else f"{local:%H:%M}"
        days.setdefault(f"{local:%Y-%m-%d}", []).append(f"{time} {turn.height_m:g} {turn.kind}")
    return "\n".join(f"{day} {' '.join(words)}" for day, words in days.items())


def _turns_of(
    places: Sequence[tuple[Row, TurnColumns]],
    problems: Sequence[Problem],
    unit: HeightUnit,
    zone: str,
    source: str,
    datum: str,
    repeated_hour: RepeatedHour,
) -> TurnsReading:
    """The tide of turns that stand in these rows, each in its own columns."""
    problems = list(problems)
    clock = _clock(zone)
    reads: list[_Read] = []
    for row, columns in places:
        try:
            reads.append(_read(row, columns, unit, clock, repeated_hour, reads))
        except CellError as error:
            problems.append(row.problem(error))
    if problems:
        return TurnsReading(None, len(places), tuple(problems))
    turns = _with_kinds(reads)
    problems = _disorder(reads) or _breaks(reads, turns)
    if problems:
        return TurnsReading(None, len(places), tuple(problems))
    try:
        tide = TableTide(source, tuple(turns), datum)
    except ValueError as error:
        return TurnsReading(None, len(turns), (Problem(0, "", str(error)),))
    return TurnsReading(tide, len(turns), ())


@dataclass(frozen=True, slots=True)
class _Clock:
    """A clock by name, and its rules."""

    name: str
    rules: tzinfo


def _clock(zone: str) -> _Clock:
    if zone.upper() in {"UTC", "GMT", "Z"}:
        return _Clock("UTC", UTC)
    fixed = _FIXED.match(zone.strip())
    if fixed:
        sign, hours, minutes = fixed.groups()
        offset = timedelta(hours=int(hours), minutes=int(minutes or 0))
        if offset > timedelta(hours=14):
            raise ValueError(f"The offset '{zone}' is more than 14 hours: check it.")
        return _Clock(zone, timezone(-offset if sign == "-" else offset))
    return _Clock(zone, named_zone(zone))


def _read(
    row: Row,
    columns: TurnColumns,
    unit: HeightUnit,
    clock: _Clock,
    repeated_hour: RepeatedHour,
    before: list[_Read],
) -> _Read:
    stated = _stated(row, columns)
    previous = before[-1].at if before else None
    try:
        at = _instant(stated, clock, repeated_hour, previous)
    except ValueError as error:
        raise CellError(columns.time, str(error)) from None
    factor = _METRES[unit]
    height = row.number_in(columns.height, -10 / factor, 20 / factor) * factor
    kind = None
    if columns.kind:
        word = row.text(columns.kind)
        kind = _WORDS.get(word.casefold())
        if kind is None:
            raise CellError(columns.kind, f"'{word}' is neither high nor low: write H or L.")
    return _Read(row, columns, at, round(height, 4), kind)


def _stated(row: Row, columns: TurnColumns) -> datetime:
    """The time as the row writes it, with a zone only if the row writes one."""
    text = row.text(columns.time)
    if columns.date:
        text = f"{row.text(columns.date)} {text}"
    if columns.time_format:
        parsers: list[Callable[[str], datetime]] = [_by_format(columns.time_format)]
    else:
        parsers = [datetime.fromisoformat, *map(_by_format, _FORMATS)]
    for parse in parsers:
        try:
            return parse(text)
        except ValueError:
            continue
    wanted = columns.time_format or "2026-05-16 05:12"
    raise CellError(columns.time, f"'{text}' is not a time in the form {wanted}.")


def _by_format(time_format: str) -> Callable[[str], datetime]:
    return lambda text: datetime.strptime(text, time_format)  # noqa: DTZ007  the clock comes later


def _instant(
    stated: datetime, clock: _Clock, repeated_hour: RepeatedHour, previous: datetime | None
) -> datetime:
    """The instant in UTC of a time as written; ValueError when there is none, or two."""
    if stated.tzinfo is not None:
        return stated.astimezone(UTC)
    first = stated.replace(tzinfo=clock.rules, fold=0)
    second = stated.replace(tzinfo=clock.rules, fold=1)
    if first.utcoffset() == second.utcoffset():
        return first.astimezone(UTC)
    one, two = first.astimezone(UTC), second.astimezone(UTC)
    if one > two:  # the hour that the clocks skip in spring
        raise ValueError(
            f"{stated:%Y-%m-%d %H:%M} does not exist in {clock.name}: the clocks skip it. "
            "Is the table in standard time, or UTC?"
        )
    if repeated_hour is not RepeatedHour.REFUSE:
        return one if repeated_hour is RepeatedHour.FIRST else two
    if previous is not None and one <= previous < two:
        return two
    raise ValueError(
        f"{stated:%Y-%m-%d %H:%M} comes twice in {clock.name} when the clocks go back: say "
        "whether the first or the second is meant, or write the offset beside the time."
    )


def _with_kinds(reads: list[_Read]) -> list[Turn]:
    """The turns; one without a kind is high when the next is lower, and low when it is higher."""
    turns: list[Turn] = []
    for read, after in zip(reads, [*reads[1:], None], strict=True):
        kind = read.kind
        if kind is None and after is not None and after.height_m != read.height_m:
            kind = TurnKind.HIGH if read.height_m > after.height_m else TurnKind.LOW
        if kind is None:
            last_low = bool(turns) and turns[-1].kind is TurnKind.LOW
            kind = TurnKind.HIGH if last_low else TurnKind.LOW
        turns.append(Turn(read.at, read.height_m, kind))
    return turns


def _disorder(reads: list[_Read]) -> list[Problem]:
    """The rows that are not after all rows above them."""
    problems = []
    latest = reads[0] if reads else None
    for read in reads[1:]:
        if latest is None or read.at > latest.at:
            latest = read
            continue
        repeated = read.at == latest.at
        message = (
            f"the time repeats that of row {latest.row.number}: keep one of them."
            if repeated
            else f"the time is before that of row {latest.row.number}: put the rows in order."
        )
        problems.append(Problem(read.row.number, read.columns.time, message))
    return problems


def _breaks(reads: list[_Read], turns: list[Turn]) -> list[Problem]:
    """The rows, in order of time, that cannot follow the row above."""
    gaps_h = [(after.at - before.at).total_seconds() / 3600 for before, after in pairwise(turns)]
    usual_h = median(gaps_h or [6.0])
    problems = []
    for read, gap_h, (before, after) in zip(reads[1:], gaps_h, pairwise(turns), strict=True):
        high, low = (after, before) if after.kind is TurnKind.HIGH else (before, after)
        if gap_h > _LONGEST_GAP * usual_h:
            column = read.columns.time
            message = (
                f"no turn for {_spoken(gap_h)} since {before.at:%Y-%m-%d %H:%M} UTC in the row "
                "above: rows are missing."
            )
        elif after.kind is before.kind:
            column = read.columns.kind or read.columns.height
            message = f"two {after.kind}s follow each other: one between is missing, or is wrong."
        elif high.height_m < low.height_m:
            column = read.columns.height
            message = "the high is under the low beside it: check the height and the kind."
        else:
            continue
        problems.append(Problem(read.row.number, column, message))
    return problems


def _spoken(gap_h: float) -> str:
    return f"{gap_h / 24:.1f} days" if gap_h >= 48 else f"{gap_h:.0f} hours"
