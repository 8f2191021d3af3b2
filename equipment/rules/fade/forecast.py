"""Cycles a pack has left until its retirement share, with an 80 % band, or the reason for none."""

from __future__ import annotations

import math

import numpy as np

from equipment.rules.fade._method import REFERENCE_CALIBRATION, Forecast, forecast_with
from equipment.rules.fade._shapes import Series, full_discharges

_HEALTH_MAX = 1.5


def forecast_cycles_left(
    *,
    cycles: tuple[float, ...],
    capacities_ah: tuple[float, ...],
    rated_ah: float,
    retire_share: float = 0.8,
) -> Forecast:
    """Cycles left from the last check until capacity falls to the retirement share of rated.

    `cycles` and `capacities_ah`: the capacity checks, one each, in any order. Straight, square and
    cubic fade are fitted to the later part of the checks; their mean share of life is drawn
    towards what such a mean proved to be worth on seven published cells (NASA, CALCE, XJTU), and
    the band is theirs too: made to hold eight ends of life in ten. Median error of the end of life
    there, each cell left out in turn: 11 % from half of the life and from seven tenths, 16 % from
    nine tenths, but 47 % (too short) from three tenths. A bend still to come cannot be seen.

    No number, but a reason: fewer than five checks, a slope that is not negative, or less than a
    tenth of the way to retirement behind. Valid for cycles of zero or more without repeats, up to
    1.5 times rated capacity, retire_share 0.3 to 1. Raises ValueError otherwise.
    """
    series = _series(cycles, capacities_ah, rated_ah, retire_share)
    return forecast_with(series[0], series[1], retire_share, REFERENCE_CALIBRATION)


def _series(
    cycles: tuple[float, ...],
    capacities_ah: tuple[float, ...],
    rated_ah: float,
    retire_share: float,
) -> tuple[Series, Series]:
    if len(cycles) != len(capacities_ah):
        raise ValueError(
            f"{len(cycles)} cycles but {len(capacities_ah)} capacities: give one of each a check."
        )
    if not 0 < rated_ah < math.inf:
        raise ValueError(f"rated_ah is {rated_ah}: give the rated capacity, above zero.")
    if not 0.3 <= retire_share <= 1:
        raise ValueError(f"retire_share is {retire_share}: give a share from 0.3 to 1.")
    for number, (cycle, capacity_ah) in enumerate(zip(cycles, capacities_ah, strict=True), start=1):
        if not 0 <= cycle < math.inf:
            raise ValueError(f"Check {number}: {cycle} cycles; give zero or more.")
        if not 0 < capacity_ah <= _HEALTH_MAX * rated_ah:
            raise ValueError(
                f"Check {number}: {capacity_ah:g} Ah on {rated_ah:g} Ah rated; check both figures."
            )
    if len(set(cycles)) < len(cycles):
        raise ValueError("Two checks at one cycle count: keep the later one.")
    order = np.argsort(np.asarray(cycles, dtype=np.float64))
    at = np.asarray(cycles, dtype=np.float64)[order]
    health = np.asarray(capacities_ah, dtype=np.float64)[order] / rated_ah
    return full_discharges(at, health)
