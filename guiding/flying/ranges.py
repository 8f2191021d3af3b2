"""The two ways this room says no: a number outside its range, and a flight that is refused."""

from __future__ import annotations

import math
from dataclasses import dataclass

from guiding.flying.defaults import DEEPEST_BOW_SHARE


class RefusedError(ValueError):
    """A well-formed plan that must not be flown; the sentence names the number and the fix."""


@dataclass(frozen=True, slots=True)
class ValidRange:
    """The values a quantity may take, and the one sentence said when it does not.

    `above_low` leaves the lower end itself out: a line of 0 mm is no line.
    """

    what: str
    unit: str
    low: float
    high: float
    above_low: bool = False
    advice: str = "correct the entry"

    def admit(self, value: float) -> float:
        """The value itself when it lies in the range; otherwise ValueError (also for nan)."""
        low_ok = value > self.low if self.above_low else value >= self.low
        if math.isfinite(value) and low_ok and value <= self.high:
            return value
        low_word = "more than" if self.above_low else "at least"
        unit = f" {self.unit}" if self.unit else ""
        raise ValueError(
            f"{self.what} is {value:g}{unit}, but must be {low_word} {self.low:g} "
            f"and at most {self.high:g}{unit}: {self.advice}."
        )


def _bow(distance_m: float) -> ValidRange:
    """The bows whose pull the formula of the shallow parabola still gives."""
    deepest_m = distance_m * DEEPEST_BOW_SHARE
    return ValidRange("Bow of the line", "m", 0, deepest_m, True, "take up slack")


AIR_C = ValidRange("Air temperature", "°C", -60, 60)
AIR_DENSITY = ValidRange("Air density", "kg/m³", 0.3, 1.6)
AIR_PRESSURE_HPA = ValidRange("Air pressure", "hPa", 300, 1100)
AIRSPEED_MS = ValidRange("Airspeed", "m/s", 0, 100, above_low=True)
AREA_M2 = ValidRange("Area", "m²", 0, 1e4, above_low=True)
CHARGE_W = ValidRange("Charger power", "W", 0, 20_000, above_low=True)
COUNT = ValidRange("Count", "", 0, 10_000)
DISTANCE_M = ValidRange("Distance", "m", 0, 5000, above_low=True)
DRAG_COEFFICIENT = ValidRange("Drag coefficient", "", 0, 3, above_low=True)
ENERGY_WH = ValidRange("Energy", "Wh", 0, 20_000, above_low=True)
HEIGHT_M = ValidRange("Height", "m", 0, 500, above_low=True)
LINE_MM = ValidRange(
    "Line diameter", "mm", 0, 3, above_low=True, advice="read it from the spool label"
)
MASS_KG = ValidRange("Mass", "kg", 0, 1000, above_low=True)
MINUTES = ValidRange("Time", "min", 0, 1440, above_low=True)
PACK_C = ValidRange(
    "Pack temperature", "°C", -10, 60, advice="warm or cool the pack before it flies"
)
PACK_WH = ValidRange(
    "Rated energy of the pack",
    "Wh",
    0,
    5000,
    above_low=True,
    advice="read it from the pack's label",
)
PAYLOAD_G = ValidRange("Load under the craft", "g", 0, 50_000)
PULL_N = ValidRange("Pull", "N", 0, 10_000)
ROTORS = ValidRange("Number of rotors", "", 1, 16)
ROTOR_M = ValidRange("Rotor diameter", "m", 0, 20, above_low=True)
SHARE = ValidRange("Share", "", 0, 1)
CHARGED = ValidRange(
    "Charge of the pack", "of full", 0, 1, above_low=True, advice="charge it; 80 % is 0.8"
)
EFFICIENCY = ValidRange("Efficiency", "", 0, 1, above_low=True)
HEALTH = ValidRange(
    "Health of the pack",
    "of rated",
    0,
    1,
    above_low=True,
    advice="check its capacity; 85 % is 0.85",
)
STRENGTH_N = ValidRange(
    "Strength", "N", 0, 10_000, above_low=True, advice="read it from the spool label"
)
WAVE_M = ValidRange("Wave height", "m", 0, 30)
WIND_LIMIT_MS = ValidRange(
    "The maker's wind limit", "m/s", 0, 40, above_low=True, advice="read it in the maker's manual"
)
WIND_MS = ValidRange("Wind", "m/s", 0, 60)
