"""The demo's forecasts, decisions and closures: enough for the pages of the next day."""

from __future__ import annotations

import datetime

from bookings.models import Business, Trip
from bookings.queries.trips import next_trips
from guiding.days.models import Closure, DayPlan, Decision, Forecast, Spot
from guiding.days.queries.decisions import closed_because
from guiding.days.queries.forecasts import weather_of
from guiding.days.rules.decision import replayed
from guiding.days.rules.limits import Verdict
from guiding.days.sheets.decision import trip_conditions
from tests.season import NOON

_DAY = datetime.timedelta(days=1)


def test_the_next_day_has_a_forecast_that_can_be_decided_on(season: object) -> None:
    trip = next_trips(at=NOON).filter(plan__isnull=False)[0]
    found = trip_conditions(trip=trip, business=Business.objects.get(), at=NOON)
    assert found is not None
    keys = {one.key: one for one in found.findings}
    assert keys["forecast age"].verdict is Verdict.GO
    assert {"waves", "wind", "period", "rain", "thunder"} <= set(keys)
    assert not {"forecast", "no wind", "no waves"} & set(keys)


def test_each_spot_has_two_issues_with_figures_of_their_own(season: object) -> None:
    for spot in Spot.objects.all():
        ahead = list(spot.forecasts.filter(entered_at__gt=NOON - _DAY))
        assert len(ahead) == 2
        newest, older = ahead
        assert newest.issued_at - older.issued_at == datetime.timedelta(hours=12)
        assert all(NOON >= row.entered_at > row.issued_at for row in ahead)
        at = {row.at: row.wind_ms for row in older.hours.all()}
        both = [(row.wind_ms, at[row.at]) for row in newest.hours.all() if row.at in at]
        assert len(both) > 20
        assert any(new != old for new, old in both)
        spoken = weather_of(spot, start=NOON, end=NOON + 3 * _DAY, at=NOON)
        assert [issue.pk for issue in spoken.issues] == [newest.pk]


def test_one_stop_was_overruled_and_one_day_called_off(season: object) -> None:
    rows = {row.verdict: row for row in Decision.objects.select_related("plan__trip")}
    assert set(rows) == {"go", "call off"}
    assert rows["go"].stops >= 1
    assert "squall" in rows["go"].reason
    assert rows["go"].plan.trip.status == Trip.Status.FISHED
    assert rows["call off"].stops >= 1
    assert rows["call off"].plan.trip.status == Trip.Status.CANCELLED
    assert rows["call off"].plan.trip.cancelled_reason == rows["call off"].reason
    for row in rows.values():
        assert row.forecast_issued_at is not None
        assert row.forecast_issued_at < row.taken_at < row.plan.trip.starts_at
        copy = replayed(row.frozen)
        assert copy.same
        assert any(one.verdict is Verdict.STOP for one in copy.then)


def test_a_closure_and_a_season_leave_planned_days_alone(season: object) -> None:
    assert {row.yearly for row in Closure.objects.all()} == {True, False}
    live = DayPlan.objects.exclude(trip__status=Trip.Status.CANCELLED).select_related("spot")
    shut = [plan for plan in live if closed_because(spot=plan.spot, on=plan.session_start.date())]
    assert shut == []


def test_every_forecast_of_the_demo_says_that_it_is_invented(season: object) -> None:
    ahead = Forecast.objects.filter(issued_at__gt=NOON - _DAY)
    assert ahead.count() == 6
    assert all("Invented" in row.attribution for row in ahead)
