"""What reading a forecast can report, the ranges its figures lie in, and local clock times."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime, tzinfo

from guiding.days.rules.weather import WeatherHour

# Lowest and highest of each figure; outside it the unit or the column is wrong [house].
RANGES = {
    "wind_ms": (0.0, 90.0),
    "gust_ms": (0.0, 120.0),
    "wind_from_deg": (0.0, 360.0),
    "wave_m": (0.0, 30.0),
    "period_s": (0.0, 40.0),
    "wave_from_deg": (0.0, 360.0),
    "rain_mm": (0.0, 300.0),
    "air_c": (-60.0, 60.0),
    "water_c": (-5.0, 45.0),
}


@dataclass(frozen=True, slots=True)
class ForecastProblem:
    """What is wrong with a forecast and where: a row (1 is the header, 0 the whole), a column."""

    row: int
    column: str
    message: str

    def __str__(self) -> str:
        place = f"row {self.row}" if self.row else "the forecast"
        return f"{place}{', ' + self.column if self.column else ''}: {self.message}"


@dataclass(frozen=True, slots=True)
class ForecastReading:
    """The hours of a forecast in order, or the problems; with a problem there is no hour at all.

    `issued_at` is None where the forecast does not say.
    """

    hours: tuple[WeatherHour, ...]
    issued_at: datetime | None = None
    problems: tuple[ForecastProblem, ...] = ()


class FigureError(ValueError):
    """A figure that cannot be used: where it stands, and why."""

    def __init__(self, column: str, message: str) -> None:
        super().__init__(message)
        self.column = column


def in_range(name: str, value: float, column: str) -> float:
    """A figure within its range; FigureError otherwise."""
    low, high = RANGES[name]
    if not low <= value <= high:
        raise FigureError(
            column, f"{value:g} is not between {low:g} and {high:g}: check the figure and its unit."
        )
    return round(value, 4)


def clock_instant(stated: datetime, rules: tzinfo, previous: datetime | None) -> datetime:
    """The instant in UTC of a time as written by a clock; a time with an offset keeps it.

    A time that comes twice is the one after `previous`; the first where nothing came before.
    FigureError for a time that the clock skips.
    """
    if stated.tzinfo is not None:
        return stated.astimezone(UTC)
    one, two = (stated.replace(tzinfo=rules, fold=fold).astimezone(UTC) for fold in (0, 1))
    if one > two:
        raise FigureError(
            "time",
            f"{stated:%Y-%m-%d %H:%M} does not exist there: the clocks skip it. Is it in UTC?",
        )
    return two if previous is not None and one <= previous < two else one
