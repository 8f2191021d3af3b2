"""Fade of a pack: how many cycles are left, and how well such forecasts did on real cells."""

from equipment.rules.fade._method import Forecast
from equipment.rules.fade.dates import ForecastDates, forecast_dates
from equipment.rules.fade.forecast import forecast_cycles_left
from equipment.rules.fade.trial import (
    CellLife,
    ForecastTrial,
    TrialRow,
    TrialSummary,
    end_of_life_cycle,
    forecast_report,
    forecast_report_lines,
)

__all__ = [
    "CellLife",
    "Forecast",
    "ForecastDates",
    "ForecastTrial",
    "TrialRow",
    "TrialSummary",
    "end_of_life_cycle",
    "forecast_cycles_left",
    "forecast_dates",
    "forecast_report",
    "forecast_report_lines",
]
