"""Everything the almanac says about a local date at a place, for one day or for a year of them."""

from __future__ import annotations

from bisect import bisect_left
from dataclasses import dataclass
from datetime import date, datetime, timedelta

import numpy as np

from guiding.almanac.instants import instant_of, local_day, posix_seconds
from guiding.almanac.light import LightDay, light_days
from guiding.almanac.tide.source import TideSource, Turn
from guiding.almanac.tide.strength import TideStrength, tide_range_m, tide_strength
from guiding.almanac.windows import Span, Windows

_NEIGHBOURS = timedelta(hours=18)  # a turn on either side of the day, diurnal tides included


@dataclass(frozen=True, slots=True)
class TideHeight:
    """The height of the tide at an instant, metres over the datum of its source."""

    at: datetime
    height_m: float


@dataclass(frozen=True, slots=True)
class TideDay:
    """The tide of one local date.

    `covered` is the part of the date that the source covers; outside it nothing is said.
    `range_m` is the mean range of the day's tides with the turns on either side, `strength` that
    range against the mean range of the place; both None where they cannot be told.
    """

    source: str
    datum: str
    covered: Span
    turns: tuple[Turn, ...]
    curve: tuple[TideHeight, ...]
    range_m: float | None
    strength: TideStrength | None


@dataclass(frozen=True, slots=True)
class AlmanacDay:
    """Light, moon and tide of one local date; without a tide, or with part of one, why."""

    light: LightDay
    tide: TideDay | None
    tide_why: str

    @property
    def day(self) -> date:
        """The local date."""
        return self.light.day


@dataclass(frozen=True, slots=True)
class Almanac:
    """The almanac of a place: where it is, the zone of its dates, and the tide if it has one."""

    latitude_deg: float
    longitude_deg: float
    zone: str
    tide: TideSource | None = None

    def day(self, day: date, *, step_min: int = 15) -> AlmanacDay:
        """One local date, its tide curve every `step_min` minutes with both ends."""
        return self.days(day, day, step_min=step_min)[0]

    def year(self, year: int) -> tuple[AlmanacDay, ...]:
        """Every date of a calendar year, without tide curves."""
        return self.days(date(year, 1, 1), date(year, 12, 31))

    def days(
        self, first: date, last: date, *, step_min: int | None = None
    ) -> tuple[AlmanacDay, ...]:
        """Every local date from first to last, both included; curves only with a step.

        ValueError for a place, zone, date or step that cannot be. A date that the tide source
        does not cover comes without a tide, and with the reason.
        """
        if step_min is not None and not 1 <= step_min <= 240:
            raise ValueError(f"A step of {step_min} minutes is not between 1 and 240: take 15.")
        light = light_days(self.latitude_deg, self.longitude_deg, self.zone, first, last)
        if self.tide is None:
            return tuple(AlmanacDay(each, None, "the place has no tide source") for each in light)
        turns = self._turns(light[0].start, light[-1].end)
        return tuple(self._with_tide(self.tide, each, turns, step_min) for each in light)

    def tide_on(self, day: date, *, step_min: int = 15) -> TideDay | None:
        """The tide of one local date; None without a source or outside its coverage."""
        span = local_day(day, self.zone)
        if self.tide is None:
            return None
        return _tide_day(self.tide, span, self._turns(span.start, span.end), step_min)

    def _turns(self, start: datetime, end: datetime) -> tuple[Turn, ...]:
        if self.tide is None:
            return ()
        start = max(start - _NEIGHBOURS, self.tide.valid_from)
        end = min(end + _NEIGHBOURS, self.tide.valid_until)
        return self.tide.turns(start, end) if start < end else ()

    def _with_tide(
        self, tide: TideSource, light: LightDay, turns: tuple[Turn, ...], step_min: int | None
    ) -> AlmanacDay:
        span = Span(light.start, light.end)
        found = _tide_day(tide, span, turns, step_min)
        why = ""
        if found is None or found.covered != span:
            why = (
                f"{tide.source} covers {tide.valid_from:%Y-%m-%d %H:%M} to "
                f"{tide.valid_until:%Y-%m-%d %H:%M} UTC"
            )
        return AlmanacDay(light, found, why)


def _tide_day(
    tide: TideSource, span: Span, turns: tuple[Turn, ...], step_min: int | None
) -> TideDay | None:
    covered = Windows((span,)).clip(tide.valid_from, tide.valid_until).longest
    if covered is None:
        return None
    i = bisect_left(turns, covered.start, key=lambda turn: turn.at)
    j = bisect_left(turns, covered.end, key=lambda turn: turn.at)
    around = turns[max(i - 1, 0) : j + 1]
    range_m = tide_range_m(around) if len(around) > 1 else None
    mean_m = tide.mean_range_m
    return TideDay(
        source=tide.source,
        datum=tide.datum,
        covered=covered,
        turns=turns[i:j],
        curve=_curve(tide, covered, step_min) if step_min else (),
        range_m=range_m,
        strength=tide_strength(range_m, mean_m) if range_m is not None and mean_m else None,
    )


def _curve(tide: TideSource, span: Span, step_min: int) -> tuple[TideHeight, ...]:
    first, last = posix_seconds(span.start), posix_seconds(span.end)
    times = np.arange(first, last, step_min * 60.0)
    # the last instant of the day, a moment before the midnight that no longer belongs to it
    times = np.append(times, last - 0.01)
    heights = tide.heights_m(times)
    ends = np.append(times[:-1], last)
    return tuple(
        TideHeight(instant_of(at), round(height, 4))
        for at, height in zip(ends.tolist(), heights.tolist(), strict=True)
    )
