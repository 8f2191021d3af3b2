"""One drop, its pack and its session."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from guiding.flying import sortie as flown
from guiding.flying.defaults import FlyingDefaults
from guiding.flying.estimate import drop_estimate
from guiding.flying.ranges import RefusedError
from guiding.flying.sortie import sortie
from tests.flying.example import CRAFT, FLIGHT, PACK


def _drops(craft=CRAFT, pack=PACK, flight=FLIGHT, **more):
    try:
        return drop_estimate(craft, pack, flight, **more).drops
    except RefusedError:
        return 0


plans = st.builds(
    replace,
    st.just(FLIGHT),
    distance_m=st.floats(20, 900),
    payload_g=st.floats(0, 1100),
    wind_ms=st.floats(0, 11),
    line_mm=st.floats(0.1, 1.0),
    height_m=st.floats(5, 60),
    wind_off_path_deg=st.none() | st.floats(0, 180),
)
packs = st.builds(
    replace, st.just(PACK), health_share=st.floats(0.3, 1.0), pack_c=st.floats(-10, 40)
)
worse = st.floats(1.0, 3.0)


@given(plans, packs, worse, st.sampled_from(["distance_m", "payload_g", "line_mm", "height_m"]))
def test_more_of_anything_never_allows_more_drops(flight, pack, by, what):
    more = replace(
        flight, **{what: min(getattr(flight, what) * by, 3 if what == "line_mm" else 499)}
    )
    if getattr(more, what) < getattr(flight, what):
        return
    assert _drops(pack=pack, flight=more) <= _drops(pack=pack, flight=flight)


@given(plans, packs, st.floats(0, 8))
def test_more_wind_never_allows_more_drops(flight, pack, extra_ms):
    windier = replace(flight, wind_ms=flight.wind_ms + extra_ms)
    assert _drops(pack=pack, flight=windier) <= _drops(pack=pack, flight=flight)


@given(plans, packs, st.floats(0.3, 1.0))
def test_less_health_charge_or_warmth_never_allows_more_drops(flight, pack, share):
    best = _drops(pack=pack, flight=flight)
    assert _drops(pack=replace(pack, health_share=pack.health_share * share), flight=flight) <= best
    assert _drops(pack=replace(pack, charged_share=share), flight=flight) <= best
    assert (
        _drops(pack=replace(pack, pack_c=-10 + (pack.pack_c + 10) * share), flight=flight) <= best
    )


def test_the_properties_are_tried_on_flights_that_can_be_flown():
    # the plans above would prove nothing if every one of them were refused
    assert _drops(flight=replace(FLIGHT, wind_ms=0)) > _drops(flight=replace(FLIGHT, wind_ms=6)) > 0


def test_the_wind_counts_against_both_ways_where_its_direction_is_unknown():
    unknown = sortie(CRAFT, replace(FLIGHT, wind_ms=4))
    onshore = sortie(CRAFT, replace(FLIGHT, wind_ms=4, wind_off_path_deg=0))
    offshore = sortie(CRAFT, replace(FLIGHT, wind_ms=4, wind_off_path_deg=180))
    assert (unknown.out_ms, unknown.home_ms) == pytest.approx((4, 8))
    assert (onshore.out_ms, onshore.home_ms) == pytest.approx((4, 12))
    assert (offshore.out_ms, offshore.home_ms) == pytest.approx((8, 8))
    assert unknown.energy_wh >= max(onshore.energy_wh, offshore.energy_wh)


def test_a_cross_wind_slows_both_ways():
    across = sortie(CRAFT, replace(FLIGHT, wind_ms=5, wind_off_path_deg=90))
    assert across.out_ms == pytest.approx((64 - 25) ** 0.5)
    assert across.home_ms == pytest.approx((144 - 25) ** 0.5)


def test_the_pull_of_the_line_costs_energy():
    thin = sortie(CRAFT, replace(FLIGHT, wind_ms=6, line_mm=0.2))
    thick = sortie(CRAFT, replace(FLIGHT, wind_ms=6, line_mm=0.5))
    assert thick.energy_wh > thin.energy_wh


def test_a_slow_way_home_is_refused_with_the_number_and_the_fix():
    slow = replace(CRAFT, airspeed_empty_ms=8.0)
    with pytest.raises(RefusedError, match=r"3\.0 m/s.*below 4\.0 m/s: wait"):
        sortie(slow, replace(FLIGHT, wind_ms=5))
    assert sortie(slow, replace(FLIGHT, wind_ms=5, wind_off_path_deg=0)).home_ms == 8.0
    easy = FlyingDefaults(return_speed_min_ms=2.0)
    assert sortie(slow, replace(FLIGHT, wind_ms=5), easy).home_ms == pytest.approx(3.0)


def test_cold_packs_give_less_and_warm_ones_all():
    assert flown.temperature_share(25) == 1.0
    assert flown.temperature_share(10) == pytest.approx(0.8)
    # retail notes: 20 to 30 % less in the cold
    assert 0.7 <= flown.temperature_share(0) <= 0.8
    assert flown.temperature_share(15) == pytest.approx(0.9)


def test_usable_energy_is_what_is_charged_above_the_reserve():
    # 74 Wh at 85 % health, less 30 %: 44.03 Wh
    assert flown.usable_wh(replace(PACK, health_share=0.85)) == pytest.approx(44.03)
    half = replace(PACK, health_share=0.85, charged_share=0.5)
    assert flown.usable_wh(half) == pytest.approx(74 * 0.85 * 0.2)
    assert flown.usable_wh(replace(PACK, charged_share=0.25)) == 0


def test_turn_back_level_is_reserve_and_way_home_with_its_factor():
    full_wh = flown.full_pack_wh(PACK)
    assert flown.turn_back_share(4.0, PACK) == pytest.approx(0.30 + 1.5 * 4.0 / full_wh)
    estimate = drop_estimate(CRAFT, PACK, FLIGHT)
    share = flown.turn_back_share(estimate.use.energy_home_wh, PACK)
    assert share * 100 <= estimate.turn_back_percent < share * 100 + 1


def test_a_pack_too_small_for_the_way_home_is_refused():
    with pytest.raises(RefusedError, match="more than the whole pack"):
        flown.turn_back_share(40, PACK)


def test_a_pack_too_small_for_one_drop_says_so():
    estimate = drop_estimate(CRAFT, replace(PACK, charged_share=0.4), FLIGHT)
    assert estimate.drops == 0
    assert "One drop takes" in estimate.note
    assert drop_estimate(CRAFT, PACK, FLIGHT).note == ""


def test_a_measured_hover_power_replaces_the_theory():
    measured = replace(CRAFT, hover_w=300)
    theory, own = sortie(CRAFT, FLIGHT), sortie(measured, FLIGHT)
    assert own.energy_wh / theory.energy_wh == pytest.approx(300 / 258.56, rel=1e-4)


def test_thin_air_costs_power():
    warm = sortie(CRAFT, replace(FLIGHT, density_kg_m3=1.16439))
    assert warm.energy_wh > sortie(CRAFT, FLIGHT).energy_wh
    # a hover power measured at sea level grows as the theory does
    measured = replace(CRAFT, hover_w=300)
    thin, thick = (sortie(measured, replace(FLIGHT, density_kg_m3=d)) for d in (0.98, 1.225))
    assert thin.energy_wh / thick.energy_wh == pytest.approx((1.225 / 0.98) ** 0.5, rel=1e-3)


def test_a_way_out_that_makes_no_way_is_refused():
    with pytest.raises(RefusedError, match=r"0\.5 m/s over the ground, and below 1\.0 m/s"):
        sortie(CRAFT, replace(FLIGHT, wind_ms=7.5, wind_off_path_deg=0))


@given(st.integers(1, 12), st.floats(30, 900), st.floats(5, 120), st.floats(1, 40))
def test_a_session_holds_whole_rounds(rods, session_min, soak_min, turn_min):
    drops = flown.drops_in_session(rods, session_min, soak_min, turn_min)
    assert drops % rods == 0
    rounds = drops // rods
    assert rounds * (soak_min + turn_min) <= session_min + 1e-6
    assert (rounds + 1) * (soak_min + turn_min) > session_min - 1e-6
