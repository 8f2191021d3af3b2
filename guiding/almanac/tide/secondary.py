"""Tide of a secondary place: time and height differences from a place that has a source."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta
from enum import StrEnum
from functools import cached_property

import numpy as np

from guiding.almanac.crossings import Floats
from guiding.almanac.instants import instant_of, posix_seconds
from guiding.almanac.tide.source import (
    Coverage,
    LevelCrossing,
    TideSource,
    Times,
    Turn,
    TurnKind,
)
from guiding.almanac.tide.table import TableTide, may_follow
from guiding.almanac.windows import Windows

_MARGIN = timedelta(hours=36)  # enough for a turn on either side, diurnal tides included


class HeightRule(StrEnum):
    """How the heights of a secondary place follow from the reference."""

    RATIO = "ratio"  # multiply
    DIFFERENCE_M = "difference"  # add metres


@dataclass(frozen=True, slots=True)
class TideDifferences:
    """What a table of secondary places prints for one place."""

    high_min: float
    low_min: float
    height_rule: HeightRule
    high: float
    low: float

    def __post_init__(self) -> None:
        if max(abs(self.high_min), abs(self.low_min)) > 24 * 60:
            raise ValueError(
                "A time difference of more than 24 hours is no secondary place: "
                f"{self.high_min} and {self.low_min} minutes were given."
            )
        if self.height_rule is HeightRule.RATIO and min(self.high, self.low) < 0:
            raise ValueError(f"A height ratio is not negative: {self.high} and {self.low} given.")

    def applied(self, turn: Turn) -> Turn:
        """The turn of the secondary place that belongs to a turn of the reference."""
        top = turn.kind is TurnKind.HIGH
        minutes, change = (self.high_min, self.high) if top else (self.low_min, self.low)
        ratio = self.height_rule is HeightRule.RATIO
        height = turn.height_m * change if ratio else turn.height_m + change
        return Turn(turn.at + timedelta(minutes=minutes), round(height, 4), turn.kind)


@dataclass(frozen=True)
class SecondaryTide:
    """The reference's highs and lows, shifted; the cosine law between them. Not for navigation."""

    source: str
    reference: TideSource
    differences: TideDifferences
    datum: str = "MLLW"
    mean_range_m: float | None = None

    @property
    def valid_from(self) -> datetime:
        """The first turn that follows from the reference."""
        return self._ends[0]

    @property
    def valid_until(self) -> datetime:
        """A minute past the last turn that follows from the reference."""
        return self._ends[1]

    def heights_m(self, times: Times) -> Floats:
        """The height at each of these times, in metres over the datum."""
        seconds = self._coverage.seconds(times)
        if not len(seconds):
            return np.empty(0)
        return self._table(float(seconds.min()), float(seconds.max())).heights_m(seconds)

    def height_m(self, at: datetime) -> float:
        """The height at an instant, in metres over the datum."""
        return float(self.heights_m(np.array([posix_seconds(at)]))[0])

    def turns(self, start: datetime, end: datetime) -> tuple[Turn, ...]:
        """The highs and lows from start (included) to end (not included)."""
        return self._table(*self._coverage.span(start, end)).turns(start, end)

    def crossings(
        self, level_m: float, start: datetime, end: datetime
    ) -> tuple[LevelCrossing, ...]:
        """When the tide passes a level from start (included) to end (not included)."""
        return self._table(*self._coverage.span(start, end)).crossings(level_m, start, end)

    def above(self, level_m: float, start: datetime, end: datetime) -> Windows:
        """The time from start to end in which the tide is at or over a level."""
        return self._table(*self._coverage.span(start, end)).above(level_m, start, end)

    @cached_property
    def _coverage(self) -> Coverage:
        return Coverage(self.source, *self._ends)

    @cached_property
    def _ends(self) -> tuple[datetime, datetime]:
        low, high = self.reference.valid_from, self.reference.valid_until
        begin = self._shifted(low, min(low + 2 * _MARGIN, high))
        close = self._shifted(max(high - 2 * _MARGIN, low), high)
        return begin.valid_from, close.valid_until

    def _table(self, first_s: float, last_s: float) -> TableTide:
        reach = _MARGIN + timedelta(
            minutes=max(abs(self.differences.high_min), abs(self.differences.low_min))
        )
        start = instant_of(first_s) - reach
        end = instant_of(last_s) + reach
        return self._shifted(
            max(start, self.reference.valid_from), min(end, self.reference.valid_until)
        )

    def _shifted(self, start: datetime, end: datetime) -> TableTide:
        """A table of the reference's turns from start to end; what falls out of order is left out.

        A short tide of the reference can lose its order when highs and lows shift by
        different minutes; then that high and that low are both dropped.
        """
        kept: list[Turn] = []
        for turn in map(self.differences.applied, self.reference.turns(start, end)):
            if kept and not may_follow(kept[-1], turn):
                kept.pop()
            else:
                kept.append(turn)
        return TableTide(self.source, tuple(kept), self.datum)
