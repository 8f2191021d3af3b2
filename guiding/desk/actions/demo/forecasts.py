"""The demo's forecasts in two issues, its closures, and two decisions of days gone by."""

from __future__ import annotations

import datetime
from collections.abc import Iterable, Iterator
from typing import Any

from bookings.models import Business, Trip
from guiding.days.actions.closures import save_closure
from guiding.days.actions.decisions import decide
from guiding.days.actions.forecasts import add_forecast
from guiding.days.models import DayPlan, Decision, Forecast, Spot
from guiding.days.rules.decision import Call
from guiding.days.rules.weather import WeatherHour
from guiding.days.sheets.decision import trip_conditions

_HOUR = datetime.timedelta(hours=1)
_DAY = datetime.timedelta(days=1)
_RUN_HOURS = 6  # the invented weather office issues at 0, 6, 12 and 18 o'clock UTC
_KNOWN_AFTER = 3 * _HOUR
_STEP_HOURS = 3
_DAYS_AHEAD = 5
_MOST_DAYS_AHEAD = 15


def make_forecasts(
    season: dict[str, Any], *, spots: dict[str, Spot], today: datetime.date, at: datetime.datetime
) -> None:
    """Two issues for every spot, the newest as fresh as it can be at `at`.

    The weather is told from the next planned day on, so that this day always has the same.
    """
    told = season["forecasts"]
    next_day = _next_day(at)
    days = min(max(_DAYS_AHEAD, (next_day - today).days + 2), _MOST_DAYS_AHEAD)
    known = (at - _KNOWN_AFTER).astimezone(datetime.UTC)
    newest = known.replace(hour=known.hour - known.hour % _RUN_HOURS, minute=0, second=0)
    newest = newest.replace(microsecond=0)
    for issue in told["issues"]:
        issued_at = newest - issue["hours_earlier"] * _HOUR
        until = issued_at + days * _DAY
        for name, share in told["spots"].items():
            add_forecast(
                spot=spots[name],
                kind=Forecast.Kind.FILE,
                source=told["source"],
                issued_at=issued_at,
                hours=list(_hours(told["days"], issue, share, issued_at, until, next_day)),
                at=issued_at + _KNOWN_AFTER,
                attribution=told["credit"],
            )


def _next_day(at: datetime.datetime) -> datetime.date:
    plan = DayPlan.objects.filter(session_start__gt=at).order_by("session_start").first()
    return plan.session_start.date() if plan else at.date()


def _hours(
    days: list[dict[str, Any]],
    issue: dict[str, float],
    share: dict[str, float],
    start: datetime.datetime,
    end: datetime.datetime,
    next_day: datetime.date,
) -> Iterator[WeatherHour]:
    at = start
    while at < end:
        told, n = days[(at.date() - next_day).days % len(days)], at.hour // _STEP_HOURS
        wind = told["wind_ms"][n] * issue["wind_share"] * share["wind"]
        yield WeatherHour(
            at=at,
            wind_ms=round(wind, 1),
            gust_ms=round(wind * told["gust_factor"], 1),
            wind_from_deg=float(told["wind_from_deg"][n]),
            wave_m=round(told["wave_m"][n] * issue["wave_share"] * share["wave"], 1),
            period_s=float(told["period_s"]),
            wave_from_deg=float(told["wave_from_deg"]),
            rain_mm=told["rain_mm"][n],
            air_c=float(told["air_c"][n]),
            water_c=float(told["water_c"]),
            thunder=False,
        )
        at += _STEP_HOURS * _HOUR


def past_decision(
    season: dict[str, Any], *, number: int, plan: DayPlan, business: Business
) -> Decision | None:
    """The decision of the evening before one of the season's days, on a forecast of its own.

    None for days of which nothing is told.
    """
    told = next((one for one in season["decisions"] if one["trip"] == number), None)
    if told is None:
        return None
    out_at = plan.trip.starts_at
    issued_at = (out_at - 20 * _HOUR).replace(minute=0, second=0, microsecond=0)
    add_forecast(
        spot=plan.spot,
        kind=Forecast.Kind.TYPED,
        source=season["forecasts"]["source"],
        issued_at=issued_at,
        hours=[
            WeatherHour(
                at=plan.session_end + hours * _HOUR,
                wind_ms=wind,
                gust_ms=gust,
                wind_from_deg=told["wind_from_deg"],
                wave_m=wave,
                period_s=told["period_s"],
                thunder=False,
            )
            for hours, wind, gust, wave in told["readings"]
        ],
        at=issued_at + _HOUR,
    )
    at = out_at - 14 * _HOUR
    found = trip_conditions(trip=plan.trip, business=business, at=at)
    if found is None:
        raise ValueError(f"Trip {number} has no plan to decide on.")
    return decide(
        plan=found.plan,
        facts=found.facts,
        call=Call(told["call"]),
        reason=told["reason"],
        by_name=business.guide_name,
        at=at,
        moves_trip=False,
    )


def make_closures(season: dict[str, Any], *, spots: dict[str, Spot], today: datetime.date) -> None:
    """Dates on which spots are shut: a few days once, and a part of every year.

    They lie where no day of the season is planned, so that nothing planned stands on a shut beach.
    """
    for told in season["closures"]:
        spot = spots[told["spot"]]
        first = _free_stretch(spot, today + told["from"] * _DAY, told["days"])
        save_closure(
            spot=spot,
            first_day=first,
            last_day=first + (told["days"] - 1) * _DAY,
            yearly=told["yearly"],
            reason=told["reason"],
            authority=told["authority"],
            checked_on=today - 30 * _DAY,
        )


def _free_stretch(spot: Spot, first: datetime.date, days: int) -> datetime.date:
    """The first day from there on at which so many days begin without a plan at the spot."""
    taken = set(_planned_days(spot))
    while any(first + n * _DAY in taken for n in range(days)):
        first += _DAY
    return first


def _planned_days(spot: Spot) -> Iterable[datetime.date]:
    live = DayPlan.objects.filter(spot=spot).exclude(trip__status=Trip.Status.CANCELLED)
    return (at.date() for at in live.values_list("session_start", flat=True))
