"""What the tables know of a trip that a hazard may hang on."""

from __future__ import annotations

import datetime
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from django.utils import timezone

from bookings.models import Trip
from guiding.days.models import DayPlan
from guiding.days.queries.forecasts import weather_of as forecast_of
from guiding.days.rules.weather import WeatherHour
from guiding.safety.models import DayMarks, SpotSafety


@dataclass(frozen=True, slots=True)
class Weather:
    """The worst that is forecast or planned for the session; None where nothing is known."""

    wave_m: float | None = None
    period_s: float | None = None
    wind_ms: float | None = None
    gust_ms: float | None = None
    air_low_c: float | None = None
    air_high_c: float | None = None
    water_c: float | None = None
    thunder: bool = False
    source: str = ""


def weather_of(plan: DayPlan, *, at: datetime.datetime | None = None) -> Weather:
    """The worst hour of the session in all that is forecast for the spot, else the drop plan's.

    Each figure of each hour comes from the newest issue that gives it: one that speaks of waves
    only, or of half the day, does not silence an older one. As known at `at`; now.
    """
    found = forecast_of(
        plan.spot, start=plan.session_start, end=plan.session_end, at=at or timezone.now()
    )
    hours = found.hours
    if not found.is_known:
        return _from_setup(plan)
    water = [hour.water_c for hour in hours if hour.water_c is not None]
    air = [hour.air_c for hour in hours if hour.air_c is not None]
    return Weather(
        wave_m=_most(hours, "wave_m"),
        period_s=_most(hours, "period_s"),
        wind_ms=_most(hours, "wind_ms"),
        gust_ms=_most(hours, "gust_ms"),
        air_low_c=min(air, default=None),
        air_high_c=max(air, default=None),
        water_c=min(water, default=None),
        thunder=any(hour.thunder for hour in hours),
        source="; ".join(str(issue) for issue in found.issues),
    )


def _most(hours: Sequence[WeatherHour], name: str) -> float | None:
    return max((x for hour in hours if (x := getattr(hour, name)) is not None), default=None)


def _from_setup(plan: DayPlan) -> Weather:
    setup = getattr(plan, "drop_setup", None)
    if setup is None:
        return Weather()
    return Weather(
        wave_m=setup.wave_height_m,
        wind_ms=setup.wind_ms,
        gust_ms=setup.gust_ms,
        air_low_c=setup.air_c,
        air_high_c=setup.air_c,
        source="the plan of the drops",
    )


def marks_of(trip: Trip) -> DayMarks:
    """What the guide ticked for the day; an empty row where nothing was."""
    return DayMarks.objects.filter(trip=trip).first() or DayMarks(trip=trip)


def safety_of(plan: DayPlan) -> SpotSafety:
    """What is known of the spot; an empty row where nothing is."""
    return SpotSafety.objects.filter(spot=plan.spot_id).first() or SpotSafety(spot=plan.spot)


def usual_marks(trip: Trip) -> dict[str, str]:
    """Where beacon, vehicle and keys were on the trip that was marked last: most days alike."""
    before = DayMarks.objects.exclude(trip=trip).order_by("-pk").first()
    names = ("beacon", "vehicle", "keys")
    return {name: getattr(before, name) for name in names} if before else {}


def card_gaps(plans: Iterable[DayPlan]) -> dict[int, tuple[str, ...]]:
    """What somebody in need would look for on the card of each trip in vain; in two queries."""
    plans = list(plans)
    marks = {row.trip_id: row for row in DayMarks.objects.filter(trip__plan__in=plans)}
    spots = {row.spot_id: row for row in SpotSafety.objects.filter(spot__plans__in=plans)}
    return {
        plan.trip_id: _gaps(spots.get(plan.spot_id, SpotSafety()), marks.get(plan.trip_id))
        for plan in plans
    }


def _gaps(spot: SpotSafety, marks: DayMarks | None) -> tuple[str, ...]:
    marks = marks or DayMarks()
    asked = {
        "hospital": spot.hospital,
        "first aid": spot.first_aid,
        "beacon": marks.beacon,
        "keys": marks.keys,
    }
    return tuple(name for name, text in asked.items() if not text.strip())


def hours_between(
    start: datetime.datetime, end: datetime.datetime, zone: datetime.tzinfo, first: int, last: int
) -> float:
    """Hours of a span that lie between two hours of the local clock."""
    step, found = datetime.timedelta(minutes=10), datetime.timedelta()
    at = start
    while at < end:
        if first <= at.astimezone(zone).hour < last:
            found += min(step, end - at)
        at += step
    return found / datetime.timedelta(hours=1)
