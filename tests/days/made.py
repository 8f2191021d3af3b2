"""Spots, plans and forecasts as tests of the right day need them: invented, through the actions."""

from __future__ import annotations

import datetime
from typing import Any

from equipment.models import Craft, FlightPack
from guiding.days.actions.forecasts import add_forecast
from guiding.days.actions.permits import save_permit
from guiding.days.models import DayPlan, Forecast, PlannedPack, Spot
from guiding.days.rules.weather import WeatherHour
from tests.factories_days import DayPlanFactory, SpotFactory
from tests.factories_equipment import CraftFactory, FlightPackFactory

DAY = datetime.datetime(2026, 6, 13, tzinfo=datetime.UTC)
EVENING_BEFORE = datetime.datetime(2026, 6, 12, 20, 0, tzinfo=datetime.UTC)
ISSUED = datetime.datetime(2026, 6, 12, 18, 0, tzinfo=datetime.UTC)
CALM: dict[str, Any] = {
    "wind_ms": 4.0, "gust_ms": 6.0, "wind_from_deg": 90.0, "wave_m": 0.4, "period_s": 6.0,
    "rain_mm": 0.0, "air_c": 14.0, "thunder": False,
}  # fmt: skip


def at(hour: float) -> datetime.datetime:
    """An hour of 13 June 2026, UTC."""
    return DAY + datetime.timedelta(hours=hour)


def forecast(
    spot: Spot, *, issued_at: datetime.datetime = ISSUED, source: str = "typed in", **figures: Any
) -> Forecast:
    """A calm 13 June, with figures of its own where given: a value, or one an hour."""
    hours = []
    for n in range(24):
        given = {
            name: value.get(n, CALM.get(name)) if isinstance(value, dict) else value
            for name, value in figures.items()
        }
        hours.append(WeatherHour(at(n), **{**CALM, **given}))
    return add_forecast(
        spot=spot, kind="typed", source=source, issued_at=issued_at, hours=hours, at=issued_at
    )


def permits(spot: Spot) -> None:
    """Both papers that allow bait to be flown out."""
    for kind in ("aviation", "fishery"):
        save_permit(
            spots=[spot],
            kind=kind,
            authority=f"Demo {kind} office",
            number=f"DEMO-{kind}",
            valid_from=datetime.date(2026, 1, 1),
            valid_until=datetime.date(2026, 12, 31),
            covers_dropping=True,
            copy_kept="folder 3",
        )


def flying_plan(**fields: Any) -> DayPlan:
    """A planned day on which bait is flown out: both papers, a craft, a pack."""
    spot = fields.pop("spot", None) or SpotFactory(
        sill_m=None, sand_km=0, walked_on=datetime.date(2026, 2, 1)
    )
    permits(spot)
    craft: Craft = fields.pop("craft", None) or CraftFactory()
    plan: DayPlan = DayPlanFactory(spot=spot, craft=craft, **fields)
    pack: FlightPack = FlightPackFactory(fits=craft)
    PlannedPack.objects.create(plan=plan, pack=pack, position=1)
    return plan
