"""What every tide source can say, wherever its numbers come from."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from guiding.almanac.crossings import Floats
from guiding.almanac.instants import instant_of, posix_seconds
from guiding.almanac.windows import Windows

Times = NDArray[np.datetime64] | NDArray[np.float64] | NDArray[np.int64]


class TurnKind(StrEnum):
    """Which way the tide turned."""

    HIGH = "high"
    LOW = "low"


@dataclass(frozen=True, slots=True)
class Turn:
    """A high or low water: aware UTC, height in metres above the datum of its source."""

    at: datetime
    height_m: float
    kind: TurnKind


@dataclass(frozen=True, slots=True)
class LevelCrossing:
    """An instant at which the tide passes a level, and whether it rises."""

    at: datetime
    rising: bool


class TideSource(Protocol):
    """Heights, turns and crossings of one place, with where they come from and when they end.

    Times are aware; arrays of times are numpy datetime64 in UTC or POSIX seconds. Spans run from
    their start (included) to their end (not included). Heights are metres above `datum`. Asked
    for a time outside `valid_from` to `valid_until`, every method raises ValueError.
    """

    @property
    def source(self) -> str:
        """Where the numbers come from, in words fit for a sheet."""

    @property
    def datum(self) -> str:
        """The zero of the heights."""

    @property
    def valid_from(self) -> datetime:
        """The first instant that is covered."""

    @property
    def valid_until(self) -> datetime:
        """The first instant that is no longer covered."""

    @property
    def mean_range_m(self) -> float | None:
        """The mean range from high to low water, where it is known."""

    def heights_m(self, times: Times) -> Floats:
        """The height at each of these times."""

    def height_m(self, at: datetime) -> float:
        """The height at an instant."""

    def turns(self, start: datetime, end: datetime) -> tuple[Turn, ...]:
        """The highs and lows of a span, in order."""

    def crossings(
        self, level_m: float, start: datetime, end: datetime
    ) -> tuple[LevelCrossing, ...]:
        """When the tide passes a level in a span, in order."""

    def above(self, level_m: float, start: datetime, end: datetime) -> Windows:
        """The time in a span in which the tide is at or over a level."""


@dataclass(frozen=True, slots=True)
class Coverage:
    """The time a source covers, and the check that a question stays inside it."""

    source: str
    valid_from: datetime
    valid_until: datetime

    def seconds(self, times: Times) -> Floats:
        """The times as POSIX seconds, checked; ValueError names the first one outside."""
        if np.issubdtype(times.dtype, np.datetime64):
            seconds = times.astype("datetime64[us]").astype(np.int64) / 1e6
        else:
            seconds = np.asarray(times, dtype=np.float64)
        if len(seconds):
            # a time is covered before the end, a span up to it
            self._check(float(seconds.min()), float(seconds.max()) + 1e-3)
        return seconds

    def span(self, start: datetime, end: datetime) -> tuple[float, float]:
        """The two ends as POSIX seconds, checked."""
        first, last = posix_seconds(start), posix_seconds(end)
        if last < first:
            raise ValueError(f"The span ends ({end}) before it starts ({start}): exchange them.")
        self._check(first, last)
        return first, last

    def _check(self, first_s: float, last_s: float) -> None:
        low, high = posix_seconds(self.valid_from), posix_seconds(self.valid_until)
        if first_s < low or last_s > high:
            outside = instant_of(first_s if first_s < low else last_s)
            raise ValueError(
                f"{self.source} covers {self.valid_from:%Y-%m-%d %H:%M} to "
                f"{self.valid_until:%Y-%m-%d %H:%M} UTC and has no tide for "
                f"{outside:%Y-%m-%d %H:%M}: load a source for that time."
            )
