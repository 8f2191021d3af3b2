"""Tide from the harmonic constants of a station."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime
from functools import cached_property, lru_cache

import numpy as np

from guiding.almanac.crossings import Curve, Flags, Floats
from guiding.almanac.instants import instant_of, posix_seconds
from guiding.almanac.tide.schureman import FIRST_YEAR, LAST_YEAR, tide_year_factors
from guiding.almanac.tide.source import Coverage, LevelCrossing, Times, Turn, TurnKind
from guiding.almanac.windows import Windows

SHORTEST_TIDE_MIN = 118.0  # a high and a low closer than this are left out, as in the US tables

_STEP_S = 1200.0
_BLOCK = 64  # samples that evenly spaced times share one set of sines for
_CHUNK = 4096  # other times are summed in pieces that stay in the processor's cache
_HOUR_S = 3600.0


@dataclass(frozen=True, slots=True)
class Constituent:
    """One harmonic constant: its amplitude, and its phase lag on Greenwich in degrees."""

    name: str
    amplitude_m: float
    phase_deg: float


@dataclass(frozen=True)
class HarmonicTide:
    """The tide of a station as the sum of its constituents over mean sea level.

    `z0_m` is mean sea level above the datum. A high and a low within `SHORTEST_TIDE_MIN` of each
    other are both left out of the turns, as the US tables leave them out; heights keep them.
    Not for navigation.
    """

    source: str
    constituents: tuple[Constituent, ...]
    z0_m: float
    datum: str = "MLLW"
    mean_range_m: float | None = None
    station_id: str = ""
    name: str = ""
    zone: str = "UTC"
    latitude_deg: float | None = None
    longitude_deg: float | None = None
    valid_from: datetime = datetime(FIRST_YEAR, 1, 1, tzinfo=UTC)
    valid_until: datetime = datetime(LAST_YEAR + 1, 1, 1, tzinfo=UTC)

    def heights_m(self, times: Times) -> Floats:
        """The height at each of these times, in metres over the datum."""
        return self._level(self._coverage.seconds(times))

    def height_m(self, at: datetime) -> float:
        """The height at an instant, in metres over the datum."""
        return float(self.heights_m(np.array([posix_seconds(at)]))[0])

    def turns(self, start: datetime, end: datetime) -> tuple[Turn, ...]:
        """The highs and lows from start (included) to end (not included)."""
        first, last = self._coverage.span(start, end)
        # Looked for a little beyond both ends, so that a pair is left out even when cut in two.
        low, high = (posix_seconds(each) for each in (self.valid_from, self.valid_until))
        margin = 6 * _HOUR_S
        searched = max(first - margin, low), min(last + margin, high - 1)
        if searched[1] <= searched[0]:
            return ()
        times, tops = self._turning_points(*searched)
        kept = (times >= first) & (times < last)
        times, tops = times[kept], tops[kept]
        return tuple(
            Turn(instant_of(at), height, TurnKind.HIGH if top else TurnKind.LOW)
            for at, height, top in zip(
                times.tolist(), np.round(self._level(times), 4).tolist(), tops.tolist(), strict=True
            )
        )

    def crossings(
        self, level_m: float, start: datetime, end: datetime
    ) -> tuple[LevelCrossing, ...]:
        """When the tide passes a level from start (included) to end (not included)."""
        first, last = self._coverage.span(start, end)
        if last == first:
            return ()
        times, rising = Curve(self._level, _STEP_S).crossings(level_m, first, last)
        return tuple(
            LevelCrossing(instant_of(at), up)
            for at, up in zip(times.tolist(), rising.tolist(), strict=True)
        )

    def above(self, level_m: float, start: datetime, end: datetime) -> Windows:
        """The time from start to end in which the tide is at or over a level."""
        first, last = self._coverage.span(start, end)
        if last == first:
            return Windows()
        return Curve(self._level, _STEP_S).above(level_m, first, last)

    @cached_property
    def _coverage(self) -> Coverage:
        return Coverage(self.source, self.valid_from, self.valid_until)

    def _level(self, seconds: Floats) -> Floats:
        return self.z0_m + self._summed(seconds, rate=False)

    def _rate(self, seconds: Floats) -> Floats:
        return self._summed(seconds, rate=True)

    def _summed(self, seconds: Floats, *, rate: bool) -> Floats:
        years = seconds.astype("datetime64[s]").astype("datetime64[Y]").astype(np.int64) + 1970
        years = np.clip(years, FIRST_YEAR, LAST_YEAR)  # a search looks a step beyond its span
        if not len(years):
            return np.empty(0)
        if years.min() == years.max():
            return _year_sum(self.constituents, int(years[0])).at(seconds, rate=rate)
        total = np.empty(len(seconds))
        for year in np.unique(years):
            these = years == year
            total[these] = _year_sum(self.constituents, int(year)).at(seconds[these], rate=rate)
        return total

    def _turning_points(self, first_s: float, last_s: float) -> tuple[Floats, Flags]:
        """When the rate passes zero, and whether that is a high; close pairs left out."""
        times, rising = Curve(self._rate, _STEP_S).crossings(0.0, first_s, last_s)
        shortest = SHORTEST_TIDE_MIN * 60
        gaps = np.diff(times)
        while len(gaps) and gaps.min() < shortest:
            pair = int(gaps.argmin())
            times = np.delete(times, [pair, pair + 1])
            rising = np.delete(rising, [pair, pair + 1])
            gaps = np.diff(times)
        return times, ~rising


@dataclass(frozen=True, slots=True, eq=False)
class _YearSum:
    """The constituents made ready for one calendar year: radians and seconds from its start."""

    start_s: float
    amplitude_m: Floats
    phase: Floats
    speed: Floats

    def at(self, seconds: Floats, *, rate: bool) -> Floats:
        """The sum at these times, or its rate in metres per hour."""
        since = seconds - self.start_s
        # d/dt A cos(x) = A w cos(x + 90 degrees)
        amplitude = self.amplitude_m * self.speed * _HOUR_S if rate else self.amplitude_m
        phase = self.phase + np.pi / 2 if rate else self.phase
        step = _even_step(since)
        if step is not None:
            return self._at_even(float(since[0]), step, len(since), amplitude, phase)
        pieces = [
            np.cos(np.multiply.outer(since[i : i + _CHUNK], self.speed) + phase) @ amplitude
            for i in range(0, len(since), _CHUNK)
        ]
        return pieces[0] if len(pieces) == 1 else np.concatenate(pieces)

    def _at_even(
        self, first: float, step: float, count: int, amplitude: Floats, phase: Floats
    ) -> Floats:
        """cos(a + b) = cos a cos b - sin a sin b: a per block, b within it, one matrix product."""
        starts = first + step * _BLOCK * np.arange(-(-count // _BLOCK))
        a = np.multiply.outer(starts, self.speed) + phase
        b = np.multiply.outer(self.speed, step * np.arange(_BLOCK))
        left = np.concatenate([np.cos(a) * amplitude, np.sin(a) * -amplitude], axis=1)
        right = np.concatenate([np.cos(b), np.sin(b)])
        summed: Floats = (left @ right).ravel()[:count]
        return summed


def _even_step(since: Floats) -> float | None:
    """The step of times that are evenly spaced and many enough for it to matter."""
    count = len(since)
    if count < 2 * _BLOCK:
        return None
    step = float(since[-1] - since[0]) / (count - 1)
    off = np.abs(since - (since[0] + step * np.arange(count)))
    return step if step > 0 and off.max() < 1e-3 else None


@lru_cache(maxsize=512)
def _year_sum(constituents: tuple[Constituent, ...], year: int) -> _YearSum:
    factors = tide_year_factors(year)
    used = [(each, factors[each.name]) for each in constituents if each.amplitude_m]
    return _YearSum(
        start_s=posix_seconds(datetime(year, 1, 1, tzinfo=UTC)),
        amplitude_m=np.array([each.amplitude_m * of.node_factor for each, of in used]),
        phase=np.radians([of.argument_deg - each.phase_deg for each, of in used]),
        speed=np.radians([of.speed_deg_per_h for _, of in used]) / _HOUR_S,
    )
