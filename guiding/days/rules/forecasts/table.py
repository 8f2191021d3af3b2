"""Reads a forecast from a table in CSV, whatever its columns and units."""

from __future__ import annotations

from dataclasses import dataclass, fields
from datetime import UTC, datetime, tzinfo
from enum import StrEnum

from guiding.almanac.instants import named_zone
from guiding.almanac.tide.reading import CellError, Row, Table
from guiding.days.rules.forecasts.reading import (
    RANGES,
    FigureError,
    ForecastProblem,
    ForecastReading,
    clock_instant,
    in_range,
)
from guiding.days.rules.weather import WeatherHour


class SpeedUnit(StrEnum):
    """The unit of winds and gusts."""

    METRE_PER_SECOND = "m/s"
    KNOT = "kn"
    KILOMETRE_PER_HOUR = "km/h"
    MILE_PER_HOUR = "mph"


class LengthUnit(StrEnum):
    """The unit of waves."""

    METRE = "m"
    FOOT = "ft"


class HeatUnit(StrEnum):
    """The unit of air and water."""

    CELSIUS = "°C"
    FAHRENHEIT = "°F"


_PER_MS = {
    SpeedUnit.METRE_PER_SECOND: 1.0,
    SpeedUnit.KNOT: 1852 / 3600,
    SpeedUnit.KILOMETRE_PER_HOUR: 1 / 3.6,
    SpeedUnit.MILE_PER_HOUR: 1609.344 / 3600,
}
_METRES = {LengthUnit.METRE: 1.0, LengthUnit.FOOT: 0.3048}
_SPEEDS, _LENGTHS, _HEATS = {"wind_ms", "gust_ms"}, {"wave_m"}, {"air_c", "water_c"}


@dataclass(frozen=True, slots=True)
class ForecastColumns:
    """Which columns of a table hold what; empty: there is none. Only the time must be there.

    `offset` is a column with the offset from UTC, such as +01:00, for times without one.
    """

    time: str = "time"
    wind_ms: str = "wind"
    gust_ms: str = "gust"
    wind_from_deg: str = "wind_from"
    wave_m: str = "wave"
    period_s: str = "period"
    wave_from_deg: str = "wave_from"
    rain_mm: str = "rain"
    air_c: str = "air"
    water_c: str = "water"
    thunder: str = "thunder"
    offset: str = "offset"


@dataclass(frozen=True, slots=True)
class ForecastUnits:
    """The units of a table and the clock of its times: UTC or an IANA name."""

    speed: SpeedUnit = SpeedUnit.METRE_PER_SECOND
    length: LengthUnit = LengthUnit.METRE
    heat: HeatUnit = HeatUnit.CELSIUS
    zone: str = "UTC"


def read_forecast_table(
    text: str, columns: ForecastColumns | None = None, units: ForecastUnits | None = None
) -> ForecastReading:
    """A forecast from the text of a table in CSV, each row an hour or several.

    Columns of the usual names that are not there are passed over, save the time and at least one of
    wind and waves; a name of one's own must be there. An empty cell is not known. Refused with the
    row's number: cells that cannot be read, figures out of their range, times out of order, twice
    or skipped by the clocks. ValueError for a zone that does not exist.
    """
    columns, units = columns or ForecastColumns(), units or ForecastUnits()
    rules = UTC if units.zone.upper() in {"UTC", "GMT"} else named_zone(units.zone)
    table = Table.of(text, (columns.time,), "forecast")
    problems = [ForecastProblem(each.row, each.column, each.message) for each in table.problems]
    there = set(table.rows[0].cells) if table.rows else set()
    if there and not there & {columns.wind_ms, columns.wave_m}:
        message = f"there is no column '{columns.wind_ms}' or '{columns.wave_m}': name one of them."
        problems.append(ForecastProblem(1, "", message))
    for each in fields(ForecastColumns):
        name = getattr(columns, each.name)
        if there and name and name != each.default and name not in there:
            message = f"there is no column '{name}'; found: {', '.join(sorted(there))}."
            problems.append(ForecastProblem(1, name, message))
    hours: list[WeatherHour] = []
    for row in table.rows:
        try:
            hours.append(_hour(row, columns, units, rules, there, hours))
        except (CellError, FigureError) as error:
            problems.append(ForecastProblem(row.number, error.column, str(error)))
    return ForecastReading((), None, tuple(problems)) if problems else ForecastReading(tuple(hours))


def _hour(
    row: Row,
    columns: ForecastColumns,
    units: ForecastUnits,
    rules: tzinfo,
    there: set[str],
    before: list[WeatherHour],
) -> WeatherHour:
    previous = before[-1].at if before else None
    at = clock_instant(_stated(row, columns, there), rules, previous)
    if previous is not None and at <= previous:
        raise FigureError(columns.time, "the time is not after the row above: put them in order.")
    figures = {
        each.name: _figure(row, each.name, getattr(columns, each.name), units)
        for each in fields(ForecastColumns)
        if each.name in RANGES and getattr(columns, each.name) in there
    }
    thunder = _yes(row, columns.thunder) if columns.thunder in there else None
    return WeatherHour(at=at, thunder=thunder, **figures)


def _stated(row: Row, columns: ForecastColumns, there: set[str]) -> datetime:
    text = row.text(columns.time)
    offset = (row.cells.get(columns.offset) or "").strip() if columns.offset in there else ""
    try:
        return datetime.fromisoformat(text.replace("Z", "+00:00") + offset)
    except ValueError:
        raise FigureError(
            columns.time, f"'{text}{offset}' is not a time in the form 2026-05-16 05:00."
        ) from None


def _figure(row: Row, name: str, column: str, units: ForecastUnits) -> float | None:
    if not (row.cells.get(column) or "").strip():
        return None
    value = row.number_in(column, -1e6, 1e6)
    if name in _SPEEDS:
        value *= _PER_MS[units.speed]
    elif name in _LENGTHS:
        value *= _METRES[units.length]
    elif name in _HEATS and units.heat is HeatUnit.FAHRENHEIT:
        value = (value - 32) * 5 / 9
    return in_range(name, value, column)


def _yes(row: Row, column: str) -> bool | None:
    word = (row.cells.get(column) or "").strip().casefold()
    if not word:
        return None
    if word in {"yes", "true", "1", "x"}:
        return True
    if word in {"no", "false", "0", "-"}:
        return False
    raise FigureError(column, f"'{word}' is neither yes nor no.")
