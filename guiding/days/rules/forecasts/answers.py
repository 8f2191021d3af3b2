"""Reads the answers of open weather and sea services: JSON in either of two documented shapes.

Arrays: one array a figure under `hourly`, its unit under `hourly_units`, times local without an
offset; sums and gusts are those of the hour before. Series: a GeoJSON feature with
`properties.timeseries`, times in UTC, rain of the period that begins.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from math import isfinite
from typing import Any

from guiding.almanac.instants import named_zone
from guiding.days.rules.forecasts.reading import (
    FigureError,
    ForecastProblem,
    ForecastReading,
    clock_instant,
    in_range,
)
from guiding.days.rules.weather import WeatherHour

MOST_HOURS = 24 * 20
_HOUR = timedelta(hours=1)
_THUNDER_FROM, _THUNDER_TO = 95, 99  # WMO present weather, code table 4677 as the service has it
_SCALES: dict[str, dict[str, Callable[[float], float]]] = {
    "speed": {
        "m/s": float,
        "km/h": lambda v: v / 3.6,
        "kn": lambda v: v * 1852 / 3600,
        "mp/h": lambda v: v * 1609.344 / 3600,
        "mph": lambda v: v * 1609.344 / 3600,
    },
    "length": {"m": float, "ft": lambda v: v * 0.3048, "foot": lambda v: v * 0.3048},
    "rain": {"mm": float, "inch": lambda v: v * 25.4, "kg/m^2": float},
    "heat": {
        "°C": float,
        "celsius": float,
        "°F": lambda v: (v - 32) * 5 / 9,
        "fahrenheit": lambda v: (v - 32) * 5 / 9,
    },
    "angle": {"°": float, "degrees": float},
    "time": {"s": float},
}
# The name of a figure in each shape: ours, the kind of its unit.
_ARRAYS = {
    "wind_speed_10m": ("wind_ms", "speed"),
    "wind_gusts_10m": ("gust_ms", "speed"),
    "wind_direction_10m": ("wind_from_deg", "angle"),
    "wave_height": ("wave_m", "length"),
    "wave_period": ("period_s", "time"),
    "wave_direction": ("wave_from_deg", "angle"),
    "precipitation": ("rain_mm", "rain"),
    "temperature_2m": ("air_c", "heat"),
    "sea_surface_temperature": ("water_c", "heat"),
}
_SERIES = {
    "wind_speed": ("wind_ms", "speed"),
    "wind_speed_of_gust": ("gust_ms", "speed"),
    "wind_from_direction": ("wind_from_deg", "angle"),
    "sea_surface_wave_height": ("wave_m", "length"),
    "sea_surface_wave_period_at_variance_spectral_density_maximum": ("period_s", "time"),
    "sea_surface_wave_from_direction": ("wave_from_deg", "angle"),
    "air_temperature": ("air_c", "heat"),
    "sea_water_temperature": ("water_c", "heat"),
}


def read_service_answer(text: str) -> ForecastReading:
    """A forecast from the answer of a weather or sea service, in either documented shape.

    Units are read from the answer, never assumed; a null is not known. Nonsense comes back as a
    problem that says where it stands, and then there is no hour at all.
    """
    try:
        answer = json.loads(text)
    except (ValueError, RecursionError):
        return _refused("", "it is no JSON: the address is not that of the service.")
    if not isinstance(answer, dict):
        return _refused("", "it is not what a weather service answers.")
    if answer.get("error"):
        return _refused("", f"the service refuses: {str(answer.get('reason'))[:160]}")
    try:
        if isinstance(answer.get("hourly"), dict):
            return _arrays(answer)
        if isinstance(answer.get("properties"), dict):
            return _series(answer["properties"])
    except FigureError as error:
        return _refused(error.column, str(error))
    return _refused("", "it holds neither hourly figures nor a series: check the address.")


def _refused(column: str, message: str) -> ForecastReading:
    return ForecastReading((), None, (ForecastProblem(0, column, message),))


@dataclass(frozen=True, slots=True)
class _Figure:
    """One figure of an answer: where it stands, our name, and how its unit becomes ours."""

    place: str
    name: str
    scale: Callable[[float], float]

    def of(self, value: Any, where: str) -> float | None:
        """The figure in our unit; None for null; FigureError otherwise."""
        if value is None:
            return None
        column = f"{self.place}{where}"
        if isinstance(value, bool) or not isinstance(value, (int, float)) or not isfinite(value):
            raise FigureError(column, f"{str(value)[:40]!r} is not a number.")
        return in_range(self.name, self.scale(float(value)), column)


def _figure(place: str, name: str, kind: str, unit: Any) -> _Figure:
    scale = _SCALES[kind].get(str(unit))
    if scale is None:
        known = ", ".join(_SCALES[kind])
        raise FigureError(place, f"its unit {str(unit)[:20]!r} is not known; known are {known}.")
    return _Figure(place, name, scale)


# ------------------------------------------------------------------ arrays


def _arrays(answer: Mapping[str, Any]) -> ForecastReading:
    hourly = answer["hourly"]
    times = _times(answer, hourly.get("time"))
    units = answer.get("hourly_units")
    if not isinstance(units, dict):
        raise FigureError("hourly_units", "the units are missing.")
    columns: dict[str, list[float | None]] = {}
    for key, (name, kind) in _ARRAYS.items():
        if key in hourly:
            figure = _figure(f"hourly.{key}", name, kind, units.get(key))
            values = _array(hourly[key], len(times), key)
            columns[name] = [figure.of(value, f"[{i}]") for i, value in enumerate(values)]
    codes = (
        _array(hourly["weather_code"], len(times), "weather_code")
        if ("weather_code" in hourly)
        else [None] * len(times)
    )
    return ForecastReading(tuple(_of_arrays(i, times, columns, codes) for i in range(len(times))))


def _times(answer: Mapping[str, Any], times: Any) -> list[datetime]:
    if not isinstance(times, list) or not times or len(times) > MOST_HOURS:
        raise FigureError("hourly.time", f"there must be 1 to {MOST_HOURS} times.")
    zone = str(answer.get("timezone") or "GMT")
    try:
        rules = UTC if zone in {"GMT", "UTC"} else named_zone(zone)
    except ValueError as error:
        raise FigureError("timezone", str(error)) from None
    found: list[datetime] = []
    for i, text in enumerate(times):
        try:
            stated = datetime.fromisoformat(str(text))
        except ValueError:
            raise FigureError(f"hourly.time[{i}]", f"{str(text)[:40]!r} is no time.") from None
        at = clock_instant(stated, rules, found[-1] if found else None)
        if found and at <= found[-1]:
            raise FigureError(f"hourly.time[{i}]", "the times are not in order.")
        found.append(at)
    return found


def _array(values: Any, count: int, key: str) -> list[Any]:
    if not isinstance(values, list) or len(values) != count:
        raise FigureError(f"hourly.{key}", f"it must be a list of {count} figures.")
    return values


def _of_arrays(
    i: int,
    times: list[datetime],
    columns: Mapping[str, list[float | None]],
    codes: list[Any],
) -> WeatherHour:
    """An hour; rain and gusts are those of the hour that ends at a time, so the next one's."""
    figures = {
        name: values[i] for name, values in columns.items() if name not in {"rain_mm", "gust_ms"}
    }
    after = i + 1 if i + 1 < len(times) and times[i + 1] - times[i] <= _HOUR else None
    rain = columns.get("rain_mm")
    gusts = columns.get("gust_ms")
    if rain:
        figures["rain_mm"] = rain[after] if after is not None else None
    if gusts:
        both = [gusts[i], gusts[after] if after is not None else None]
        known = [gust for gust in both if gust is not None]
        figures["gust_ms"] = max(known) if known else None
    code = codes[i]
    thunder = None if not isinstance(code, (int, float)) else _THUNDER_FROM <= code <= _THUNDER_TO
    return WeatherHour(at=times[i], thunder=thunder, **figures)


# ------------------------------------------------------------------ series


def _series(properties: Mapping[str, Any]) -> ForecastReading:
    meta, series = properties.get("meta"), properties.get("timeseries")
    if not isinstance(meta, dict) or not isinstance(series, list):
        raise FigureError("properties", "meta or timeseries is missing.")
    if not 1 <= len(series) <= MOST_HOURS:
        raise FigureError("properties.timeseries", f"there must be 1 to {MOST_HOURS} entries.")
    units = meta.get("units") if isinstance(meta.get("units"), dict) else {}
    hours: list[WeatherHour] = []
    for i, entry in enumerate(series):
        hour = _of_series(entry, f"timeseries[{i}]", units or {})
        if hours and hour.at <= hours[-1].at:
            raise FigureError(f"timeseries[{i}].time", "the times are not in order.")
        hours.append(hour)
    return ForecastReading(tuple(hours), _utc(meta.get("updated_at"), "meta.updated_at"))


def _of_series(entry: Any, where: str, units: Mapping[str, Any]) -> WeatherHour:
    data = entry.get("data") if isinstance(entry, dict) else None
    instant = data.get("instant") if isinstance(data, dict) else None
    details = instant.get("details") if isinstance(instant, dict) else None
    if not isinstance(entry, dict) or not isinstance(data, dict) or not isinstance(details, dict):
        raise FigureError(where, "data.instant.details is missing.")
    figures = {
        name: _figure(f"{where}.{key}", name, kind, units.get(key)).of(details[key], "")
        for key, (name, kind) in _SERIES.items()
        if key in details
    }
    return WeatherHour(
        at=_utc(entry.get("time"), f"{where}.time"),
        rain_mm=_rain(data, where, units),
        thunder=_thunder(data),
        **figures,
    )


def _period(data: Mapping[str, Any], name: str) -> Mapping[str, Any]:
    found = data.get(name)
    return found if isinstance(found, dict) else {}


def _rain(data: Mapping[str, Any], where: str, units: Mapping[str, Any]) -> float | None:
    """The rain of the hour that begins; from six hours together a sixth of it."""
    key = "precipitation_amount"
    for name, hours in (("next_1_hours", 1), ("next_6_hours", 6)):
        details = _period(data, name).get("details")
        if isinstance(details, dict) and key in details:
            figure = _figure(f"{where}.{name}.{key}", "rain_mm", "rain", units.get(key))
            amount = figure.of(details[key], "")
            return None if amount is None else round(amount / hours, 4)
    return None


def _thunder(data: Mapping[str, Any]) -> bool | None:
    for name in ("next_1_hours", "next_6_hours"):
        summary = _period(data, name).get("summary")
        if isinstance(summary, dict) and "symbol_code" in summary:
            return "thunder" in str(summary["symbol_code"])
    return None


def _utc(text: Any, where: str) -> datetime:
    try:
        at = datetime.fromisoformat(str(text).replace("Z", "+00:00"))
    except ValueError:
        raise FigureError(where, f"{str(text)[:40]!r} is no time.") from None
    if at.tzinfo is None:
        raise FigureError(where, f"{str(text)[:40]!r} has no offset from UTC.")
    return at.astimezone(UTC)
