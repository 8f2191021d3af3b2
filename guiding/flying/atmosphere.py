"""Density of the air a rotor works in."""

from __future__ import annotations

from guiding.flying import ranges
from guiding.flying.defaults import GRAVITY_MS2

_EARTH_RADIUS_M = 6_356_766.0
_SEA_LEVEL_K = 288.15
_SEA_LEVEL_PA = 101_325.0
_LAPSE_K_M = 0.0065
_GAS_CONSTANT = 287.05287
_STANDARD_HEIGHT_M = ranges.ValidRange(
    "Height above sea level",
    "m",
    -500,
    11_000,
    advice="the standard atmosphere is only built up to there",
)


def _geopotential_m(height_m: float) -> float:
    _STANDARD_HEIGHT_M.admit(height_m)
    return _EARTH_RADIUS_M * height_m / (_EARTH_RADIUS_M + height_m)


def isa_temperature_k(height_m: float) -> float:
    """Temperature of the standard atmosphere at a geometric height, in kelvin.

    height_m: metres above mean sea level, -500..11000; ValueError outside.
    Source: ICAO standard atmosphere (Doc 7488, 1993), lowest layer.
    """
    return _SEA_LEVEL_K - _LAPSE_K_M * _geopotential_m(height_m)


def isa_pressure_pa(height_m: float) -> float:
    """Pressure of the standard atmosphere at a geometric height, in pascal.

    height_m: metres above mean sea level, -500..11000; ValueError outside.
    Source: ICAO standard atmosphere (Doc 7488, 1993), lowest layer.
    """
    ratio = isa_temperature_k(height_m) / _SEA_LEVEL_K
    return float(_SEA_LEVEL_PA * ratio ** (GRAVITY_MS2 / (_GAS_CONSTANT * _LAPSE_K_M)))


def isa_density_kg_m3(height_m: float) -> float:
    """Density of the standard atmosphere at a geometric height, in kg/m³.

    height_m: metres above mean sea level, -500..11000; ValueError outside.
    Source: ICAO standard atmosphere (Doc 7488, 1993), lowest layer.
    """
    return isa_pressure_pa(height_m) / (_GAS_CONSTANT * isa_temperature_k(height_m))


def dry_air_density_kg_m3(pressure_hpa: float, air_c: float) -> float:
    """Density of dry air at a station pressure and temperature, in kg/m³.

    pressure_hpa: 300..1100, as measured at the place, not reduced to sea level; air_c: -60..60 °C.
    Damp air is up to one per cent lighter, which is left out. ValueError outside the ranges.
    Source: ideal gas, R = 287.05287 J/(kg K).
    """
    ranges.AIR_PRESSURE_HPA.admit(pressure_hpa)
    ranges.AIR_C.admit(air_c)
    return pressure_hpa * 100 / (_GAS_CONSTANT * (air_c + 273.15))
