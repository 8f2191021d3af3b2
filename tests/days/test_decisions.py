"""Conditions of a planned day from the rows, and decisions kept with all they were taken on."""

from __future__ import annotations

import datetime
from typing import Any

import pytest
from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction

from bookings.models import Business, Trip
from guiding.almanac.windows import Windows
from guiding.days.actions.decisions import decide, save_house_limits
from guiding.days.actions.spots import save_spot
from guiding.days.models import Closure, DayPlan, Decision, DropSetup, WindLimit
from guiding.days.queries.decisions import house_limits, newest_decisions
from guiding.days.rules.decision import Call, replayed
from guiding.days.rules.limits import Finding, Verdict
from guiding.days.sheets.day import strip_facts
from guiding.days.sheets.decision import Conditions, trip_conditions
from guiding.days.sheets.nature import spot_day
from guiding.drawings.strip import strip_rows
from tests.days.made import EVENING_BEFORE, at, flying_plan, forecast
from tests.factories import BookingFactory, TripFactory
from tests.factories_days import DayPlanFactory, SpotFactory


def conditions(plan: DayPlan, known_at: datetime.datetime = EVENING_BEFORE) -> Conditions:
    found = trip_conditions(trip=plan.trip, business=Business.objects.get(), at=known_at)
    assert found is not None
    return found


def finding(found: Conditions, key: str) -> Finding:
    matching = [one for one in found.findings if one.key == key]
    assert len(matching) == 1, f"{key}: {matching}"
    return matching[0]


@pytest.fixture
def plan(business: Business) -> DayPlan:
    made = flying_plan(trip=TripFactory(places_taken=3))
    BookingFactory(trip=made.trip, heads=3)
    return made


def test_a_calm_day_with_everything_in_order_goes(plan: DayPlan) -> None:
    forecast(plan.spot)
    found = conditions(plan)
    assert [one for one in found.findings if one.verdict is not Verdict.GO] == []
    assert found.call is Call.GO
    assert found.may_fly == Windows.of((plan.session_start, plan.session_end))
    assert found.facts.forecast.sources == ("typed in, 12 Jun 19:00",)
    assert found.facts.party.heads == 3


def test_a_trip_without_a_plan_has_no_conditions(business: Business) -> None:
    assert trip_conditions(trip=TripFactory(), business=business, at=EVENING_BEFORE) is None


def test_without_a_forecast_the_day_is_held(plan: DayPlan) -> None:
    assert conditions(plan).call is Call.HOLD


def test_only_what_was_known_at_the_moment_counts(plan: DayPlan) -> None:
    forecast(plan.spot)
    later = EVENING_BEFORE + datetime.timedelta(hours=6)
    forecast(plan.spot, issued_at=later, wave_m=3.0)
    assert conditions(plan).call is Call.GO
    assert conditions(plan, later).call is Call.CALL_OFF


def test_a_closure_stops_the_day(plan: DayPlan) -> None:
    forecast(plan.spot)
    Closure.objects.create(
        spot=plan.spot, first_day="2020-06-01", last_day="2020-07-31", yearly=True, reason="nests"
    )
    assert finding(conditions(plan), "closure").note == "shut: nests"


def test_the_wind_limit_of_a_direction_counts(plan: DayPlan) -> None:
    forecast(plan.spot, wind_ms=6.5)
    limit = WindLimit(from_deg=45, to_deg=135, stop_ms=6, why="blows the line ashore")
    save_spot(spot=plan.spot, wind_limits=[limit])
    assert finding(conditions(plan), "wind").limit == 6
    with pytest.raises(ValidationError, match="Wind limit 1"):
        save_spot(spot=plan.spot, wind_limits=[WindLimit(from_deg=45, to_deg=135, stop_ms=-1)])
    assert plan.spot.wind_limits.count() == 1


def test_waves_bring_the_leave_by_forward(business: Business) -> None:
    plan = DayPlanFactory(spot=SpotFactory(sill_m=4.3, sand_km=0))
    forecast(plan.spot, wave_m=0.0, period_s=0.0)
    calm = conditions(plan)
    forecast(plan.spot, issued_at=EVENING_BEFORE, wave_m=1.2, period_s=9.0)
    rough = conditions(plan)
    assert calm.leave_by_at is not None
    assert rough.leave_by_at is not None
    assert rough.leave_by_at < calm.leave_by_at
    assert rough.facts.sea.run_up_m > calm.facts.sea.run_up_m > 0  # type: ignore[operator]
    level_m = rough.facts.sea.level_m
    assert level_m == pytest.approx(4.3 - 0.3 - rough.facts.sea.run_up_m, abs=1e-6)  # type: ignore[operator]
    tide = spot_day(spot=plan.spot, day=datetime.date(2026, 6, 13), zone="Europe/Dublin").tide
    assert tide is not None
    assert tide.height_m(rough.facts.sea.way_shut_at) == pytest.approx(level_m, abs=0.01)


def test_waves_that_are_not_known_are_not_in_the_leave_by_and_that_is_said(
    business: Business,
) -> None:
    plan = DayPlanFactory(spot=SpotFactory(sill_m=4.0))
    forecast(plan.spot, wave_m=None)
    assert "no waves are forecast" in finding(conditions(plan), "run-up").note
    ledge = DayPlanFactory(spot=SpotFactory(sill_m=4.0, ground="rock"), trip=TripFactory())
    forecast(ledge.spot)
    assert "beaches only" in finding(conditions(ledge), "run-up").note


def test_the_last_drive_out_follows_low_water_and_the_narrow_place(business: Business) -> None:
    spot = SpotFactory(sill_m=None, sand_km=8)
    plan = DayPlanFactory(spot=spot, sand_km=16)
    wide = conditions(plan).last_drive_out_at
    spot.narrow_m = 1.2
    spot.save()
    narrow = conditions(plan)
    assert wide is not None
    assert narrow.last_drive_out_at is None or narrow.last_drive_out_at < wide


def test_rest_to_the_days_beside_is_looked_at(plan: DayPlan) -> None:
    forecast(plan.spot)
    late = plan.trip.starts_at - datetime.timedelta(hours=8)
    TripFactory(starts_at=late - datetime.timedelta(hours=10), ends_at=late, status="confirmed")
    TripFactory(
        starts_at=plan.trip.ends_at + datetime.timedelta(hours=9),
        ends_at=plan.trip.ends_at + datetime.timedelta(hours=19),
        status="cancelled",
    )
    found = conditions(plan)
    assert (finding(found, "rest before").value, found.call) == (8.0, Call.CALL_OFF)
    assert not [one for one in found.findings if one.key == "rest after"]


def test_a_craft_without_a_fit_pack_stays_and_the_day_is_for_casting(plan: DayPlan) -> None:
    forecast(plan.spot)
    plan.planned_packs.all().delete()
    found = conditions(plan)
    assert "no flight pack" in finding(found, "craft").note or found.flying
    assert found.call is Call.GO
    assert found.proposal.cast_only
    assert not found.may_fly


def test_a_permission_that_ends_before_the_day_is_a_gate(plan: DayPlan) -> None:
    forecast(plan.spot)
    plan.spot.permits.filter(kind="aviation").update(valid_until="2026-06-12")
    found = conditions(plan)
    assert finding(found, "permission").verdict is Verdict.STOP
    assert "aviation" in finding(found, "permission").note
    assert not found.may_fly


def test_the_low_sun_is_looked_for_along_the_path_that_is_flown(plan: DayPlan) -> None:
    forecast(plan.spot)
    DropSetup.objects.create(plan=plan, bearing_deg=75)  # into the morning sun
    plan.session_start, plan.session_end = at(4.5), at(12)
    plan.save()
    assert conditions(plan).glare.contains(at(5.5))
    DropSetup.objects.update(bearing_deg=285)
    assert not conditions(DayPlan.objects.get(pk=plan.pk)).glare


def test_the_strip_and_its_words_show_wind_waves_and_the_hours_to_fly(plan: DayPlan) -> None:
    forecast(plan.spot, wind_ms={9: 8.0, 10: 8.0})
    found = conditions(plan)
    nature = spot_day(spot=plan.spot, day=datetime.date(2026, 6, 13), zone="Europe/Dublin")
    facts = strip_facts(nature, plan=plan, **found.strip_parts())
    assert len(facts.winds) == len(facts.waves) == 23  # the forecast begins an hour late
    told = {(row.time, row.what): row.value for row in strip_rows(facts)}
    until = facts.words.until
    assert (f"10:00 {until} 12:00", facts.words.over_limit) in told
    may = [time for time, what in told if what == facts.words.may_fly]
    assert len(may) == 2
    assert may[0].endswith("10:00")
    assert may[1].startswith("12:00")
    assert not any("light alone" in row.value for row in strip_rows(facts))


def test_a_strip_without_a_forecast_says_that_its_hours_to_fly_are_light_alone(
    plan: DayPlan,
) -> None:
    nature = spot_day(spot=plan.spot, day=datetime.date(2026, 6, 13), zone="Europe/Dublin")
    facts = strip_facts(nature, plan=plan, **conditions(plan).strip_parts())
    assert any("light alone" in row.value for row in strip_rows(facts))


def test_conditions_take_a_fixed_number_of_queries(
    plan: DayPlan, django_assert_max_num_queries: Any
) -> None:
    for n in range(8):
        forecast(plan.spot, issued_at=EVENING_BEFORE - datetime.timedelta(hours=n))
    with django_assert_max_num_queries(45):
        conditions(plan)


# ------------------------------------------------------------------ decisions


def take(plan: DayPlan, call: Call = Call.GO, **more: Any) -> Decision:
    return decide(
        plan=plan,
        facts=conditions(plan).facts,
        call=call,
        by_name="Orla",
        at=EVENING_BEFORE,
        **more,
    )


def test_a_decision_keeps_who_when_and_on_which_forecast(plan: DayPlan, owner: Any) -> None:
    forecast(plan.spot)
    row = decide(plan=plan, facts=conditions(plan).facts, call=Call.GO, by=owner, at=EVENING_BEFORE)
    row.refresh_from_db()
    assert (row.verdict, row.taken_at, row.taken_by) == ("go", EVENING_BEFORE, owner)
    assert row.taken_by_name == owner.get_username()
    assert row.forecast_issued_at == datetime.datetime(2026, 6, 12, 18, tzinfo=datetime.UTC)


def test_going_over_a_stop_takes_a_reason_and_names_what_is_over(plan: DayPlan) -> None:
    forecast(plan.spot, wave_m=3.0)
    with pytest.raises(ValidationError) as refusal:
        take(plan)
    assert "Over the limit: waves" in refusal.value.message_dict["reason"][0]
    assert not Decision.objects.exists()
    row = take(plan, reason="The bank shelters us: looked at it at noon.")
    assert (row.stops, row.reason[:8]) == (1, "The bank")


def test_calling_off_takes_a_reason_and_cancels_the_trip(plan: DayPlan) -> None:
    forecast(plan.spot, wave_m=3.0)
    with pytest.raises(ValidationError):
        take(plan, Call.CALL_OFF)
    take(plan, Call.CALL_OFF, reason="Swell of 3 m")
    trip = Trip.objects.get(pk=plan.trip_id)
    assert (trip.status, trip.cancelled_reason) == ("cancelled", "Swell of 3 m")
    with pytest.raises(ValidationError, match="nothing is left to decide"):
        take(plan)


def test_a_decision_taken_again_stands_beside_the_first(plan: DayPlan) -> None:
    forecast(plan.spot)
    take(plan, Call.HOLD)
    second = decide(
        plan=plan, facts=conditions(plan).facts, call=Call.GO, by_name="Orla",
        at=EVENING_BEFORE + datetime.timedelta(hours=9),
    )  # fmt: skip
    assert Decision.objects.count() == 2
    assert newest_decisions([plan.pk])[plan.pk].pk == second.pk


def test_a_decision_replays_from_its_frozen_copy(plan: DayPlan) -> None:
    forecast(plan.spot, wave_m={9: 1.7}, wind_ms={10: 9.3})
    found = conditions(plan)
    row = Decision.objects.get(pk=take(plan).pk)
    again = replayed(row.frozen)
    assert again.facts == found.facts
    assert again.now == again.then == found.findings


def test_limits_forecasts_and_gear_changed_afterwards_change_no_decision(plan: DayPlan) -> None:
    forecast(plan.spot, wave_m=1.2)
    row = take(plan)
    before = replayed(Decision.objects.get(pk=row.pk).frozen).now
    save_spot(spot=plan.spot, wave_caution_m=0.5, wave_stop_m=1.0)
    save_house_limits(limits=house_limits(), duty_h=4.0, wind_caution_share=0.2)
    plan.craft.wind_limit_ms = 2.0
    plan.craft.save()
    plan.spot.forecasts.all().delete()
    plan.spot.permits.all().delete()
    again = replayed(Decision.objects.get(pk=row.pk).frozen)
    assert again.same
    assert again.now == before
    assert conditions(DayPlan.objects.get(pk=plan.pk)).findings != before


def test_the_database_itself_refuses_a_go_over_a_stop_without_a_reason(plan: DayPlan) -> None:
    forecast(plan.spot)
    row = take(plan)
    with pytest.raises(IntegrityError), transaction.atomic():
        Decision.objects.filter(pk=row.pk).update(stops=1, reason="")
    with pytest.raises(IntegrityError), transaction.atomic():
        Decision.objects.filter(pk=row.pk).update(verdict="perhaps")


@pytest.mark.parametrize(
    ("field", "value"),
    [("duty_h", 0), ("wind_caution_share", 1.5), ("cautions_to_hold", 0), ("forecast_age_h", -1)],
)
def test_house_limits_that_cannot_be_are_refused(db: None, field: str, value: float) -> None:
    with pytest.raises(ValidationError) as refusal:
        save_house_limits(limits=house_limits(), **{field: value})
    assert field in refusal.value.message_dict
    assert house_limits().duty_h == 14
