"""What a pack still is: share of its rated capacity, growth of resistance, spread of its cells."""

from __future__ import annotations

import math
from statistics import median

_HEALTH_MAX = 1.5  # more than that is a wrong rating or a wrong reading
_CELL_MAX_V = 4.5  # no chemistry of the house is charged as high


def capacity_health_share(*, capacity_ah: float, rated_ah: float) -> float:
    """State of health as the measured share of the rated capacity (1 = as rated; new may be above).

    Rated capacity is the maker's, at a slow discharge and 20 °C (IEC 61960); a check at another
    rate or in the cold reads lower, so compare checks made alike. Valid up to 1.5. ValueError.
    """
    _positive(capacity_ah=capacity_ah, rated_ah=rated_ah)
    share = capacity_ah / rated_ah
    if share > _HEALTH_MAX:
        raise ValueError(
            f"{capacity_ah:g} Ah measured on a pack rated {rated_ah:g} Ah: check both figures."
        )
    return share


def resistance_growth_share(*, new_mohm: float, now_mohm: float) -> float:
    """Growth of internal resistance over its own new value (0.11 = 11 % more; may be negative).

    Readings are noisy: take medians of several (`settled_resistance_mohm`). A cell may show little
    growth when its capacity is already at 80 %, so capacity decides where both are known (CALCE
    cells: 7 to 11 % growth at 80 % of capacity). Valid for positive milliohms. ValueError.
    """
    _positive(new_mohm=new_mohm, now_mohm=now_mohm)
    return now_mohm / new_mohm - 1


def resistance_health_share(
    *, new_mohm: float, now_mohm: float, retire_factor: float = 2.0
) -> float:
    """State of health by resistance: 1 at its new value, 0 at the factor that retires it.

    Linear between the two, cut to 0..1. The factor of 2 is common practice, no source. Valid for
    positive milliohms and a factor above 1. ValueError otherwise.
    """
    if not 1 < retire_factor < math.inf:
        raise ValueError(f"retire_factor is {retire_factor}: give a number above 1.")
    growth = resistance_growth_share(new_mohm=new_mohm, now_mohm=now_mohm)
    return min(1.0, max(0.0, 1 - growth / (retire_factor - 1)))


def settled_resistance_mohm(*, readings_mohm: tuple[float, ...], last: int = 21) -> float:
    """Median of the last readings of resistance in milliohms, to set single bad contacts aside.

    Valid for at least one positive reading and `last` of 1 or more. ValueError otherwise.
    """
    if last < 1 or not readings_mohm:
        raise ValueError("No reading of resistance to take a median of: enter at least one.")
    for reading_mohm in readings_mohm:
        _positive(readings_mohm=reading_mohm)
    return float(median(readings_mohm[-last:]))


def cell_spread_mv(*, cells_v: tuple[float, ...]) -> float:
    """Spread between the highest and the lowest cell in millivolts, all read at rest.

    One cell has a spread of zero. Valid for 0 to 4.5 V a cell. ValueError otherwise.
    """
    check_cell_volts(cells_v=cells_v)
    return round((max(cells_v) - min(cells_v)) * 1000, 6)


def check_cell_volts(*, cells_v: tuple[float, ...]) -> None:
    """Whether cell voltages can be right at all; raises ValueError naming the cell if not.

    Valid for 0 to 4.5 V a cell and at least one cell.
    """
    if not cells_v:
        raise ValueError("No cell voltage given: enter one for each cell.")
    for number, volts in enumerate(cells_v, start=1):
        if not 0 <= volts <= _CELL_MAX_V:
            raise ValueError(
                f"Cell {number} reads {volts:g} V: a cell has 0 to {_CELL_MAX_V:g} V; "
                "check the decimal mark and that it is one cell, not the pack."
            )


def _positive(**values: float) -> None:
    for name, value in values.items():
        if not 0 < value < math.inf:
            raise ValueError(f"{name} is {value}: give a number above zero.")
