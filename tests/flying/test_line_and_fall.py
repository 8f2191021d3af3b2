"""Line, link, spool and what comes down."""

import math
import re
from dataclasses import replace

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from guiding.flying import fall, line_pull, spool
from guiding.flying.height import height_over_waves_m
from tests.flying.example import CRAFT, FLIGHT

MAIN_N = 222.4
flights = st.builds(
    replace,
    st.just(FLIGHT),
    distance_m=st.floats(50, 600),
    payload_g=st.floats(50, 900),
    wind_ms=st.floats(0.5, 9),
    line_mm=st.floats(0.1, 0.8),
    wind_off_path_deg=st.none() | st.floats(0, 180),
)


@given(flights, st.floats(1, 2), st.sampled_from(["distance_m", "wind_ms", "line_mm"]))
def test_the_pull_grows_with_distance_wind_and_diameter(flight, by, what):
    more = replace(flight, **{what: getattr(flight, what) * by})
    assert line_pull.flight_line_pull_n(more) >= line_pull.flight_line_pull_n(flight)


def test_the_pull_scales_as_the_formula_says():
    base = line_pull.line_pull_n(300, 0.3, 8, 20)
    assert line_pull.line_pull_n(300, 0.3, 16, 20) == pytest.approx(4 * base)
    assert line_pull.line_pull_n(300, 0.6, 8, 20) == pytest.approx(2 * base)
    assert line_pull.line_pull_n(300, 0.3, 8, 10) == pytest.approx(2 * base)
    assert line_pull.line_pull_n(150, 0.3, 8, 10) == pytest.approx(base / 2)
    assert line_pull.line_pull_n(300, 0.3, 0, 20) == 0


def test_a_wind_along_the_path_still_pulls_the_line():
    along = line_pull.flight_line_pull_n(replace(FLIGHT, wind_ms=6, wind_off_path_deg=0))
    across = line_pull.flight_line_pull_n(replace(FLIGHT, wind_ms=6, wind_off_path_deg=90))
    unknown = line_pull.flight_line_pull_n(replace(FLIGHT, wind_ms=6))
    assert 0 < along < across == unknown


def test_a_craft_that_cannot_lift_has_nothing_to_spare():
    assert line_pull.spare_pull_n(CRAFT, 2200) == 0
    assert line_pull.spare_pull_n(CRAFT, 0) == pytest.approx(
        2.2 * 9.80665 * math.sqrt(3)
    )  # full thrust twice the weight


def test_a_thin_main_line_caps_the_weak_link():
    window = line_pull.weak_link_window(CRAFT, FLIGHT, 30)
    assert window.high_n == pytest.approx(30 * 0.7 / 2)
    assert line_pull.weak_link_window(CRAFT, FLIGHT, MAIN_N).high_n == pytest.approx(
        window.spare_pull_n / 2
    )


_FIXES = {
    "payload_g": re.compile(r"Lighten the load to (\d+) g\."),
    "line_mm": re.compile(r"Fly a line of ([\d.]+) mm or thinner\."),
    "wind_ms": re.compile(r"Wait until the wind is ([\d.]+) m/s or less\."),
}


@given(flights)
def test_each_fix_of_an_empty_window_opens_it(flight):
    window = line_pull.weak_link_window(CRAFT, flight, MAIN_N)
    assume(not window.is_open)
    assert window.fixes
    read = 0
    for fix in window.fixes:
        for field, pattern in _FIXES.items():
            if found := pattern.fullmatch(fix):
                read += 1
                mended = replace(flight, **{field: float(found[1])})
                assert line_pull.weak_link_window(CRAFT, mended, MAIN_N).is_open
    assert read == len(window.fixes) or window.fixes[0].startswith("No single change")


def test_the_three_fixes_of_a_heavy_load_in_wind():
    windy = replace(FLIGHT, payload_g=600, wind_ms=8, wind_off_path_deg=90)
    window = line_pull.weak_link_window(CRAFT, windy, MAIN_N)
    assert len(window.fixes) == 3
    assert "16.6 N" in window.sentence()
    assert "20.8 N" in window.sentence()


@given(st.floats(1, 800), st.floats(1, 120))
def test_the_reach_of_a_spool_is_its_need_turned_round(distance_m, height_m):
    need_m = spool.spool_need_m(distance_m, height_m)
    assert spool.spool_reach_m(need_m, height_m) == pytest.approx(distance_m, rel=1e-6, abs=1e-4)


def test_a_spool_without_line_to_spare_reaches_nowhere():
    assert spool.spool_reach_m(150, 15) == 0


def test_height_grows_with_rig_and_sea():
    assert height_over_waves_m(0, 0) == 5
    assert height_over_waves_m(6, 2.5) == pytest.approx(13.5)


loads = {
    "mass_kg": st.floats(0.05, 1.5),
    "height_m": st.floats(3, 60),
    "wind_ms": st.floats(0, 15),
    "drag_coefficient": st.floats(0.4, 1.2),
    "area_m2": st.floats(0.0005, 0.006),
}


@given(st.fixed_dictionaries(loads))
def test_a_fall_is_bounded_by_what_is_known_without_steps(load):
    found = fall.drop_fall(**load)
    still_s = fall.still_air_fall_s(load["height_m"], found.terminal_ms)
    assert found.time_s >= still_s * (1 - 1e-6)
    assert still_s >= fall.free_fall_s(load["height_m"]) * (1 - 1e-9)
    assert found.drift_m <= load["wind_ms"] * found.time_s
    vertical_j = 0.5 * load["mass_kg"] * found.impact_ms**2
    assert vertical_j <= fall.impact_energy_j(load["mass_kg"] * 1000, load["height_m"]) * 1.0001


@given(st.fixed_dictionaries(loads))
def test_the_zone_holds_the_fall(load):
    found = fall.drop_fall(**load)
    zone_m = fall.fall_zone_radius_m(
        load["height_m"], load["wind_ms"], legal_distance_m=0, terminal_ms=found.terminal_ms
    )
    assert found.drift_m < zone_m


def test_where_no_legal_distance_is_known_the_house_keeps_thirty_metres():
    assert fall.fall_zone_radius_m(5, 0) == 30
    assert fall.fall_zone_radius_m(5, 0, legal_distance_m=0) == 10


def test_a_feather_does_not_overflow():
    assert fall.still_air_fall_s(500, 0.5) == pytest.approx(1000, rel=0.01)
