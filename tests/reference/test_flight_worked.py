"""The worked flight of an example craft, figure by figure.

The craft is invented: 2.2 kg, four 10-inch rotors, 74 Wh, efficiency 0.55, 8 m/s loaded and 12 m/s
empty. The figures follow from momentum theory and statics by hand; factors are house defaults.
The energy 'in wind' is the still-air one times 1.6, which is the allowance at the wind limit.
"""

import pytest

from guiding.flying import fall, height, hover, line_pull, sortie, spool
from guiding.flying.craft import Craft, Pack
from guiding.flying.estimate import drop_estimate
from guiding.flying.flight import DropFlight

CRAFT = Craft(
    name="Example",
    empty_kg=2.2,
    rotor_count=4,
    rotor_diameter_m=0.254,
    payload_limit_g=1000,
    wind_limit_ms=9,
)
PACK = Pack(rated_wh=74, health_share=0.85)
MAIN_N = 222.4  # 50 lb


def _flight(payload_g, wind_ms=0.0, **more):
    return DropFlight(300, payload_g, wind_ms, 0.30, **more)


@pytest.mark.parametrize(
    ("payload_g", "hover_w", "more_percent", "light_wh", "wind_wh", "light_drops", "wind_drops"),
    [
        (200, 295, 14, 9.5, 15.2, 4, 2),
        (400, 332, 28, 10.3, 16.5, 4, 2),
        (600, 371, 44, 11.1, 17.7, 3, 2),
        (800, 412, 59, 11.9, 19.0, 3, 2),
    ],
)
def test_hover_energy_and_drops(
    payload_g, hover_w, more_percent, light_wh, wind_wh, light_drops, wind_drops
):
    assert hover.craft_power_w(CRAFT, payload_g) == pytest.approx(hover_w, abs=0.5)
    factor = hover.payload_power_factor(2.2, payload_g / 1000)
    assert (factor - 1) * 100 == pytest.approx(more_percent, abs=0.5)
    light = drop_estimate(CRAFT, PACK, _flight(payload_g))
    assert light.use.energy_wh == pytest.approx(light_wh, abs=0.06)
    assert light.drops == light_drops
    # the wind limit of this craft across the path: there the allowance is the larger of the two
    limit_ms = sortie.wind_limit_ms(CRAFT)
    windy = drop_estimate(CRAFT, PACK, _flight(payload_g, limit_ms, wind_off_path_deg=90))
    assert windy.use.energy_wh == pytest.approx(wind_wh, abs=0.06)
    assert windy.drops == wind_drops


def test_the_sortie_takes_about_two_minutes():
    flown = sortie.sortie(CRAFT, _flight(400))
    times = {leg.name: leg.time_s for leg in flown.legs}
    assert times == pytest.approx(
        {"climb": 15, "out": 37, "place": 20, "home": 25, "land": 25}, abs=0.5
    )
    assert flown.time_s == pytest.approx(122, abs=0.6)


@pytest.mark.parametrize(
    ("line_mm", "wind_ms", "pull_n"), [(0.30, 8, 8.6), (0.30, 10, 13.4), (0.60, 10, 27)]
)
def test_pull_of_the_line(line_mm, wind_ms, pull_n):
    pulled = line_pull.line_pull_n(300, line_mm, wind_ms, bow_m=20)
    assert pulled == pytest.approx(pull_n, abs=0.15)
    assert line_pull.flight_line_pull_n(
        DropFlight(300, 400, wind_ms, line_mm, wind_off_path_deg=90)
    ) == pytest.approx(pulled)


def test_the_weak_link_window_that_is_open():
    window = line_pull.weak_link_window(CRAFT, _flight(400, 5, wind_off_path_deg=90), MAIN_N)
    assert window.is_open
    # by hand with the pull rounded to 3.4 N first the lower end is 10.4
    assert window.low_n == pytest.approx(10.4, abs=0.1)
    assert window.high_n == pytest.approx(17.4, abs=0.05)
    assert (window.low_kgf, window.high_kgf) == pytest.approx((1.1, 1.8), abs=0.05)
    assert window.admits(1.5 * 9.80665)
    assert not window.admits(0.9 * 9.80665)
    assert not window.admits(2.0 * 9.80665)


@pytest.mark.parametrize(
    ("payload_g", "wind_ms", "needs_n", "cap_n"), [(600, 8, 20.8, 16.6), (800, 5, 17.1, 15.8)]
)
def test_the_weak_link_windows_that_are_empty(payload_g, wind_ms, needs_n, cap_n):
    flight = _flight(payload_g, wind_ms, wind_off_path_deg=90)
    window = line_pull.weak_link_window(CRAFT, flight, MAIN_N)
    assert not window.is_open
    assert window.low_n == pytest.approx(needs_n, abs=0.06)
    assert window.high_n == pytest.approx(cap_n, abs=0.06)
    assert "No weak link fits" in window.sentence()
    assert any(fix.startswith("Lighten the load to") for fix in window.fixes)


def test_spool_height_and_fall():
    assert spool.spool_need_m(300, 15) == pytest.approx(475, abs=1)
    assert height.height_over_waves_m(6, 1.5) == pytest.approx(12.5)
    assert fall.free_fall_s(15) == pytest.approx(1.75, abs=0.005)
    assert fall.impact_energy_j(600, 15) == pytest.approx(88, abs=0.5)
    assert fall.injury_height_m(600) == pytest.approx(13.6, abs=0.05)
    # 10 m/s for 1.75 s and 10 m; where the law asks for 50 m (South Africa) that is the larger
    assert fall.fall_zone_radius_m(15, 10, legal_distance_m=0) == pytest.approx(27.5, abs=0.05)
    assert fall.fall_zone_radius_m(15, 10, legal_distance_m=50) == 50


def test_drops_of_a_session_and_the_pilots_eyes():
    assert sortie.drops_in_session(4, 360, 30, 10) == 36
    assert sortie.pilot_share(36, 6, 360) == pytest.approx(0.6)
