"""Every check of a planned drop: go, and each way to lose it."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from guiding.flying.checks.drop import check_drop, worst_verdict
from guiding.flying.checks.findings import Verdict
from guiding.flying.checks.rig import check_rig
from guiding.flying.permission import drop_permission
from guiding.flying.rigs import PartKind, rig_payload_g
from tests.flying.example import AVIATION, DAY, FISHERY, LINE, PACK, PLACE, PLAN, RIG, set_part

CHECKS = {
    "permission", "flying light", "height", "people", "fall energy", "minors", "wind", "way home",
    "charge", "packs", "load", "line pull", "weak link", "spool", "free spool", "strength order",
    "dropper spacing", "hooks", "hook width",
}  # fmt: skip


def _found(plan):
    return {finding.check: finding for finding in check_drop(plan)}


def _fly(**changes):
    return replace(PLAN, flight=replace(PLAN.flight, **changes))


def _line(**changes):
    line = replace(LINE, **changes)
    return replace(PLAN, line=line, flight=replace(PLAN.flight, line_mm=line.diameter_mm))


def _gate(*papers):
    return replace(PLAN, permission=drop_permission(papers, PLACE, DAY))


def test_a_sound_plan_is_a_go_in_every_check():
    found = check_drop(PLAN)
    assert {finding.check for finding in found} == CHECKS
    assert len(found) == len(CHECKS)
    assert [f for f in found if f.verdict is not Verdict.GO] == []
    assert worst_verdict(found) is Verdict.GO
    assert all(f.sentence.endswith(".") and not f.fix for f in found)


def test_a_rig_is_checked_by_itself_as_within_a_drop():
    for plan in (PLAN, replace(PLAN, rig=WIDE_HOOK, hook_inside_limit_mm=38.0, hook_limit=1)):
        alone = check_rig(
            plan.rig, plan.line.strength_n, plan.hook_limit, plan.hook_inside_limit_mm
        )
        assert alone == check_drop(plan)[-4:]
    assert [f.check for f in alone if f.verdict is Verdict.STOP] == ["hooks", "hook width"]


LIGHT_LINK = set_part(RIG, PartKind.WEAK_LINK, strength_n=5.0)
WIDE_HOOK = set_part(RIG, PartKind.HOOK, inside_mm=40.0)

STOPS = [
    ("permission", _gate(AVIATION), "Cast only: no fishery permission", "cast only"),
    ("permission", _gate(), "no aviation permission", "Check with your own authority"),
    ("flying light", replace(PLAN, in_flying_light=False), "outside the flying light", "cast"),
    ("flying light", replace(PLAN, in_flying_light=None), "not been worked out", "Fly only"),
    ("height", _fly(height_m=8), "8.0 m; rig and waves need 11.0 m", "Fly at 11.0 m or higher"),
    ("height", _fly(height_m=55), "the ceiling is 50 m", "Fly at 50 m or lower"),
    ("height", replace(PLAN, wave_height_m=29, hook_limit=10, permission=drop_permission(
        (replace(AVIATION, height_limit_m=30), FISHERY), PLACE, DAY)), "the ceiling is 30 m",
     "no height that does both"),
    ("people", replace(PLAN, people_m=20), "20 m from the path", "Turn the path or wait"),
    ("people", replace(PLAN, people_m=45, gust_ms=22), "within 48 m", "Keep everybody 48 m"),
    ("minors", replace(PLAN, minors=2), "2 minors and no adult", "second adult"),
    ("wind", _fly(wind_ms=6.5), "6.5 of 5.7 m/s", "5.7 m/s or less"),
    ("wind", replace(PLAN, gust_ms=8.5), "gust 8.5 of 8.0 m/s", "gusts are 8.0 m/s or less"),
    ("way home", _fly(wind_ms=9), "blown away", "cast"),
    ("way home", _fly(distance_m=900), "900 m out", "cast"),
    ("way home", replace(PLAN, packs=()), "No fit pack", "cast"),
    ("charge", replace(PLAN, packs=(replace(PACK, charged_share=0.4),) * 8), "40 % charged",
     "Charge it to"),
    ("charge", replace(PLAN, packs=(replace(PACK, rated_wh=14),) * 8), "need 1",
     "larger or healthier pack"),
    ("packs", replace(PLAN, packs=(PACK,) * 3), "20 drops need", "fewer rods"),
    ("load", replace(PLAN, rig=set_part(RIG, PartKind.SINKER, mass_g=900)), "1000 g",
     "Take 112 g off"),
    ("line pull", _fly(wind_ms=7.9, line_mm=0.3, distance_m=300, bow_m=2.0), "The line pulls",
     "thinner line"),
    ("weak link", _fly(payload_g=800, wind_ms=5), "No weak link fits", "Lighten the load"),
    ("weak link", replace(PLAN, rig=LIGHT_LINK), "holds 5 N (0.51 kgf)", "Tie one of"),
    ("weak link", replace(PLAN, rig=set_part(RIG, PartKind.WEAK_LINK, strength_n=30)),
     "holds 30 N (3.06 kgf)", "Tie one of"),
    ("weak link", replace(PLAN, rig=replace(RIG, parts=tuple(
        p for p in RIG.parts if p.kind is not PartKind.WEAK_LINK))), "no weak link", "Tie one of"),
    ("spool", _line(spooled_m=400), "holds 400 m", "drop at 228 m or nearer"),
    ("spool", _line(spooled_m=150), "holds 150 m", "or cast"),
    ("free spool", _line(free_spool=False), "locked", "clicker on"),
    ("strength order", replace(PLAN, rig=set_part(RIG, PartKind.TRACE, strength_n=300)),
     "main line only 222 N", "Retie"),
    ("dropper spacing", replace(PLAN, rig=replace(RIG, dropper_spacing_m=0.9)),
     "0.90 m apart", "cannot meet"),
    ("hooks", replace(PLAN, hook_limit=1), "2 hooks and the place allows 1", "Take off 1"),
    ("hook width", replace(PLAN, rig=WIDE_HOOK, hook_inside_limit_mm=38.1), "40 mm inside",
     "smaller hook"),
    ("hook width", replace(PLAN, hook_inside_limit_mm=38.1), "not measured", "Measure the hook"),
]  # fmt: skip


@pytest.mark.parametrize(("check", "plan", "sentence", "fix"), STOPS)
def test_a_stop_names_the_number_and_the_fix(check, plan, sentence, fix):
    found = _found(plan)
    assert found[check].verdict is Verdict.STOP
    assert sentence in found[check].sentence
    assert fix in found[check].fix
    assert worst_verdict(tuple(found.values())) is Verdict.STOP


def test_every_check_that_can_stop_is_stopped_above():
    assert {check for check, *_ in STOPS} == CHECKS - {"fall energy"}


CAUTIONS = [
    ("people", replace(PLAN, people_m=None), "nobody has looked", "Keep everybody 40 m"),
    ("fall energy", _fly(payload_g=600), "88 J; 80 J", "13.6 m or lower"),
    ("hooks", replace(PLAN, hook_limit=None), "no legal number", "Enter the number"),
    ("height", _gate(replace(AVIATION, height_limit_m=None), FISHERY), "none entered",
     "Enter the ceiling"),
    ("charge", replace(PLAN, packs=(replace(PACK, health_share=0.75),) * 12), "75% health",
     "Plan to retire it"),
    ("load", _fly(payload_g=200), "planned with 200 g", "Plan the flight with 362 g"),
    ("line pull", _fly(wind_ms=7.5, payload_g=100, bow_m=6.0), "The line pulls", "thinner line"),
]  # fmt: skip


@pytest.mark.parametrize(("check", "plan", "sentence", "fix"), CAUTIONS)
def test_a_caution_names_the_number_and_the_fix(check, plan, sentence, fix):
    found = _found(plan)[check]
    assert found.verdict is Verdict.CAUTION
    assert sentence in found.sentence
    assert fix in found.fix


def test_the_checks_reckon_with_the_rig_that_will_really_hang_there():
    heavy = set_part(RIG, PartKind.SINKER, mass_g=600)
    plan = replace(PLAN, rig=heavy, flight=replace(PLAN.flight, payload_g=200))
    honest = replace(plan, flight=replace(plan.flight, payload_g=rig_payload_g(heavy)))
    assert _found(plan)["weak link"] == _found(honest)["weak link"]
    assert _found(plan)["fall energy"] == _found(honest)["fall energy"]
    assert _found(plan)["packs"] == _found(honest)["packs"]


def test_a_second_adult_lets_the_pilot_fly_with_minors():
    assert _found(replace(PLAN, minors=2, watching_adults=1))["minors"].verdict is Verdict.GO


def test_charges_on_the_beach_stand_in_for_packs():
    few = replace(PLAN, packs=(PACK,) * 4)
    assert _found(few)["packs"].verdict is Verdict.STOP
    assert _found(replace(few, charges=4))["packs"].verdict is Verdict.GO


def test_the_line_of_flight_and_reel_must_be_the_same():
    with pytest.raises(ValueError, match="make them the same"):
        replace(PLAN, line=replace(LINE, diameter_mm=0.4))


def test_nothing_checked_is_not_a_go():
    with pytest.raises(ValueError, match="Nothing has been checked"):
        worst_verdict(())


@given(
    st.builds(
        replace,
        st.just(PLAN.flight),
        distance_m=st.floats(1, 5000),
        payload_g=st.floats(0, 50_000),
        wind_ms=st.floats(0, 60),
        height_m=st.floats(1, 500),
        wind_off_path_deg=st.none() | st.floats(0, 180),
    ),
    st.integers(0, 300),
    st.lists(st.builds(replace, st.just(PACK), charged_share=st.floats(0.05, 1)), max_size=4),
)
def test_every_well_formed_plan_gets_all_its_findings(flight, drops, packs):
    plan = replace(PLAN, flight=flight, drops=drops, packs=tuple(packs))
    found = check_drop(plan)
    assert {finding.check for finding in found} == CHECKS
    for finding in found:
        assert finding.sentence.endswith(".")
        assert bool(finding.fix) == (finding.verdict is not Verdict.GO)
        assert "nan" not in finding.sentence
        assert "None" not in finding.sentence
