"""How much of its life a fading series seems to have behind it, by three shapes of fade.

A cell fades fast at first, then slowly and evenly, then faster and faster, and gets some capacity
back whenever it rests. So the shapes (straight, square, cube) are laid through the later part of
the series only, and through its lower edge: a check lifted by a rest says less about the trend.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

Series = npt.NDArray[np.float64]

_POWERS = (1.0, 2.0, 3.0)
_LATER_PART = 0.6  # of the cycles seen: past the fast first fade
_LIFTED_WEIGHT = 0.3  # of a check above the trend
_FAR_OFF_SCATTERS = 1.5  # beyond this a check's weight falls off
_FIT_ROUNDS = 6
_MAD_TO_SIGMA = 1.4826
_LEAST_SCATTER = 1e-6
_CHECKS_FOR_A_SLOPE = 3

_OFF_SHARE = 0.08  # a check this far off its neighbours is no full discharge
_NEIGHBOURS = 3  # on each side

_BEND_RECENT = 0.25
_BEND_STEEPER = 2.0
_BEND_SCATTERS = 2.5


@dataclass(frozen=True, slots=True)
class Bend:
    """A fade that turned down: how many times steeper its last quarter is, None from level."""

    steeper: float | None


def life_behind_share(cycles: Series, health: Series, retire_share: float) -> float | None:
    """Mean share of life behind (0..1) that the shapes give; None where the fade has no slope.

    A series lifted by rests at its end may have no slope there: then the whole of it is used.
    """
    later = cycles > (1 - _LATER_PART) * cycles[-1]
    if int(later.sum()) < _CHECKS_FOR_A_SLOPE:
        later = np.arange(len(cycles)) >= len(cycles) - _CHECKS_FOR_A_SLOPE
    share = _mean_share(cycles[later], health[later], retire_share)
    return _mean_share(cycles, health, retire_share) if share is None else share


def drop_part_share(health: Series, retire_share: float) -> float:
    """Part of the way from the best level seen to the retirement share that is behind (0..1)."""
    reach = max(1, min(5, len(health) // 4)) // 2
    smooth = [
        float(np.median(health[max(0, at - reach) : at + reach + 1])) for at in range(len(health))
    ]
    best, now = max(smooth), float(np.median(health[-3:]))
    return 1.0 if best <= retire_share else (best - now) / (best - retire_share)


def find_bend(cycles: Series, health: Series) -> Bend | None:
    """The bend of a fade whose last quarter is at least twice as steep as its middle, or None.

    The end must also lie clearly (2.5 scatters) below the middle drawn on.
    """
    last = cycles[-1]
    recent = cycles > (1 - _BEND_RECENT) * last
    middle = (cycles > _BEND_RECENT * last) & ~recent
    if min(int(recent.sum()), int(middle.sum())) < _CHECKS_FOR_A_SLOPE:
        return None
    level, slope, scatter = _robust_line(cycles[middle] / last, health[middle], 1.0)
    recent_slope = float(np.polyfit(cycles[recent] / last, health[recent], 1)[0])
    now = float(np.median(health[-max(_CHECKS_FOR_A_SLOPE, int(recent.sum()) // 5) :]))
    if level + slope - now <= _BEND_SCATTERS * max(scatter, _LEAST_SCATTER):
        return None
    if recent_slope >= 0 or recent_slope > _BEND_STEEPER * slope:
        return None
    return Bend(recent_slope / slope if slope < 0 else None)


def full_discharges(cycles: Series, health: Series) -> tuple[Series, Series]:
    """The series without checks more than 8 % off the median of their neighbours.

    Only checks with two later ones are judged: the newest may be the first of a real fall.
    """
    kept = [
        at
        for at in range(len(health))
        if at >= len(health) - 2 or abs(health[at] / _near(health, at) - 1) <= _OFF_SHARE
    ]
    return cycles[kept], health[kept]


def _near(health: Series, at: int) -> float:
    return float(np.median(health[max(0, at - _NEIGHBOURS) : at + _NEIGHBOURS + 1]))


def _mean_share(cycles: Series, health: Series, retire_share: float) -> float | None:
    shares = []
    for power in _POWERS:
        # The last cycle stands at 1, so a crossing at x means x^(1/power) lives of what is seen.
        level, slope, _ = _robust_line((cycles / cycles[-1]) ** power, health, _LIFTED_WEIGHT)
        if slope > -_LEAST_SCATTER:  # level but for the rounding of the fit
            return None
        crossing = (retire_share - level) / slope
        shares.append(1.0 if crossing <= 1 else float(crossing ** (-1 / power)))
    return float(np.mean(shares))


def _robust_line(x: Series, y: Series, lifted_weight: float) -> tuple[float, float, float]:
    """Level, slope and scatter of a line that far-off and lifted points move little."""
    weight = np.ones_like(x)
    level = slope = scatter = 0.0
    for _ in range(_FIT_ROUNDS):
        root = np.sqrt(weight)
        design = np.column_stack((root, root * x))
        (level, slope), *_ = np.linalg.lstsq(design, root * y, rcond=None)
        off = y - (level + slope * x)
        scatter = _MAD_TO_SIGMA * float(np.median(np.abs(off))) + _LEAST_SCATTER
        weight = 1 / np.maximum(1.0, np.abs(off) / (_FAR_OFF_SCATTERS * scatter))
        weight = np.where(off > 0, weight * lifted_weight, weight)
    return float(level), float(slope), scatter
