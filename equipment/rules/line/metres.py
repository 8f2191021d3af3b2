"""Metres on a reel: what is left, what it still serves, and for how many trips."""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import StrEnum
from statistics import fmean, stdev

_TRIPS_FOR_A_RATE = 3  # fewer logged trips say nothing about the spread

# Two-sided 80 % points of Student's t by degrees of freedom (standard table).
_T80 = (3.078, 1.886, 1.638, 1.533, 1.476, 1.440, 1.415, 1.397, 1.383, 1.372)
_T80_MANY = 1.282


class LineAdvice(StrEnum):
    """What to do with the line on a reel."""

    KEEP = "keep"
    CUT_BACK = "cut_back"
    REVERSE = "reverse"
    RESPOOL = "respool"


@dataclass(frozen=True, slots=True)
class TripsLeft:
    """Trips until the line is shorter than the need, with an 80 % band.

    `why` gives the reason where a number is None. `high` alone is None where the logged trips
    differ so much that the band has no upper end.
    """

    trips: int | None
    low: int | None
    high: int | None
    rate_m: float | None  # metres lost or cut back in a mean trip
    why: str


@dataclass(frozen=True, slots=True)
class LineVerdict:
    """Advice on one line and the sentence that names the deciding number and its limit."""

    advice: LineAdvice
    reason: str


def line_left_m(*, spooled_m: float, cut_back_m: float, lost_m: float) -> float:
    """Metres left on a reel: spooled minus cut back minus lost.

    Valid for values of zero or more. Raises ValueError when the log takes more than was spooled:
    metres are never negative, so one of the entries is wrong.
    """
    for name, value in (("spooled_m", spooled_m), ("cut_back_m", cut_back_m), ("lost_m", lost_m)):
        if not 0 <= value < math.inf:
            raise ValueError(f"{name} is {value}: give metres of zero or more.")
    left_m = math.fsum((spooled_m, -cut_back_m, -lost_m))
    if left_m < -1e-6:
        raise ValueError(
            f"The log takes {cut_back_m + lost_m:g} m off a line of {spooled_m:g} m, "
            f"{-left_m:g} m too much: reverse the wrong entry."
        )
    return max(0.0, left_m)


def line_need_m(
    *,
    distance_m: float,
    height_m: float = 0.0,
    fight_reserve_m: float = 150.0,
    wraps_m: float = 10.0,
    slack_factor: float = 1.05,
) -> float:
    """Metres of line a drop needs: slack x straight way out, plus fight reserve, plus wraps.

    The reserve of 150 m, the wraps of 10 m and the 5 % of slack are defaults of the house that the
    guide can change. Valid for values of zero or more, slack of at least 1. Raises ValueError.
    """
    if slack_factor < 1:
        raise ValueError(f"slack_factor is {slack_factor:g}: a line is never shorter than its way.")
    for name, value in (
        ("distance_m", distance_m),
        ("height_m", height_m),
        ("fight_reserve_m", fight_reserve_m),
        ("wraps_m", wraps_m),
    ):
        if not 0 <= value < math.inf:
            raise ValueError(f"{name} is {value}: give metres of zero or more.")
    return slack_factor * math.hypot(distance_m, height_m) + fight_reserve_m + wraps_m


def line_reach_m(
    *,
    left_m: float,
    height_m: float = 0.0,
    fight_reserve_m: float = 150.0,
    wraps_m: float = 10.0,
    slack_factor: float = 1.05,
) -> float:
    """Greatest distance in metres that the line left can still serve with its reserve; 0 if none.

    The inverse of `line_need_m`, with the same defaults and limits.
    """
    base_m = line_need_m(
        distance_m=0.0,
        height_m=0.0,
        fight_reserve_m=fight_reserve_m,
        wraps_m=wraps_m,
        slack_factor=slack_factor,
    )
    if not 0 <= left_m < math.inf:
        raise ValueError(f"left_m is {left_m}: give metres of zero or more.")
    way_m = (left_m - base_m) / slack_factor
    if way_m <= height_m:
        return 0.0
    return math.sqrt(way_m**2 - height_m**2)


def line_trips_left(
    *, left_m: float, need_m: float, loss_per_trip_m: tuple[float, ...]
) -> TripsLeft:
    """Trips a line still serves at its logged loss a trip, with an 80 % band.

    Loss is metres lost plus cut back, one value a trip, trips without loss included. The band is
    that of the sum of future trips as independent draws, with the mean itself uncertain
    (Student's t). With fewer than three trips, or no loss yet, there is no number but a reason.
    Raises ValueError for negative metres.
    """
    _check_metres(left_m=left_m, need_m=need_m)
    for loss_m in loss_per_trip_m:
        _check_metres(loss_per_trip_m=loss_m)
    spare_m = left_m - need_m
    if spare_m < 0:
        return TripsLeft(
            0, 0, 0, None, f"{left_m:.0f} m left, {need_m:.0f} m needed: too short now."
        )
    logged = len(loss_per_trip_m)
    if logged < _TRIPS_FOR_A_RATE:
        return TripsLeft(
            None, None, None, None, f"Too few trips: {logged} logged, {_TRIPS_FOR_A_RATE} needed."
        )
    rate_m = fmean(loss_per_trip_m)
    if rate_m <= 0:
        return TripsLeft(None, None, None, 0.0, f"No metre lost in {logged} logged trips.")
    spread_m = stdev(loss_per_trip_m)
    t80 = _T80[logged - 2] if logged - 2 < len(_T80) else _T80_MANY
    low = _trips_covered(spare_m, rate_m, t80 * spread_m, logged)
    high = _trips_covered(spare_m, rate_m, -t80 * spread_m, logged)
    return TripsLeft(
        math.floor(spare_m / rate_m),
        low,
        high,
        rate_m,
        f"{spare_m:.0f} m to spare at {rate_m:.1f} m a trip over {logged} trips.",
    )


def line_advice(
    *,
    left_m: float,
    need_m: float,
    worn_m: float = 0.0,
    seasons: float = 0.0,
    reversed_before: bool = False,
    respool_seasons: float = 3.0,
    reverse_seasons: float = 1.0,
    respool_lead_m: float = 0.0,
) -> LineVerdict:
    """Keep, cut back, reverse or respool a line, with the number and the limit that decide.

    `worn_m`: metres at the working end that fingertip or eye found rough. Published practice for
    braid: two to three seasons, reversed in the second; cut back past any rough patch (common
    practice). Reversing serves only where the inner end is unworn and the line is long enough.
    Raises ValueError for negative values.
    """
    _check_metres(left_m=left_m, need_m=need_m, worn_m=worn_m, seasons=seasons)
    _check_metres(respool_lead_m=respool_lead_m)
    sound_m = max(0.0, left_m - worn_m)
    if left_m < need_m:
        return LineVerdict(LineAdvice.RESPOOL, f"{left_m:.0f} m left, {need_m:.0f} m needed.")
    if seasons >= respool_seasons:
        return LineVerdict(
            LineAdvice.RESPOOL, f"{seasons:g} seasons on the reel, limit {respool_seasons:g}."
        )
    if worn_m > 0:
        return _advice_on_worn_end(sound_m, need_m, worn_m, reversed_before)
    if left_m < need_m + respool_lead_m:
        return LineVerdict(
            LineAdvice.RESPOOL,
            f"{left_m - need_m:.0f} m to spare, less than the {respool_lead_m:.0f} m kept in hand.",
        )
    if seasons >= reverse_seasons and not reversed_before:
        return LineVerdict(
            LineAdvice.REVERSE,
            f"{seasons:g} seasons on one end, limit {reverse_seasons:g}: turn it.",
        )
    return LineVerdict(LineAdvice.KEEP, f"{left_m:.0f} m left, {need_m:.0f} m needed.")


def _advice_on_worn_end(
    sound_m: float, need_m: float, worn_m: float, reversed_before: bool
) -> LineVerdict:
    if sound_m >= need_m:
        return LineVerdict(
            LineAdvice.CUT_BACK,
            f"{worn_m:.0f} m worn at the end; {sound_m:.0f} m sound, {need_m:.0f} m needed.",
        )
    if reversed_before:
        return LineVerdict(
            LineAdvice.RESPOOL,
            f"{sound_m:.0f} m sound, {need_m:.0f} m needed, and the line was reversed before.",
        )
    return LineVerdict(
        LineAdvice.REVERSE,
        f"Cutting back {worn_m:.0f} m would leave {sound_m:.0f} m, {need_m:.0f} m needed: "
        "turn the worn end inside.",
    )


def _trips_covered(spare_m: float, rate_m: float, reach_m: float, logged: int) -> int | None:
    """Most trips whose total loss, `reach_m` off its mean, fits into the spare; None: no end."""
    if rate_m + reach_m / math.sqrt(logged) <= 0:
        return None

    def total_m(trips: int) -> float:
        return trips * rate_m + reach_m * math.sqrt(trips + trips**2 / logged)

    # The total is zero at no trip and convex or rising, so it passes the spare once.
    low, high = 0, 1
    while total_m(high) <= spare_m:
        low, high = high, high * 2
    while high - low > 1:
        middle = (low + high) // 2
        if total_m(middle) <= spare_m:
            low = middle
        else:
            high = middle
    return low


def _check_metres(**values: float) -> None:
    for name, value in values.items():
        if not 0 <= value < math.inf:
            raise ValueError(f"{name} is {value}: give a number of zero or more.")
