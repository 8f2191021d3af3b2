"""Tide from an official table of highs and lows."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta
from functools import cached_property
from itertools import pairwise

import numpy as np

from guiding.almanac.crossings import Flags, Floats
from guiding.almanac.instants import instant_of, posix_seconds
from guiding.almanac.tide.source import Coverage, LevelCrossing, Times, Turn, TurnKind
from guiding.almanac.windows import Windows

# The water stands at a turn; so long a table still speaks after its last one.
_STAND = timedelta(minutes=1)


def cosine_law_height_m(
    low_m: float, high_m: float, duration_min: float, minutes_after_low: float
) -> float:
    """The height between a low and a high water that follow each other, by the cosine law.

    `duration_min` from low to high, `minutes_after_low` from 0 to that duration; for a falling tide
    count back from the low that follows. h = (H + L)/2 - (H - L)/2 cos(pi t / T), the law
    behind the printed correction tables. Fails where the curve of the place is not even
    (double tides, long stands). ValueError outside the range.
    """
    if duration_min <= 0:
        raise ValueError(f"The tide cannot take {duration_min} min: give the minutes it takes.")
    if not 0 <= minutes_after_low <= duration_min:
        raise ValueError(
            f"{minutes_after_low} min after low water is not within the {duration_min} min of "
            "this tide: take the tide that covers the time."
        )
    swing = np.cos(np.pi * minutes_after_low / duration_min)
    return float((high_m + low_m) / 2 - (high_m - low_m) / 2 * swing)


@dataclass(frozen=True)
class TableTide:
    """The tide of a table: its highs and lows as printed, the cosine law between them.

    The turns must alternate, in order of time, no high under a low beside it; ValueError
    names the first that breaks this. It covers its first to its last turn. Not for navigation.
    """

    source: str
    table: tuple[Turn, ...]
    datum: str = "the datum of the table"

    def __post_init__(self) -> None:
        if len(self.table) < 2:
            raise ValueError(f"{self.source} holds {len(self.table)} turns: it needs at least two.")
        for before, after in pairwise(self.table):
            trouble = _trouble(before, after)
            if trouble:
                raise ValueError(f"{self.source}: {trouble} Correct the table.")

    @property
    def valid_from(self) -> datetime:
        """The first turn."""
        return self.table[0].at

    @property
    def valid_until(self) -> datetime:
        """A minute past the last turn."""
        return self.table[-1].at + _STAND

    @property
    def mean_range_m(self) -> float:
        """The mean of all ranges in the table."""
        return round(float(np.abs(np.diff(self._heights)).mean()), 3)

    def heights_m(self, times: Times) -> Floats:
        """The height at each of these times, in metres over the datum."""
        seconds = self._coverage.seconds(times)
        after = np.clip(np.searchsorted(self._times, seconds, "right"), 1, len(self._times) - 1)
        t0, t1 = self._times[after - 1], self._times[after]
        h0, h1 = self._heights[after - 1], self._heights[after]
        share = np.minimum((seconds - t0) / (t1 - t0), 1.0)
        heights: Floats = (h0 + h1) / 2 + (h0 - h1) / 2 * np.cos(np.pi * share)
        return heights

    def height_m(self, at: datetime) -> float:
        """The height at an instant, in metres over the datum."""
        return float(self.heights_m(np.array([posix_seconds(at)]))[0])

    def turns(self, start: datetime, end: datetime) -> tuple[Turn, ...]:
        """The highs and lows from start (included) to end (not included)."""
        first, last = self._coverage.span(start, end)
        i, j = np.searchsorted(self._times, [first, last], "left")
        return self.table[i:j]

    def crossings(
        self, level_m: float, start: datetime, end: datetime
    ) -> tuple[LevelCrossing, ...]:
        """When the tide passes a level from start (included) to end (not included)."""
        first, last = self._coverage.span(start, end)
        times, rising = self._crossed(level_m)
        inside = (times >= first) & (times < last)
        return tuple(
            LevelCrossing(instant_of(at), up)
            for at, up in zip(times[inside].tolist(), rising[inside].tolist(), strict=True)
        )

    def above(self, level_m: float, start: datetime, end: datetime) -> Windows:
        """The time from start to end in which the tide is at or over a level."""
        first, last = self._coverage.span(start, end)
        if last == first:
            return Windows()
        passes = self.crossings(level_m, start, end)
        return Windows.from_crossings(
            start,
            end,
            ((each.at, each.rising) for each in passes),
            inside_at_start=self.height_m(start) >= level_m,
        )

    def _crossed(self, level_m: float) -> tuple[Floats, Flags]:
        """All crossings of the table: the cosine law solved for the time."""
        over = self._heights >= level_m
        at = np.flatnonzero(over[1:] != over[:-1])
        t0, t1 = self._times[at], self._times[at + 1]
        h0, h1 = self._heights[at], self._heights[at + 1]
        share = np.arccos(np.clip(1 - 2 * (level_m - h0) / (h1 - h0), -1, 1)) / np.pi
        return t0 + (t1 - t0) * share, ~over[at]

    @cached_property
    def _coverage(self) -> Coverage:
        return Coverage(self.source, self.valid_from, self.valid_until)

    @cached_property
    def _times(self) -> Floats:
        return np.array([posix_seconds(turn.at) for turn in self.table])

    @cached_property
    def _heights(self) -> Floats:
        return np.array([turn.height_m for turn in self.table])


def may_follow(before: Turn, after: Turn) -> bool:
    """Whether one turn of the tide can be the next one after another."""
    return _trouble(before, after) is None


def _trouble(before: Turn, after: Turn) -> str | None:
    """Why two turns cannot follow each other, or None."""
    named = " and ".join(f"{each.kind} at {each.at:%Y-%m-%d %H:%M}" for each in (before, after))
    if after.at <= before.at:
        return f"{named} UTC are not in order of time."
    if after.kind is before.kind:
        return f"{named} UTC follow each other: a turn between them is missing or wrong."
    high, low = (before, after) if before.kind is TurnKind.HIGH else (after, before)
    if high.height_m < low.height_m:
        return f"{named} UTC: the high ({high.height_m} m) is under the low ({low.height_m} m)."
    return None
