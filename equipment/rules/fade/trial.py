"""The forecast tried on finished cells: each cell judged by what the other cells taught."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from statistics import median

import numpy as np

from equipment.rules.fade._calibration import Lesson, calibrate
from equipment.rules.fade._method import (
    CHECKS_NEEDED,
    REFERENCE_CALIBRATION,
    Calibration,
    forecast_with,
)
from equipment.rules.fade._shapes import Series, full_discharges, life_behind_share

RETIRE_SHARES = (0.9, 0.85, 0.8, 0.7)
SEEN_SHARES = (0.3, 0.5, 0.7, 0.9)
_LESSON_SHARES = tuple(round(0.2 + 0.05 * step, 2) for step in range(16))  # 0.20 to 0.95
_IN_A_ROW = 5
_LAST_PART = 0.4


@dataclass(frozen=True, slots=True)
class CellLife:
    """A cell cycled to its end: partial and disturbed cycles already left out.

    `kind` names the series it belongs to; cells of one kind were made and cycled alike.
    """

    name: str
    kind: str
    rated_ah: float
    cycles: tuple[float, ...]
    capacities_ah: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class TrialRow:
    """One forecast against what happened; errors and cycles are those of the end of life."""

    method: str
    cell: str
    retire_share: float
    seen_share: float
    cycles_seen: int
    actual_cycle: int
    forecast_cycle: int | None
    low_cycle: int | None
    high_cycle: int | None
    error_share: float | None
    held: bool | None
    bends: bool


@dataclass(frozen=True, slots=True)
class TrialSummary:
    """A method at a share of life: median error over its figures, and with every missing figure
    counted as a miss (None: more than half are missing); how often its band held the outcome."""

    method: str
    seen_share: float
    cases: int
    figures: int
    median_error_share: float | None
    median_error_all_share: float | None
    held_share: float | None
    bends: int


@dataclass(frozen=True, slots=True)
class ForecastTrial:
    """Every forecast of a trial, and the summary by method and share of life seen."""

    rows: tuple[TrialRow, ...]
    summary: tuple[TrialSummary, ...]


def end_of_life_cycle(
    *,
    cycles: tuple[float, ...],
    capacities_ah: tuple[float, ...],
    rated_ah: float,
    retire_share: float,
) -> int | None:
    """The cycle at which a finished series reached its retirement share; None if it never did.

    It is the first of five checks in a row below that share of rated capacity, or, where the
    series ends before five follow, the first of the run below with which it ends.
    """
    below = [capacity_ah < retire_share * rated_ah for capacity_ah in capacities_ah]
    start: int | None = None
    for at, is_below in enumerate(below):
        if not is_below:
            start = None
            continue
        start = at if start is None else start
        if at - start + 1 == _IN_A_ROW:
            break
    return None if start is None else round(cycles[start])


def forecast_report(
    *,
    cells: tuple[CellLife, ...],
    retire_shares: tuple[float, ...] = RETIRE_SHARES,
    seen_shares: tuple[float, ...] = SEEN_SHARES,
) -> ForecastTrial:
    """Forecasts made at shares of each cell's life against the end it came to, by several methods.

    A case is a cell and a retirement share it reached; a forecast sees the checks up to a share of
    that life. Methods: the product's, calibrated without the cell it judges, without every cell
    of that kind, and as shipped; a least-squares line through all checks and through the last
    40 %; and 'twice what was seen', which is right at half of a life by construction and shows
    what a median there is worth. Shapes and weights were chosen with all seven published cells in
    view (neighbouring choices gave 9 to 13 % at half of life); only the calibration is left out
    in turn. Raises ValueError for fewer than two cells.
    """
    if len({cell.name for cell in cells}) < 2:
        raise ValueError("A trial leaves one cell out: give at least two cells.")
    lessons = tuple(lesson for cell in cells for lesson in _lessons(cell, retire_shares))
    rows = []
    for cell in cells:
        methods = _methods(cell, lessons)
        for retire_share, actual in _ends(cell, retire_shares):
            for seen_share in seen_shares:
                cycles, health = _seen(cell, seen_share * actual)
                for name, method in methods.items():
                    found = method(cycles, health, retire_share)
                    rows.append(
                        _row(name, cell.name, retire_share, seen_share, cycles, actual, found)
                    )
    return ForecastTrial(tuple(rows), tuple(_summaries(rows)))


def forecast_report_lines(*, trial: ForecastTrial) -> tuple[str, ...]:
    """A trial as lines of a table: one line a method and share of life, errors in per cent."""
    lines = [
        f"{'method':<38} {'seen':>5} {'cases':>5} {'figures':>7} {'median':>7} {'all':>7} "
        f"{'held':>5} {'bends':>5}"
    ]
    for one in trial.summary:
        lines.append(
            f"{one.method:<38} {one.seen_share:>5.0%} {one.cases:>5} {one.figures:>7} "
            f"{_percent(one.median_error_share):>7} {_percent(one.median_error_all_share):>7} "
            f"{'-' if one.held_share is None else f'{one.held_share:.0%}':>5} {one.bends:>5}"
        )
    return tuple(lines)


@dataclass(frozen=True, slots=True)
class _Found:
    """What a method said: cycle of the end of life, its band, and whether it saw a bend."""

    end: float | None
    low: float | None = None
    high: float | None = None
    bends: bool = False


_Method = Callable[[Series, Series, float], _Found]


def _methods(cell: CellLife, lessons: tuple[Lesson, ...]) -> dict[str, _Method]:
    others = tuple(lesson for lesson in lessons if lesson.cell != cell.name)
    other_kinds = tuple(lesson for lesson in lessons if lesson.kind != cell.kind)
    methods = {
        "ours, without this cell": _ours(calibrate(others)),
        "ours, as shipped": _ours(REFERENCE_CALIBRATION),
        "line through all checks": _line(1.0),
        "line through the last 40 %": _line(_LAST_PART),
        "twice what was seen (exact at half)": _twice,
    }
    if other_kinds:
        methods["ours, without this kind of cell"] = _ours(calibrate(other_kinds))
    return methods


def _ours(calibration: Calibration) -> _Method:
    def method(cycles: Series, health: Series, retire_share: float) -> _Found:
        cycles, health = full_discharges(cycles, health)
        forecast = forecast_with(cycles, health, retire_share, calibration)
        if forecast.cycles_left is None or forecast.low is None or forecast.high is None:
            return _Found(None, bends=forecast.bends)
        last = float(cycles[-1])
        return _Found(
            last + forecast.cycles_left,
            last + forecast.low,
            last + forecast.high,
            forecast.bends,
        )

    return method


def _line(part: float) -> _Method:
    def method(cycles: Series, health: Series, retire_share: float) -> _Found:
        count = max(3, int(part * len(cycles)))
        if len(cycles) < count:
            return _Found(None)
        slope, level = np.polyfit(cycles[-count:], health[-count:], 1)
        return _Found(None if slope >= 0 else float((retire_share - level) / slope))

    return method


def _twice(cycles: Series, health: Series, retire_share: float) -> _Found:
    return _Found(2 * float(cycles[-1]) if len(cycles) else None)


def _lessons(cell: CellLife, retire_shares: tuple[float, ...]) -> Iterator[Lesson]:
    for retire_share, actual in _ends(cell, retire_shares):
        for seen_share in _LESSON_SHARES:
            cycles, health = full_discharges(*_seen(cell, seen_share * actual))
            if len(cycles) < CHECKS_NEEDED or float(np.median(health[-3:])) < retire_share:
                continue
            shapes_share = life_behind_share(cycles, health, retire_share)
            if shapes_share is not None:
                yield Lesson(cell.name, cell.kind, float(cycles[-1]) / actual, shapes_share)


def _ends(cell: CellLife, retire_shares: tuple[float, ...]) -> Iterator[tuple[float, int]]:
    for retire_share in retire_shares:
        actual = end_of_life_cycle(
            cycles=cell.cycles,
            capacities_ah=cell.capacities_ah,
            rated_ah=cell.rated_ah,
            retire_share=retire_share,
        )
        if actual is not None:
            yield retire_share, actual


def _seen(cell: CellLife, until: float) -> tuple[Series, Series]:
    cycles = np.asarray(cell.cycles, dtype=np.float64)
    health = np.asarray(cell.capacities_ah, dtype=np.float64) / cell.rated_ah
    return cycles[cycles <= until], health[cycles <= until]


def _row(
    method: str,
    cell: str,
    retire_share: float,
    seen_share: float,
    cycles: Series,
    actual: int,
    found: _Found,
) -> TrialRow:
    return TrialRow(
        method=method,
        cell=cell,
        retire_share=retire_share,
        seen_share=seen_share,
        cycles_seen=len(cycles),
        actual_cycle=actual,
        forecast_cycle=_whole(found.end),
        low_cycle=_whole(found.low),
        high_cycle=_whole(found.high),
        error_share=None if found.end is None else abs(found.end / actual - 1),
        held=None if found.low is None or found.high is None else found.low <= actual <= found.high,
        bends=found.bends,
    )


def _summaries(rows: list[TrialRow]) -> Iterator[TrialSummary]:
    names = list(dict.fromkeys(row.method for row in rows))
    for name in names:
        for seen_share in dict.fromkeys(row.seen_share for row in rows):
            group = [row for row in rows if (row.method, row.seen_share) == (name, seen_share)]
            errors = [row.error_share for row in group if row.error_share is not None]
            held = [row.held for row in group if row.held is not None]
            missing = [float("inf")] * (len(group) - len(errors))
            over_all = median([*errors, *missing])
            yield TrialSummary(
                method=name,
                seen_share=seen_share,
                cases=len(group),
                figures=len(errors),
                median_error_share=median(errors) if errors else None,
                median_error_all_share=None if over_all == float("inf") else over_all,
                held_share=sum(held) / len(held) if held else None,
                bends=sum(row.bends for row in group),
            )


def _whole(cycle: float | None) -> int | None:
    return None if cycle is None else round(cycle)


def _percent(share: float | None) -> str:
    return "-" if share is None else f"{share:.1%}"
