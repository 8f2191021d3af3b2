"""Wind, waves and weather as a shore guide judges them: scales, felt temperatures, run-up."""

from __future__ import annotations

from bisect import bisect_right
from dataclasses import dataclass
from math import cos, floor, log, pi, radians, sin, sqrt

_FORCE_FROM_MS = (0.3, 1.6, 3.4, 5.5, 8.0, 10.8, 13.9, 17.2, 20.8, 24.5, 28.5, 32.7)
_FORCE_FROM_KN = (1, 4, 7, 11, 17, 22, 28, 34, 41, 48, 56, 64)
_FORCE_FROM_KMH = (1, 6, 12, 20, 29, 39, 50, 62, 75, 89, 103, 118)
_FORCE_TERMS = (
    "Calm", "Light air", "Light breeze", "Gentle breeze", "Moderate breeze", "Fresh breeze",
    "Strong breeze", "Near gale", "Gale", "Strong gale", "Storm", "Violent storm", "Hurricane",
)  # fmt: skip
_SEA_STATES = (  # code, term, highest significant height that still belongs to it
    (0, "Calm (glassy)", 0.0), (1, "Calm (rippled)", 0.1), (2, "Smooth (wavelets)", 0.5),
    (3, "Slight", 1.25), (4, "Moderate", 2.5), (5, "Rough", 4.0), (6, "Very rough", 6.0),
    (7, "High", 9.0), (8, "Very high", 14.0),
)  # fmt: skip
_UV_CLASSES = ((3, "Low"), (6, "Moderate"), (8, "High"), (11, "Very high"))

_GRAVITY_MS2 = 9.81
_MPH_PER_MS = 3600 / 1609.344

RUN_UP_BIAS_M = -0.17
RUN_UP_RMS_ERROR_M = 0.38


@dataclass(frozen=True, slots=True)
class SeaState:
    """A sea state of WMO code table 3700."""

    code: int
    term: str


@dataclass(frozen=True, slots=True)
class UvClass:
    """A UV index as a whole number, and its exposure category."""

    index: int
    category: str


@dataclass(frozen=True, slots=True)
class FeltTemperature:
    """How warm it feels; None where the formula does not apply, and then why."""

    felt_c: float | None
    why: str = ""


@dataclass(frozen=True, slots=True)
class WindParts:
    """The wind split by the shore: metres per second.

    `onshore_ms` is positive from the sea to the land; `cross_ms` is positive when it comes from the
    right hand of somebody who looks out to sea.
    """

    onshore_ms: float
    cross_ms: float


@dataclass(frozen=True, slots=True)
class RunUp:
    """How high waves run up a beach over the still water; None outside the formula, and why.

    `exceeded_by_2_percent_m` is the fitted height that one wave in fifty passes. On the beaches it
    was fitted on, the formula lay 0.17 m too low on the whole and 0.38 m off as a root mean square;
    `with_bias_m` adds the former. Neither is a guarantee: single waves run higher.
    """

    exceeded_by_2_percent_m: float | None
    why: str = ""

    @property
    def with_bias_m(self) -> float | None:
        """The height with the formula's known bias made good."""
        fitted = self.exceeded_by_2_percent_m
        return None if fitted is None else round(fitted - RUN_UP_BIAS_M, 4)


def beaufort_force(wind_ms: float) -> int:
    """The Beaufort force of a mean wind in metres per second, 0 to 12.

    The wind is taken to one decimal first, as the table has it. ValueError below zero.
    Source: WMO code table 1100. Convert a wind once and look it up in that unit: at the edges
    of the bands the three units can differ by one.
    """
    return _force(floor(_speed(wind_ms) * 10 + 0.5 + 1e-9) / 10, _FORCE_FROM_MS)


def beaufort_force_of_knots(wind_kn: float) -> int:
    """The Beaufort force of a mean wind in knots, taken to the whole knot. See `beaufort_force`."""
    return _force(floor(_speed(wind_kn) + 0.5), _FORCE_FROM_KN)


def beaufort_force_of_kmh(wind_kmh: float) -> int:
    """The Beaufort force of a mean wind in whole kilometres per hour. See `beaufort_force`."""
    return _force(floor(_speed(wind_kmh) + 0.5), _FORCE_FROM_KMH)


def beaufort_term(force: int) -> str:
    """The name of a Beaufort force, such as 'Fresh breeze' for 5; ValueError outside 0 to 12."""
    if not 0 <= force <= 12:
        raise ValueError(f"There is no Beaufort force {force}: the scale runs from 0 to 12.")
    return _FORCE_TERMS[force]


def sea_state(significant_height_m: float) -> SeaState:
    """The sea state of a significant wave height in metres.

    The upper bound belongs to the lower state. ValueError below zero. Source: WMO code table
    3700.
    """
    if significant_height_m < 0:
        raise ValueError(f"A wave height of {significant_height_m} m cannot be: give it upwards.")
    for code, term, highest_m in _SEA_STATES:
        if significant_height_m <= highest_m:
            return SeaState(code, term)
    return SeaState(9, "Phenomenal")


def uv_class(uv_index: float) -> UvClass:
    """The exposure category of a UV index, which is first taken to the nearest whole number.

    ValueError below zero. Source: WHO, Global Solar UV Index; the rounding is from memory.
    """
    if uv_index < 0:
        raise ValueError(f"A UV index of {uv_index} cannot be: it is 0 or more.")
    whole = floor(uv_index + 0.5)
    for below, category in _UV_CLASSES:
        if whole < below:
            return UvClass(whole, category)
    return UvClass(whole, "Extreme")


def wind_chill_c(air_c: float, wind_ms: float) -> FeltTemperature:
    """The wind chill in degrees Celsius, from air temperature and mean wind.

    For air up to 50 F (10 C) and wind over 3 mph (1.34 m/s); outside that None and why. Source: US
    National Weather Service, 2001: 35.74 + 0.6215 T - 35.75 V^0.16 + 0.4275 T V^0.16 in F and mph.
    """
    air_f, wind_mph = _fahrenheit(air_c), _speed(wind_ms) * _MPH_PER_MS
    if air_f > 50 + 1e-9:
        return FeltTemperature(None, "wind chill is defined up to 10 °C; it is warmer")
    if wind_mph <= 3 + 1e-9:
        return FeltTemperature(None, "wind chill is defined over 1.34 m/s; there is less wind")
    power = wind_mph**0.16
    return FeltTemperature(
        _celsius(35.74 + 0.6215 * air_f - 35.75 * power + 0.4275 * air_f * power)
    )


def heat_index_c(air_c: float, humidity_share: float) -> FeltTemperature:
    """The heat index in degrees Celsius, from air temperature and relative humidity (0 to 1).

    In the shade, with light wind. Up to 40 F (4.4 C) it is the air temperature itself; over 50 C
    None and why. ValueError for a humidity outside 0 to 1. Source: equation and
    adjustments of the US Weather Prediction Center, in F and per cent.
    """
    if not 0 <= humidity_share <= 1:
        raise ValueError(f"A humidity of {humidity_share} is not a share from 0 to 1: 0.6 is 60 %.")
    if air_c > 50:
        return FeltTemperature(None, "the heat index is defined up to 50 °C; it is hotter")
    air_f, humidity = _fahrenheit(air_c), humidity_share * 100
    if air_f <= 40:
        return FeltTemperature(round(air_c, 4))
    simple = 0.5 * (air_f + 61.0 + (air_f - 68.0) * 1.2 + humidity * 0.094)
    if simple < 80:
        return FeltTemperature(_celsius(simple))
    return FeltTemperature(_celsius(_regressed_heat_f(air_f, humidity)))


def wind_parts(wind_ms: float, from_deg: float, seaward_deg: float) -> WindParts:
    """The onshore and the cross-shore part of a wind, metres per second.

    `from_deg` is where the wind blows from, `seaward_deg` the beach's bearing out to sea, both
    clockwise from north. Wind from the sea is onshore.
    """
    off = radians(from_deg - seaward_deg)
    speed = _speed(wind_ms)
    return WindParts(round(speed * cos(off), 4), round(speed * sin(off), 4))


def gust_factor(wind_ms: float, gust_ms: float) -> float:
    """The gust over the mean wind, such as 1.4.

    ValueError for a calm, in which it means nothing, and for a gust under the mean.
    """
    if _speed(wind_ms) == 0:
        raise ValueError("In a calm there is no gust factor: look at the gust itself.")
    if gust_ms < wind_ms:
        raise ValueError(f"A gust of {gust_ms} m/s is under the mean of {wind_ms} m/s: exchange.")
    return round(gust_ms / wind_ms, 4)


def expected_gust_ms(wind_ms: float, factor: float = 1.4) -> float:
    """The gust to expect with a mean wind where none is forecast, metres per second.

    The factor of 1.4 is from memory, for open ground; broken ground and squalls gust more.
    """
    if factor < 1:
        raise ValueError(f"A gust factor of {factor} is under 1: a gust is never under the mean.")
    return round(_speed(wind_ms) * factor, 4)


def expected_highest_wave_m(significant_height_m: float, waves: int) -> float:
    """The most probable highest of a number of waves, in metres.

    Hs sqrt(ln N / 2) after Rayleigh, for deep water; from 10 waves. ValueError for fewer and for
    a height below zero. A single wave can be higher.
    """
    if significant_height_m < 0:
        raise ValueError(f"A wave height of {significant_height_m} m cannot be: give it upwards.")
    if waves < 10:
        raise ValueError(f"For {waves} waves there is no likely highest: take 10 or more.")
    return round(significant_height_m * sqrt(log(waves) / 2), 4)


def wave_run_up(significant_height_m: float, peak_period_s: float, beach_slope: float) -> RunUp:
    """How high the waves run up a beach over the still water, passed by one wave in fifty.

    Deep-water significant height and peak period; the slope as rise over run, 0.05 for 1 in 20.
    R2 = 1.1 (0.35 b sqrt(H L) + sqrt(H L (0.563 b^2 + 0.004)) / 2), L = g T^2 / 2 pi; on very flat
    beaches (b / sqrt(H / L) under 0.3) 0.043 sqrt(H L) where that is more. Source: Stockdon and
    others, Coastal Engineering 53, 2006; the formulas and the range of the data are from
    memory. Waves lower or shorter and beaches flatter than the data (0.4 m, 4.7 s, 0.01) count
    as those: the safe side. Over 4.1 m, 17 s or 0.16: None and why. ValueError below zero.
    """
    if min(significant_height_m, peak_period_s, beach_slope) < 0:
        raise ValueError("Wave height, period and slope are not below zero: check the three.")
    if significant_height_m > 4.1 or peak_period_s > 17 or beach_slope > 0.16:
        return RunUp(
            None, "the run-up is fitted for waves up to 4.1 m and 17 s on slopes up to 0.16"
        )
    height, period = max(significant_height_m, 0.4), max(peak_period_s, 4.7)
    slope = max(beach_slope, 0.01)
    length = _GRAVITY_MS2 * period**2 / (2 * pi)
    root = sqrt(height * length)
    fitted = 1.1 * (0.35 * slope * root + 0.5 * root * sqrt(0.563 * slope**2 + 0.004))
    if slope / sqrt(height / length) < 0.3:
        fitted = max(fitted, 0.043 * root)
    raised = (height, period, slope) != (significant_height_m, peak_period_s, beach_slope)
    return RunUp(round(fitted, 4), "raised to the smallest waves of the data" if raised else "")


def _force(speed: float, lower_limits: tuple[float, ...]) -> int:
    return bisect_right(lower_limits, speed)


def _speed(speed: float) -> float:
    if not speed >= 0:
        raise ValueError(f"A wind of {speed} cannot be: speeds are 0 or more.")
    return speed


def _fahrenheit(celsius: float) -> float:
    return celsius * 9 / 5 + 32


def _celsius(fahrenheit: float) -> float:
    return round((fahrenheit - 32) * 5 / 9, 4)


def _regressed_heat_f(t: float, r: float) -> float:
    index = (
        -42.379 + 2.04901523 * t + 10.14333127 * r - 0.22475541 * t * r
        - 0.00683783 * t * t - 0.05481717 * r * r + 0.00122874 * t * t * r
        + 0.00085282 * t * r * r - 0.00000199 * t * t * r * r
    )  # fmt: skip
    if r < 13 and 80 <= t <= 112:
        index -= (13 - r) / 4 * sqrt((17 - abs(t - 95)) / 17)
    elif r > 85 and 80 <= t <= 87:
        index += (r - 85) / 10 * (87 - t) / 5
    return index
