"""Units in which lengths and wind are shown; they are always given in m and m/s."""

from enum import StrEnum

METRES_PER_FOOT = 0.3048  # exact by definition


class HeightUnit(StrEnum):
    """Unit in which heights and short distances are shown."""

    METRE = "m"
    FOOT = "ft"


class SpeedUnit(StrEnum):
    """Unit in which wind is shown."""

    METRE_PER_SECOND = "m/s"
    KNOT = "kn"
    KILOMETRE_PER_HOUR = "km/h"
    MILE_PER_HOUR = "mph"


_SPEED_FACTORS = {
    SpeedUnit.METRE_PER_SECOND: 1.0,
    SpeedUnit.KNOT: 3600 / 1852,
    SpeedUnit.KILOMETRE_PER_HOUR: 3.6,
    SpeedUnit.MILE_PER_HOUR: 3600 / 1609.344,
}


def shown_length(length_m: float, unit: HeightUnit) -> float:
    """A length in the unit it is shown in. Source: the international foot, 0.3048 m exactly."""
    return length_m / METRES_PER_FOOT if unit is HeightUnit.FOOT else length_m


def shown_speed(wind_ms: float, unit: SpeedUnit) -> float:
    """A speed in the unit it is shown in. Sources: nautical mile 1852 m, mile 1609.344 m."""
    return wind_ms * _SPEED_FACTORS[unit]


def speed_text(wind_ms: float, unit: SpeedUnit, decimal_mark: str = ".") -> str:
    """A speed as it is written: metres per second to a tenth, as pages write it; others whole."""
    places = 1 if unit is SpeedUnit.METRE_PER_SECOND else 0
    shown = f"{shown_speed(wind_ms, unit):.{places}f}".replace(".", decimal_mark)
    return f"{shown}\u00a0{unit}"
