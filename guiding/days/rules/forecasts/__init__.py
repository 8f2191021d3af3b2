"""Reads forecasts: a table in CSV, and the answers of weather and sea services in JSON."""

from guiding.days.rules.forecasts.answers import read_service_answer
from guiding.days.rules.forecasts.reading import ForecastProblem, ForecastReading
from guiding.days.rules.forecasts.table import ForecastColumns, ForecastUnits, read_forecast_table

__all__ = [
    "ForecastColumns",
    "ForecastProblem",
    "ForecastReading",
    "ForecastUnits",
    "read_forecast_table",
    "read_service_answer",
]
