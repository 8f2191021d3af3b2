"""The windows a day on the shore is planned in: when to fish, when to fly, when to be gone.

Numbers marked [house] are defaults of ours without a source: every guide sets their own. The
answers are plans, not promises: watch the water, and check with your own authority what may fly.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta

import numpy as np

from guiding.almanac.crossings import Curve, Floats
from guiding.almanac.instants import posix_seconds
from guiding.almanac.sky import Sky
from guiding.almanac.tide.source import TideSource, Turn, TurnKind
from guiding.almanac.windows import Span, Windows

_TIDE_REACH = timedelta(hours=36)


@dataclass(frozen=True, slots=True)
class Reading:
    """A value of a forecast that holds from its instant until the next reading; None is unknown."""

    at: datetime
    value: float | None


@dataclass(frozen=True, slots=True)
class TideWanted:
    """The tide a spot fishes on: near a kind of turn, between two levels, or both.

    Without a `kind` any time serves; without levels any height. `before_min` and `after_min` run
    from the turn.
    """

    kind: TurnKind | None = None
    before_min: float = 0.0
    after_min: float = 0.0
    over_m: float | None = None
    under_m: float | None = None

    def __post_init__(self) -> None:
        if min(self.before_min, self.after_min) < 0:
            raise ValueError("The minutes before and after a turn are not below zero.")
        if self.over_m is not None and self.under_m is not None and self.over_m >= self.under_m:
            raise ValueError(
                f"No tide is over {self.over_m} m and under {self.under_m} m: exchange them."
            )

    def windows(self, tide: TideSource, start: datetime, end: datetime) -> Windows:
        """When between start and end the tide is as wanted."""
        found = Windows.of((start, end))
        if self.kind is not None:
            before, after = timedelta(minutes=self.before_min), timedelta(minutes=self.after_min)
            turns = _turns_near(tide, start, end, after, before)
            found &= Windows.of(
                *((turn.at - before, turn.at + after) for turn in turns if turn.kind is self.kind)
            )
        if self.over_m is not None:
            found &= tide.above(self.over_m, start, end)
        if self.under_m is not None:
            found -= tide.above(self.under_m, start, end)
        return found


@dataclass(frozen=True, slots=True)
class LeaveBy:
    """When to start for home. `at` is None when the way out stays open; `why` says what decides.

    `shut_at` is when the water reaches the sill, `level_m` the tide height at which it does.
    """

    at: datetime | None
    shut_at: datetime | None
    level_m: float
    why: str


@dataclass(frozen=True, slots=True)
class WayOut:
    """A way out over a sill that the tide can shut. The sill is metres over the tide's datum.

    Surge allowance and wave run-up come on top of the tide; margin and slack are [house].
    """

    sill_m: float
    walk_out_min: float
    pack_up_min: float
    surge_m: float = 0.0
    run_up_m: float = 0.0
    margin_m: float = 0.3
    slack_min: float = 30.0

    @property
    def level_m(self) -> float:
        """The tide height at which the way out is shut."""
        return way_out_level_m(self.sill_m, self.surge_m, self.run_up_m, self.margin_m)

    def shut(self, tide: TideSource, start: datetime, end: datetime) -> Windows:
        """When between start and end the way out is shut."""
        return tide.above(self.level_m, start, end)

    def leave_by(self, tide: TideSource, start: datetime, end: datetime) -> LeaveBy:
        """When to start packing up so as to be over the sill in time, on a stay from `start`."""
        shut = self.shut(tide, start, end)
        if not shut:
            why = f"the tide does not reach {self.level_m:.2f} m before the end of the stay"
            return LeaveBy(None, None, self.level_m, why)
        shut_at = shut.spans[0].start
        at = leave_by_at(shut_at, self.walk_out_min, self.pack_up_min, self.slack_min)
        if shut_at <= start:
            why = "the way out is shut when the stay starts"
        elif at <= start:
            why = "there is no time to set up: the way out shuts too soon after the start"
        else:
            why = f"the tide reaches {self.level_m:.2f} m, the sill less its allowances"
        return LeaveBy(at, shut_at, self.level_m, why)


@dataclass(frozen=True, slots=True)
class DriveOut:
    """When the vehicle can be on the sand. `last_at` is None when it cannot; `why` says why."""

    low: datetime | None
    opens_at: datetime | None
    shuts_at: datetime | None
    last_at: datetime | None
    why: str


@dataclass(frozen=True, slots=True)
class SandDrive:
    """Driving on the sand about low water, and past a narrow place that a tide height shuts.

    Hours about low water and slack are [house]; without a `narrow_m` only they count.
    """

    before_low_min: float = 120.0
    after_low_min: float = 120.0
    narrow_m: float | None = None
    slack_min: float = 30.0

    def last_drive_out(self, tide: TideSource, arrive_at: datetime) -> DriveOut:
        """The last time to drive off the sand again for a vehicle that arrives then."""
        before, after = (
            timedelta(minutes=self.before_low_min),
            timedelta(minutes=self.after_low_min),
        )
        turns = _turns_near(tide, arrive_at, arrive_at, after, _TIDE_REACH)
        low = next((turn.at for turn in turns if turn.kind is TurnKind.LOW), None)
        if low is None:
            return DriveOut(None, None, None, None, "the tide source shows no low water here")
        opens, shuts = low - before, low + after
        why = f"{self.after_low_min:g} min after low water"
        if self.narrow_m is not None:
            open_there = Windows.of((opens, shuts)) - tide.above(self.narrow_m, opens, shuts)
            around_low = next((span for span in open_there if span.contains(low)), None)
            if around_low is None:
                why = f"the narrow place stays under water: low is over {self.narrow_m:g} m"
                return DriveOut(low, None, None, None, why)
            if around_low.end < shuts:
                why = f"the tide reaches {self.narrow_m:g} m at the narrow place"
            opens, shuts = around_low.start, around_low.end
        last = shuts - timedelta(minutes=self.slack_min)
        if last <= max(arrive_at, opens):
            return DriveOut(low, opens, shuts, None, "the sand shuts too soon after the arrival")
        return DriveOut(low, opens, shuts, last, why)


def session_windows(
    fishing_light: Windows, tide_wanted: Windows, shut: Windows, shortest_min: float = 0.0
) -> Windows:
    """When there is fishing light and the tide wanted and nothing shut.

    Spans shorter than `shortest_min` are left out. Windows that run over midnight stay whole when
    the three are given for both dates.
    """
    found = (fishing_light & tide_wanted) - shut
    return Windows(tuple(span for span in found if span.length_min >= shortest_min))


def may_fly_windows(
    flying_light: Windows, wind_within: Windows, craft_within: Windows, blocked: Windows
) -> Windows:
    """When there is flying light, wind within the limit, a craft within its own, and no bar.

    A window is not a permission: check with your own authority before anything is dropped.
    """
    return (flying_light & wind_within & craft_within) - blocked


def windows_within(readings: tuple[Reading, ...], limit: float, until: datetime) -> Windows:
    """When a forecast value is at or under a limit.

    Each reading holds until the next, the last one until `until`. An unknown value is not
    within. ValueError when the readings are not in order of time or run past `until`.
    """
    ends = [reading.at for reading in readings[1:]] + [until]
    pairs = []
    for reading, end in zip(readings, ends, strict=False):
        if end < reading.at:
            raise ValueError(
                f"The reading of {reading.at.isoformat()} comes before the one above it, or after "
                "the end: put them in order of time."
            )
        if reading.value is not None and reading.value <= limit:
            pairs.append((reading.at, end))
    return Windows.of(*pairs)


def way_out_level_m(
    sill_m: float, surge_m: float = 0.0, run_up_m: float = 0.0, margin_m: float = 0.3
) -> float:
    """The tide height at which a way out is shut: the sill less surge, run-up and margin.

    Metres over the tide's datum; allowances of 0 or more, ValueError below. The margin is
    [house].
    """
    if min(surge_m, run_up_m, margin_m) < 0:
        raise ValueError("Surge, run-up and margin are allowances of 0 or more: check the three.")
    return round(sill_m - surge_m - run_up_m - margin_m, 4)


def leave_by_at(
    shut_at: datetime, walk_out_min: float, pack_up_min: float, slack_min: float = 30.0
) -> datetime:
    """When to start packing up for a way out that shuts at an instant; the slack is [house].

    ValueError for minutes below zero.
    """
    if min(walk_out_min, pack_up_min, slack_min) < 0:
        raise ValueError("Walking out, packing up and slack take 0 minutes or more: check them.")
    return shut_at - timedelta(minutes=walk_out_min + pack_up_min + slack_min)


def glare_windows(
    latitude_deg: float,
    longitude_deg: float,
    path_deg: float,
    start: datetime,
    end: datetime,
    under_deg: float = 20.0,
    within_deg: float = 25.0,
) -> Windows:
    """When the sun stands low and near the flight path, so that the craft is lost in it.

    From sunrise to sunset, under `under_deg` of altitude and within `within_deg` to either side
    of the path's bearing; both [house]. ValueError for a place, span or angle that cannot be.
    """
    if not (0 < under_deg <= 90 and 0 < within_deg <= 180):
        raise ValueError(
            f"{under_deg} and {within_deg} degrees cannot mark glare: take over 0 to 90 and 180."
        )
    sky, span = Sky(latitude_deg, longitude_deg), Span(start, end)

    def inside(times: Floats) -> Floats:
        """Over 0 in glare: the least of what is left to each of the three bounds."""
        seen = sky.sighted("sun", times)
        off = np.abs((seen.azimuth_deg - path_deg + 180) % 360 - 180)
        bounds = (under_deg - seen.altitude_deg, seen.limb_deg, within_deg - off)
        least: Floats = np.minimum.reduce(bounds)
        return least

    return Curve(inside, 300.0).above(0.0, posix_seconds(span.start), posix_seconds(span.end))


def _turns_near(
    tide: TideSource, start: datetime, end: datetime, before: timedelta, after: timedelta
) -> tuple[Turn, ...]:
    """The turns of a span, which must be covered, and of what is covered before and after it."""
    return tide.turns(
        min(start, max(start - before, tide.valid_from)),
        max(end, min(end + after, tide.valid_until)),
    )
