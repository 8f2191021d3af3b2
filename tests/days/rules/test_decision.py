"""Findings of a day, what they propose, and a copy that can be replayed."""

from __future__ import annotations

import copy
import json
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from guiding.almanac.windows import Windows
from guiding.days.rules.decision import (
    Call,
    CraftLimits,
    DayFacts,
    DayHours,
    FlyFacts,
    ForecastFacts,
    PartyFacts,
    SeaFacts,
    SpotLimits,
    Stretch,
    TheHouse,
    day_findings,
    frozen_copy,
    may_fly,
    proposal,
    replayed,
)
from guiding.days.rules.decision.flying_findings import over_craft_limit
from guiding.days.rules.limits import Finding, Scope, Verdict, Whose, WindPart
from guiding.days.rules.weather import WeatherHour


def at(hour: float) -> datetime:
    return datetime(2026, 6, 13, tzinfo=UTC) + timedelta(hours=hour)


HOURS = DayHours(
    day=date(2026, 6, 13),
    zone="Europe/Dublin",
    pick_up=at(4),
    at_spot=at(6),
    session_start=at(6.5),
    session_end=at(12.5),
    packed=at(13.25),
    drop_off=at(15.25),
    driving_min=240,
)
SPOT = SpotLimits("North Strand", 1.5, 2.5, 12, 16, 14, walked_on=date(2026, 1, 1))
CRAFT = CraftLimits("Gannet", 12, 0.6, 0.8, 1.4, False, 2.2, 3.2, 400)
FLY = FlyFacts(True, "", (Stretch(at(4), at(21)),))


def weather(**figures: Any) -> ForecastFacts:
    """A calm day, with figures of its own where they are given: a value or one an hour."""
    calm: dict[str, Any] = {
        "wind_ms": 4.0, "gust_ms": 6.0, "wind_from_deg": 90.0, "wave_m": 0.5, "period_s": 6.0,
        "rain_mm": 0.0, "air_c": 14.0, "thunder": False,
    }  # fmt: skip
    hours = []
    for n in range(4, 16):
        given = {
            name: value.get(n, calm.get(name)) if isinstance(value, dict) else value
            for name, value in figures.items()
        }
        hours.append(WeatherHour(at(n), **{**calm, **given}))
    return ForecastFacts(tuple(hours), at(16), at(-3), at(-3), ("typed in",))


def facts(**parts: Any) -> DayFacts:
    calm = DayFacts(
        known_at=at(0),
        hours=HOURS,
        spot=SPOT,
        house=TheHouse(),
        party=PartyFacts(4),
        sea=SeaFacts(),
        fly=FLY,
        forecast=weather(),
        craft=CRAFT,
    )
    return replace(calm, **parts)


def found(key: str, **parts: Any) -> Finding:
    matching = [one for one in day_findings(facts(**parts)) if one.key == key]
    assert len(matching) == 1, f"{key}: {len(matching)} findings"
    return matching[0]


def test_a_calm_day_goes_and_every_limit_is_named() -> None:
    findings = day_findings(facts())
    assert {one.verdict for one in findings} == {Verdict.GO}
    assert proposal(findings).call is Call.GO
    assert {one.whose for one in findings} == set(Whose)
    assert {one.scope for one in findings} == set(Scope)


@pytest.mark.parametrize(
    ("key", "figures", "verdict", "value", "limit", "hour"),
    [
        ("waves", {"wave_m": {9: 1.6}}, Verdict.CAUTION, 1.6, 1.5, 9),
        ("waves", {"wave_m": {9: 1.6, 11: 2.7}}, Verdict.STOP, 2.7, 2.5, 11),
        ("period", {"period_s": {8: 12.5}}, Verdict.CAUTION, 12.5, 12, 8),
        ("period", {"period_s": {8: 16.0}}, Verdict.STOP, 16.0, 16, 8),
        ("wind", {"wind_ms": {10: 11.5}}, Verdict.CAUTION, 11.5, 11.2, 10),
        ("wind", {"wind_ms": {10: 14.0}}, Verdict.STOP, 14.0, 14, 10),
        ("rain", {"rain_mm": {7: 2.5}}, Verdict.CAUTION, 2.5, 2.0, 7),
        ("cold", {"air_c": {6: 3.0}}, Verdict.CAUTION, None, 5.0, 6),
        ("heat", {"air_c": {12: 34.0}}, Verdict.CAUTION, None, 30.0, 12),
        ("thunder", {"thunder": {11: True}}, Verdict.STOP, None, None, 11),
        ("craft wind", {"wind_ms": {10: 7.3}}, Verdict.STOP, 7.3, 7.2, 10),
        ("craft gusts", {"gust_ms": {10: 9.7}}, Verdict.STOP, 9.7, 9.6, 10),
        ("craft rain", {"rain_mm": {9: 0.1}}, Verdict.STOP, 0.1, 0.0, 9),
    ],
)
def test_a_figure_over_its_limit_names_number_limit_and_hour(
    key: str,
    figures: dict[str, Any],
    verdict: Verdict,
    value: float | None,
    limit: float | None,
    hour: int,
) -> None:
    one = found(key, forecast=weather(**figures))
    assert (one.verdict, one.limit, one.at) == (verdict, limit, at(hour))
    if value is not None:
        assert one.value == value


def test_hours_outside_the_stay_decide_nothing() -> None:
    wild = weather(wave_m={4: 9.0, 5: 9.0, 14: 9.0, 15: 9.0})
    assert found("waves", forecast=wild).verdict is Verdict.GO
    # the hour in which all is packed still counts
    assert found("waves", forecast=weather(wave_m={13: 9.0})).verdict is Verdict.STOP


def test_the_wind_counts_by_where_it_comes_from() -> None:
    spot = replace(SPOT, wind_parts=(WindPart(45, 135, 6.0, "blows the line ashore"),))
    one = found("wind", spot=spot, forecast=weather(wind_ms={9: 6.5}))
    assert (one.verdict, one.limit) == (Verdict.STOP, 6.0)
    assert "blows the line ashore" in one.note
    elsewhere = weather(wind_ms={9: 6.5}, wind_from_deg=200.0)
    assert found("wind", spot=spot, forecast=elsewhere).verdict is Verdict.GO


def test_without_a_forecast_the_day_is_held() -> None:
    nothing = facts(forecast=ForecastFacts())
    held = proposal(day_findings(nothing))
    assert held.call is Call.HOLD
    assert "no forecast" in held.why
    assert not may_fly(nothing)


def test_hours_without_a_figure_are_named() -> None:
    one = found("no waves", forecast=weather(wave_m={8: None, 9: None, 12: None}))
    assert one.verdict is Verdict.CAUTION
    assert one.note == "no waves known for 09:00 to 10:00, 13:00"


def test_an_old_forecast_is_a_caution_with_its_age() -> None:
    old = replace(weather(), oldest_issued_at=at(-13))
    one = found("forecast age", forecast=old)
    assert (one.verdict, one.value, one.limit) == (Verdict.CAUTION, 13.0, 12.0)


@pytest.mark.parametrize(
    ("leave_hour", "verdict"),
    [(12.5, Verdict.GO), (12.4, Verdict.CAUTION), (9.5, Verdict.CAUTION), (9.4, Verdict.STOP)],
)
def test_leaving_early_is_a_caution_and_too_early_a_stop(
    leave_hour: float, verdict: Verdict
) -> None:
    sea = SeaFacts(
        cuts_off=True, leave_by_at=at(leave_hour), way_shut_at=at(14), leave_why="x", level_m=3.1
    )
    assert found("way out", sea=sea).verdict is verdict


def test_a_way_out_without_a_tide_is_a_stop() -> None:
    one = found("tide", sea=SeaFacts(tide_why="the table ends in May", cuts_off=True))
    assert (one.verdict, one.note) == (Verdict.STOP, "the table ends in May")
    assert not [f for f in day_findings(facts(sea=SeaFacts(tide_why="no"))) if f.key == "tide"]


def test_waves_that_are_not_in_the_leave_by_are_said() -> None:
    sea = SeaFacts(cuts_off=True, leave_why="it stays open", run_up_why="no waves known")
    assert "not in the leave-by" in found("run-up", sea=sea).note


def test_the_sand_shuts_before_all_is_packed() -> None:
    sea = SeaFacts(on_sand=True, last_drive_out_at=at(10), drive_why="2 h after low water")
    one = found("sand", sea=sea)
    assert one.verdict is Verdict.CAUTION
    assert "off it by 11:00" in one.note
    assert "park above the tide line" in one.note
    open_sand = replace(sea, last_drive_out_at=at(13.25))
    assert found("sand", sea=open_sand).verdict is Verdict.GO


@pytest.mark.parametrize(
    ("key", "parts"),
    [
        ("party", {"party": PartyFacts(7, heads_per_guide=9)}),
        ("ratio", {"party": PartyFacts(5)}),
        ("minors", {"party": PartyFacts(4, 2), "spot": replace(SPOT, minors_welcome=False)}),
        ("closure", {"spot": replace(SPOT, shut_because="birds nest")}),
        ("duty", {"hours": replace(HOURS, pick_up=at(1))}),
        ("driving", {"hours": replace(HOURS, driving_min=301)}),
        ("rest before", {"hours": replace(HOURS, rest_before_h=9.9)}),
        ("rest after", {"hours": replace(HOURS, rest_after_h=9.9)}),
    ],
)
def test_people_place_and_work_stop_the_day(key: str, parts: dict[str, Any]) -> None:
    assert found(key, **parts).verdict is Verdict.STOP
    assert proposal(day_findings(facts(**parts))).call is Call.CALL_OFF


def test_a_spot_not_walked_for_long_is_a_caution() -> None:
    long_ago = replace(SPOT, walked_on=date(2025, 6, 12))
    assert found("walked", spot=long_ago).verdict is Verdict.CAUTION
    assert found("walked", spot=replace(SPOT, walked_on=None)).verdict is Verdict.CAUTION


@pytest.mark.parametrize(
    ("key", "parts"),
    [
        ("permission", {"fly": replace(FLY, cast_only="Cast only: no paper.")}),
        ("craft", {"craft": None}),
        ("craft", {"craft": replace(CRAFT, grounded_because="cracked arm")}),
        ("take-off mass", {"craft": replace(CRAFT, bait_g=1001)}),
        ("may fly", {"fly": replace(FLY, light=())}),
    ],
)
def test_what_stops_flying_leaves_the_day_for_casting(key: str, parts: dict[str, Any]) -> None:
    findings = day_findings(facts(**parts))
    stops = [one for one in findings if one.verdict is Verdict.STOP]
    assert key in {one.key for one in stops}
    assert {one.scope for one in stops} == {Scope.FLYING}
    proposed = proposal(findings)
    assert (proposed.call, proposed.cast_only) == (Call.GO, True)
    assert not may_fly(facts(**parts)) or key == "may fly"


def test_a_day_without_flying_says_nothing_of_it() -> None:
    findings = day_findings(facts(fly=FlyFacts(), craft=None))
    assert {one.scope for one in findings} == {Scope.DAY}


def test_may_fly_is_light_and_wind_and_gusts_and_no_rain() -> None:
    windy = weather(wind_ms={8: 7.3}, gust_ms={10: 9.7}, rain_mm={11: 0.2})
    light = replace(FLY, light=(Stretch(at(5.5), at(21)),))
    expected = Windows.of((at(5.5), at(8)), (at(9), at(10)), (at(12), at(16)))
    assert may_fly(facts(forecast=windy, fly=light)) == expected
    one = found("may fly", forecast=windy, fly=light)
    assert (one.verdict, one.value, one.limit) == (Verdict.CAUTION, 3.0, 6.0)


def test_a_craft_rated_for_rain_flies_in_it() -> None:
    wet = weather(rain_mm=0.5)
    assert not may_fly(facts(forecast=wet))
    rated = replace(CRAFT, rain_rated=True)
    assert may_fly(facts(forecast=wet, craft=rated)) == Windows.of((at(4), at(16)))


def test_a_gust_that_is_not_forecast_is_taken_from_the_mean_wind() -> None:
    calm = weather(gust_ms=None, wind_ms=6.9)  # 1.4 x 6.9 = 9.66 over 9.6
    one = found("craft gusts", forecast=calm)
    assert (one.verdict, one.value) == (Verdict.STOP, 9.66)
    assert "from the mean wind" in one.note


def test_an_hour_without_a_known_wind_is_not_flown_and_not_called_over_the_limit() -> None:
    gap = weather(wind_ms={9: None}, gust_ms={9: None})
    assert not may_fly(facts(forecast=gap)).contains(at(9.5))
    assert not over_craft_limit(facts(forecast=gap))
    over = weather(wind_ms={9: 8.0})
    assert over_craft_limit(facts(forecast=over)) == Windows.of((at(9), at(10)))


def test_low_sun_along_the_path_is_a_caution_for_flying() -> None:
    low = replace(FLY, glare=(Stretch(at(5), at(7)),))
    one = found("glare", fly=low)
    assert (one.verdict, one.value, one.at) == (Verdict.CAUTION, 0.5, at(6.5))


def test_three_cautions_together_mean_hold() -> None:
    three = weather(wave_m=1.6, period_s=12.5, rain_mm=2.5)
    assert proposal(day_findings(facts(forecast=three))).call is Call.HOLD
    assert proposal(day_findings(facts(forecast=three)), 4).call is Call.GO
    with pytest.raises(ValueError, match="1 or more"):
        proposal((), 0)


def test_the_gravest_comes_first_and_flying_last() -> None:
    findings = day_findings(facts(forecast=weather(wave_m=3.0, period_s=12.5, wind_ms=8.0)))
    order = [(one.scope is Scope.FLYING, one.verdict) for one in findings]
    assert order[0] == (False, Verdict.STOP)
    assert order[1] == (False, Verdict.CAUTION)
    assert order == sorted(order, key=lambda o: (o[0], -list(Verdict).index(o[1])))


# ------------------------------------------------------------------ the frozen copy


FIGURE = st.one_of(st.none(), st.floats(0, 20))


@given(st.lists(st.tuples(FIGURE, FIGURE, FIGURE), min_size=12, max_size=12), st.booleans())
def test_a_copy_replays_to_the_same_findings(rows: list[tuple[Any, ...]], flying: bool) -> None:
    hours = tuple(
        WeatherHour(at(4 + n), wind_ms=wind, wave_m=wave, rain_mm=rain)
        for n, (wind, wave, rain) in enumerate(rows)
    )
    day = facts(
        forecast=ForecastFacts(hours, at(16), at(-3), at(-3), ("typed in",)),
        fly=FLY if flying else FlyFacts(),
    )
    kept = json.loads(json.dumps(frozen_copy(day)))
    again = replayed(kept)
    assert again.facts == day
    assert again.then == again.now == day_findings(day)
    assert again.same


def test_a_limit_changed_afterwards_changes_no_copy() -> None:
    day = facts(forecast=weather(wave_m=1.4))
    kept = frozen_copy(day)
    stricter = replace(day, spot=replace(SPOT, wave_caution_m=1.0))
    assert day_findings(stricter) != day_findings(day)
    assert replayed(kept).now == day_findings(day)


@pytest.mark.parametrize(
    "path",
    [
        ("facts", "spot", "wave_stop_m"),
        ("facts", "forecast", "hours", 3, "wind_ms"),
        ("findings", 0, "verdict"),
    ],
)
def test_a_copy_that_was_touched_is_refused(path: tuple[str | int, ...]) -> None:
    kept = copy.deepcopy(frozen_copy(facts()))
    place: Any = kept
    for step in path[:-1]:
        place = place[step]
    place[path[-1]] = "stop" if path[-1] == "verdict" else 99.0
    with pytest.raises(ValueError, match="changed after it was taken"):
        replayed(kept)


@pytest.mark.parametrize("nothing", [{}, {"facts": None, "findings": None, "sha256": ""}])
def test_what_is_no_copy_is_refused(nothing: dict[str, Any]) -> None:
    with pytest.raises(ValueError, match="changed after"):
        replayed(nothing)
