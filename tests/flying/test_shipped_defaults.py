"""Every default that is shipped, held against the checks that judge it."""

from __future__ import annotations

from dataclasses import replace
from string import Formatter
from typing import Any

import pytest

from bookings.rules.message_words import LANGUAGES, house_text
from bookings.rules.messages import KINDS, text_problems
from equipment.rules.packs.limits import PackLimits
from guiding.days.actions.plans import _QUANTITIES
from guiding.days.forms.flying import GROUPS
from guiding.days.models import DayPlan, HouseLimits, Spot
from guiding.days.rules.decision import TheHouse
from guiding.days.sheets.drop_rods import STAND_IN_LINE
from guiding.flying.checks.drop import check_drop
from guiding.flying.checks.findings import Verdict
from guiding.flying.checks.rig import check_rig
from guiding.flying.defaults import HOUSE
from guiding.flying.flight import DropFlight
from guiding.flying.rigs import PartKind, rig_payload_g, two_dropper_rig
from guiding.flying.sortie import wind_limit_ms
from tests.flying.example import CRAFT, LINE, PLAN


def test_the_strongest_mean_wind_has_the_strongest_gust() -> None:
    assert HOUSE.mean_wind_share * HOUSE.gust_factor <= HOUSE.gust_share


@pytest.mark.parametrize("limit_ms", [8.0, 10.0, 12.0])
def test_the_usual_rig_on_the_usual_drop_passes_every_check(limit_ms: float) -> None:
    """As a new plan has it: its distance, its load, the stand-in line, in the most wind allowed."""
    craft = replace(CRAFT, wind_limit_ms=limit_ms)
    plan = DayPlan()
    rig = two_dropper_rig(STAND_IN_LINE.strength_n)
    load_g = max(plan.bait_g, rig_payload_g(rig))
    flight = DropFlight(plan.drop_m, load_g, wind_limit_ms(craft), STAND_IN_LINE.diameter_mm)
    asked = replace(
        PLAN,
        craft=craft,
        flight=flight,
        line=replace(STAND_IN_LINE, spooled_m=LINE.spooled_m),
        rig=rig,
        drops=1,  # how many packs there are is no default of ours
    )
    found = check_drop(asked)
    assert [one.sentence for one in found if one.verdict is Verdict.STOP] == []


@pytest.mark.parametrize("main_n", [60.0, 130.0, STAND_IN_LINE.strength_n, 400.0])
def test_the_usual_rig_is_in_order_on_every_line(main_n: float) -> None:
    rig = two_dropper_rig(main_n)
    found = check_rig(rig, main_n, rig.count(PartKind.HOOK), None, HOUSE)
    assert [one.sentence for one in found if one.verdict is not Verdict.GO] == []


def test_without_a_forecast_it_says_so_and_is_no_go() -> None:
    calm = replace(PLAN, wind_known=False)
    (wind,) = [one for one in check_drop(calm) if one.check == "wind"]
    assert wind.verdict is Verdict.STOP
    assert wind.sentence.startswith("No wind is forecast or entered")
    assert "gust" not in wind.sentence
    assert "forecast" in wind.fix
    windy = replace(calm, flight=replace(PLAN.flight, wind_ms=9.5))
    (over,) = [one for one in check_drop(windy) if one.check == "wind"]
    assert over.verdict is Verdict.STOP


def test_the_house_limits_and_a_new_spot_are_what_their_tables_take(db: None) -> None:
    HouseLimits().full_clean()
    spot = Spot(name="New", latitude=53.4, longitude=-9.9, seaward_deg=285, meeting_place="Slip")
    spot.full_clean(exclude=["tide_source"])
    assert spot.wave_caution_m <= spot.wave_stop_m
    assert TheHouse() == TheHouse(
        **{name: getattr(HouseLimits(), name) for name in TheHouse.__dataclass_fields__}
    )


def test_a_new_plan_lies_within_what_a_plan_may_be() -> None:
    plan = DayPlan()
    for name, (low, high) in _QUANTITIES.items():
        value: Any = getattr(plan, name)
        assert value is None or low <= value <= high, name


def test_setup_takes_every_figure_of_the_house() -> None:
    named = {figure.name for figures in GROUPS.values() for figure in figures}
    assert named <= set(HOUSE.__dataclass_fields__)
    replace(HOUSE, **{name: getattr(HOUSE, name) for name in named})
    PackLimits()


@pytest.mark.parametrize("language", LANGUAGES)
@pytest.mark.parametrize("kind", KINDS)
def test_the_texts_of_the_house_name_known_fields_alone(kind: str, language: str) -> None:
    for text in house_text(kind, language):
        assert text_problems(kind, text) == ()
        assert list(Formatter().parse(text))
