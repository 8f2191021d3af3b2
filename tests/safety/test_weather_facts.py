"""The weather that a hazard may hang on: from all issues together, and of its own spot."""

from __future__ import annotations

import datetime

from bookings.models import Business
from guiding.days.actions.forecasts import add_forecast
from guiding.days.rules.weather import WeatherHour
from guiding.safety.queries.facts import weather_of
from tests.days.made import EVENING_BEFORE, ISSUED, at, forecast
from tests.factories_days import DayPlanFactory, SpotFactory


def test_a_newer_issue_of_half_the_day_or_of_waves_alone_silences_nothing(
    business: Business,
) -> None:
    plan = DayPlanFactory()
    forecast(plan.spot, wind_ms=9.0, wave_m=1.0)
    later = ISSUED + datetime.timedelta(hours=1)
    add_forecast(
        spot=plan.spot, kind="typed", source="the buoy", issued_at=later, at=later,
        hours=[WeatherHour(at(6), wave_m=2.2), WeatherHour(at(7), wave_m=2.4)],
    )  # fmt: skip
    found = weather_of(plan, at=EVENING_BEFORE)
    assert (found.wind_ms, found.wave_m) == (9.0, 2.4)
    assert "the buoy" in found.source
    assert weather_of(plan, at=ISSUED).wave_m == 1.0, "as it was known then"


def test_the_forecast_of_another_spot_says_nothing(business: Business) -> None:
    plan = DayPlanFactory()
    forecast(SpotFactory(), wind_ms=20.0)
    assert weather_of(plan, at=EVENING_BEFORE).wind_ms is None
