"""A day that is over is judged by what was known then, whatever was flown and set since."""

from __future__ import annotations

import datetime
from typing import Any

import time_machine

from bookings.models import Business
from guiding.days.actions.decisions import save_house_limits
from guiding.days.actions.flying import save_flying_choice
from guiding.days.models import DayPlan
from guiding.days.queries.decisions import house_limits
from guiding.days.sheets.drops import DropsOfDay
from guiding.desk.sheets.drops import trip_drops
from guiding.desk.sheets.gather import TripFile, gather
from tests import factories_flights as flights

DAY = datetime.timedelta(days=1)


def _file(plan: DayPlan, at: datetime.datetime) -> TripFile:
    file = gather(plan.trip_id, business=Business.objects.get(), at=at)
    assert file is not None
    assert file.conditions is not None
    return file


def _judged(plan: DayPlan, at: datetime.datetime) -> DropsOfDay:
    found = trip_drops(_file(plan, at), at=at)
    assert found is not None
    assert found.estimate is not None
    return found


def _log(plan: DayPlan, at: datetime.datetime, *, to_percent: float) -> None:
    assert plan.craft is not None
    for n in range(12):
        pack = plan.packs.all()[n % 2]
        when = at + n * datetime.timedelta(minutes=1)
        flights.logged(plan.craft, pack, at=when, to_percent=to_percent)


def test_a_past_day_is_judged_by_the_log_and_the_figures_of_its_day(business: Any) -> None:
    plan = flights.flown_plan()
    _log(plan, flights.FLOWN_AT, to_percent=70.0)
    end = plan.trip.ends_at
    then = _judged(plan, end)
    with time_machine.travel(end + 5 * DAY, tick=False):
        _log(plan, plan.session_start, to_percent=40.0)
        _log(plan, end + 3 * DAY, to_percent=40.0)
        save_flying_choice(reserve_share=0.5)
        save_house_limits(limits=house_limits(), forecast_age_h=100.0)
        now = _judged(plan, end + 5 * DAY)
        assert now.estimate == then.estimate
        assert now.defaults == then.defaults
        known = _file(plan, end + 5 * DAY).conditions
        assert known is not None
        assert known.facts.known_at == end
        assert known.facts.house.forecast_age_h == 12.0


def test_a_day_to_come_is_judged_by_what_holds_now(business: Any) -> None:
    plan = flights.flown_plan()
    ahead = plan.session_start - 2 * DAY
    _log(plan, flights.FLOWN_AT, to_percent=70.0)
    before = _judged(plan, ahead)
    save_flying_choice(reserve_share=0.5)
    now = _judged(plan, ahead)
    assert now.defaults.reserve_share == 0.5
    assert before.estimate is not None
    assert now.estimate is not None
    assert now.estimate.drops < before.estimate.drops
