"""Where each turn of a table stands: one a row, or several in the row of a day; or typed lines."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace

from guiding.almanac.tide.reading import Problem, Row, Table

_NOTHING = {"", "-", "--", "–", "—", "--:--", "-:-"}
_BETWEEN = re.compile(r"[;\t]|(?<=\d)T(?=\d)")
_TYPED_TIME = re.compile(r"(\d{1,2}):?(\d{2})(?::00)?(Z|[+-]\d{1,2}:?\d{2})?", re.IGNORECASE)
_TYPED_HEIGHT = re.compile(r"[+-]?\d*[.,]?\d+")
_LINE_HELP = (
    "write the day, then time, metres and high or low, of one turn or of all that the day has: "
    "2026-06-13 02:49 0.5 low 08:57 4.1 high."
)


@dataclass(frozen=True, slots=True)
class TurnColumns:
    """Which columns of a table hold what.

    `time` holds the time, with the date unless `date` names a column for it. Without a `kind`
    column a turn is high or low by its neighbours. `time_format` is in the notation of strptime;
    empty for the usual notations, ISO 8601 with or without an offset first of all.
    """

    time: str = "time"
    height: str = "height"
    kind: str = ""
    date: str = ""
    time_format: str = ""


def turn_places(text: str, columns: TurnColumns) -> tuple[Table, list[tuple[Row, TurnColumns]]]:
    """The rows of a table and, in their order, where each turn stands in them."""
    found = Table.of(text, (), "tide table", numbered=True)
    header = found.header
    several = [] if columns.time in header else _several(columns, header)
    if not several:
        needed = (columns.date, columns.time, columns.height, columns.kind)
        table = Table.of(text, tuple(filter(None, needed)), "tide table", numbered=True)
        return table, [(row, columns) for row in table.rows]
    places = []
    for row in found.rows:
        places += [(row, each) for each in several if not _empty(row, each)]
    return found, places


def _several(columns: TurnColumns, header: tuple[str, ...]) -> list[TurnColumns]:
    """The columns of each turn of a day, by number; none where the table is not of that kind."""
    found = []
    for number in range(1, 9):
        times, heights, kinds = (
            _numbered(name, number, header) for name in (columns.time, columns.height, columns.kind)
        )
        if times and heights and (kinds or not columns.kind):
            found.append(replace(columns, time=times, height=heights, kind=kinds))
    dated = columns.date in header and len(found) > 1
    return found if dated else []


def _numbered(name: str, number: int, header: tuple[str, ...]) -> str:
    pattern = re.compile(rf"{re.escape(name)}[ _-]?0?{number}")
    return next((each for each in header if name and pattern.fullmatch(each)), "")


def _empty(row: Row, columns: TurnColumns) -> bool:
    return all(
        row.cells.get(name, "").strip() in _NOTHING for name in (columns.time, columns.height)
    )


def typed_places(text: str) -> tuple[list[Problem], list[tuple[Row, TurnColumns]]]:
    """Where the turns of typed lines stand: a day, then each turn's time, metres, high or low."""
    problems, places = [], []
    for number, line in enumerate(text.splitlines(), 1):
        words = _BETWEEN.sub(" ", line).split()
        if not words:
            continue
        turns = _typed_turns(words[1:])
        if not turns:
            problems.append(Problem(number, "", f"{line.strip()[:40]!r}: {_LINE_HELP}"))
            continue
        for place, (time, height, kind) in enumerate(turns, 1):
            which = f" {place}" if len(turns) > 1 else ""
            columns = TurnColumns(f"time{which}", f"metres{which}", "kind" if kind else "", "day")
            cells = {"day": words[0], columns.time: time, columns.height: height, "kind": kind}
            places.append((Row(number, cells, decimal_comma=True), columns))
    return problems, places


def _typed_turns(words: list[str]) -> list[tuple[str, str, str]]:
    """Time, height and kind of each turn; empty where the words do not hold turns."""
    found, left = [], list(words)
    while left:
        time = _TYPED_TIME.fullmatch(left.pop(0))
        if time is None or not left or not _TYPED_HEIGHT.fullmatch(left[0]):
            return []
        hour, minute, offset = time.groups("")
        height = left.pop(0)
        kind = left.pop(0) if left and not left[0][0].isdigit() else ""
        found.append((f"{int(hour):02d}:{minute}{offset}", height, kind))
    return found
