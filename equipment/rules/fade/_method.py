"""The method of the forecast: shapes of fade, drawn towards what they proved to be worth."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from equipment.rules.fade._shapes import (
    Bend,
    Series,
    drop_part_share,
    find_bend,
    life_behind_share,
)

CHECKS_NEEDED = 5
_DROP_PART_NEEDED = 0.1  # of the way to retirement: before that the scatter of the checks rules
# A reference cell taken as younger than this could as well be at three tenths of its life.
_EARLY_IN_LIFE_SHARE = 0.6
_BEND_WIDENS = 1.2  # of the share of life, at both ends of the band

METHOD = "three shapes, drawn towards the reference cells"


@dataclass(frozen=True, slots=True)
class Forecast:
    """Health now, and cycles left until the retirement share with the 80 % band.

    The three figures are None together where no honest number exists; `why` says the reason, or
    what the figure rests on. `bends`: the fade turned down, so the figure is uncertain.
    """

    health_share: float | None
    cycles_left: int | None
    low: int | None
    high: int | None
    method: str
    why: str
    bends: bool = False


@dataclass(frozen=True, slots=True)
class ShareLine:
    """Share of life behind as a straight function of what the shapes say."""

    at_zero: float
    per_share: float

    def at(self, shapes_share: float) -> float:
        """The share of life for a mean share of the shapes, kept within what can be."""
        return min(0.98, max(0.05, self.at_zero + self.per_share * shapes_share))


@dataclass(frozen=True, slots=True)
class Calibration:
    """How far the reference cells proved the shapes wrong: the middle, and both ends of the band.

    `early`: the highest share of life still likely (the end comes early), `late` the lowest.
    """

    middle: ShareLine
    early: ShareLine
    late: ShareLine


# Fitted to the reference cells by `calibrate` in the trial; a test holds the two together.
REFERENCE_CALIBRATION = Calibration(
    middle=ShareLine(0.233, 0.644),
    early=ShareLine(0.30, 0.76),
    late=ShareLine(0.04, 0.40),
)


def forecast_with(
    cycles: Series, health: Series, retire_share: float, calibration: Calibration
) -> Forecast:
    """The forecast for a clean series of cycles and shares of rated, by a given calibration."""
    if len(health) == 0:
        return _none(None, "too few checks, none with a capacity.")
    health_share = float(np.median(health[-3:]))
    if len(cycles) < CHECKS_NEEDED:
        return _none(health_share, f"too few checks, {len(cycles)} of {CHECKS_NEEDED} needed.")
    last = float(cycles[-1])
    bend = find_bend(cycles, health)
    if health_share < retire_share:
        why = f"Already below {retire_share:.0%} of rated: the last checks say {health_share:.1%}."
        high = _left(last, calibration.late.at(1.0))
        return Forecast(health_share, 0, 0, high, METHOD, why, bend is not None)
    shapes_share = life_behind_share(cycles, health, retire_share)
    if shapes_share is None:
        why = "the slope is not negative, capacity does not fall over the checks."
        return _none(health_share, why)
    part = drop_part_share(health, retire_share)
    if part < _DROP_PART_NEEDED:
        why = (
            f"too little fade seen, {max(part, 0):.0%} of the way to {retire_share:.0%} of rated, "
            f"{_DROP_PART_NEEDED:.0%} needed."
        )
        return _none(health_share, why)
    middle, early, late = _shares(shapes_share, bend, calibration)
    return Forecast(
        health_share=health_share,
        cycles_left=_left(last, middle),
        low=_left(last, early),
        high=_left(last, late),
        method=METHOD,
        why=_why(len(cycles), last, middle, bend),
        bends=bend is not None,
    )


def _none(health_share: float | None, why: str) -> Forecast:
    return Forecast(health_share, None, None, None, "none", f"No number: {why}")


def _shares(
    shapes_share: float, bend: Bend | None, calibration: Calibration
) -> tuple[float, float, float]:
    """Share of life behind: the middle and the two ends of the band, wider once it bends."""
    middle = calibration.middle.at(shapes_share)
    early = max(middle, calibration.early.at(shapes_share))
    late = min(middle, calibration.late.at(shapes_share))
    if bend is not None:
        early, late = min(0.98, early * _BEND_WIDENS), late / _BEND_WIDENS
    return middle, early, late


def _left(last: float, share: float) -> int:
    return round(last / share - last)


def _why(checks: int, last: float, middle: float, bend: Bend | None) -> str:
    seen = f"{checks} checks up to cycle {last:.0f}, taken as {middle:.0%} of its life."
    if bend is not None:
        steeper = "from level" if bend.steeper is None else f"{bend.steeper:.1f} times as steep"
        return (
            f"Uncertain: the fade bends down (last quarter {steeper}); plan by the low end. {seen}"
        )
    if middle < _EARLY_IN_LIFE_SHARE:
        return f"Uncertain this early in life, and a later bend cannot be seen. {seen}"
    return f"{seen} A bend still to come cannot be seen from here."
