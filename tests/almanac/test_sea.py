"""Wind and waves at a beach: the parts of the wind, gusts, run-up, and what is refused."""

from collections.abc import Callable
from math import hypot

import pytest
from hypothesis import given
from hypothesis import strategies as st

from guiding.almanac.sea import (
    beaufort_force,
    beaufort_term,
    expected_gust_ms,
    expected_highest_wave_m,
    gust_factor,
    heat_index_c,
    sea_state,
    uv_class,
    wave_run_up,
    wind_chill_c,
    wind_parts,
)

winds = st.floats(0, 40)


@given(winds, st.floats(0, 360), st.floats(0, 360))
def test_the_parts_of_the_wind_make_up_the_wind(
    wind: float, from_deg: float, seaward_deg: float
) -> None:
    parts = wind_parts(wind, from_deg, seaward_deg)
    assert hypot(parts.onshore_ms, parts.cross_ms) == pytest.approx(wind, abs=0.001)
    turned = wind_parts(wind, from_deg + 180, seaward_deg)
    assert turned.onshore_ms == pytest.approx(-parts.onshore_ms, abs=0.001)


def test_wind_from_the_sea_is_onshore_and_from_the_right_positive() -> None:
    """A beach that looks east: wind from the east is onshore, from the south from the right."""
    assert wind_parts(8, 90, 90).onshore_ms == 8
    assert wind_parts(8, 270, 90).onshore_ms == -8
    south = wind_parts(8, 180, 90)
    assert (south.onshore_ms, south.cross_ms) == (pytest.approx(0, abs=1e-3), 8)


@given(winds, winds)
def test_more_wind_is_never_a_lower_force(a: float, b: float) -> None:
    low, high = sorted((a, b))
    assert beaufort_force(low) <= beaufort_force(high)


def test_a_wind_between_two_bands_goes_to_the_nearer_tenth() -> None:
    """The table leaves a tenth between its bands: 0.3-1.5, 1.6-3.3 m/s."""
    assert (beaufort_force(1.54), beaufort_force(1.55)) == (1, 2)
    assert (beaufort_force(32.64), beaufort_force(32.66)) == (11, 12)


def test_gusts() -> None:
    assert gust_factor(10, 14) == 1.4
    assert expected_gust_ms(10) == 14
    with pytest.raises(ValueError, match="In a calm"):
        gust_factor(0, 3)
    with pytest.raises(ValueError, match="under the mean"):
        gust_factor(10, 9)
    with pytest.raises(ValueError, match="under 1"):
        expected_gust_ms(10, 0.9)


run_ups = st.tuples(st.floats(0, 4.1), st.floats(0, 17), st.floats(0, 0.16))


@given(run_ups, st.floats(0, 0.5), st.floats(0, 3))
def test_higher_and_longer_waves_never_run_up_less(
    wave: tuple[float, float, float], higher: float, longer: float
) -> None:
    height, period, slope = wave
    base = wave_run_up(*wave).exceeded_by_2_percent_m
    more = wave_run_up(height + higher, period + longer, slope).exceeded_by_2_percent_m
    assert base is not None
    assert base > 0
    assert more is None or more >= base - 1e-4 or slope < 0.03


def test_run_up_tells_its_bias_and_its_range() -> None:
    found = wave_run_up(2, 12, 0.05)
    assert found.why == ""
    assert found.with_bias_m is not None
    assert found.exceeded_by_2_percent_m is not None
    assert found.with_bias_m - found.exceeded_by_2_percent_m == pytest.approx(0.17)
    small = wave_run_up(0.1, 3, 0.05)
    assert small.exceeded_by_2_percent_m == wave_run_up(0.4, 4.7, 0.05).exceeded_by_2_percent_m
    assert "smallest waves" in small.why
    for outside in ((5, 12, 0.05), (2, 18, 0.05), (2, 12, 0.3)):
        high = wave_run_up(*outside)
        assert high.exceeded_by_2_percent_m is None
        assert high.with_bias_m is None
        assert "is fitted for" in high.why


def test_very_flat_beaches_take_the_larger_of_the_two_fits() -> None:
    """On 1 in 100 the flat-beach fit, 0.043 sqrt(H L), is the larger: 0.912 m for 2 m and 12 s."""
    assert wave_run_up(2, 12, 0.01).exceeded_by_2_percent_m == pytest.approx(0.912, abs=0.001)


def test_heat_over_its_range_has_no_number() -> None:
    found = heat_index_c(51, 0.2)
    assert found.felt_c is None
    assert "hotter" in found.why


@pytest.mark.parametrize(
    ("broken", "said"),
    [
        (lambda: beaufort_force(-1), "speeds are 0 or more"),
        (lambda: beaufort_force(float("nan")), "speeds are 0 or more"),
        (lambda: beaufort_term(13), "from 0 to 12"),
        (lambda: sea_state(-0.1), "wave height of -0.1 m"),
        (lambda: uv_class(-1), "0 or more"),
        (lambda: wind_chill_c(0, -1), "speeds are 0 or more"),
        (lambda: heat_index_c(30, 60), "0.6 is 60 %"),
        (lambda: wave_run_up(-1, 8, 0.05), "not below zero"),
        (lambda: expected_highest_wave_m(2, 5), "10 or more"),
        (lambda: expected_highest_wave_m(-2, 50), "wave height of -2 m"),
    ],
)
def test_numbers_that_cannot_be_are_refused(broken: Callable[[], object], said: str) -> None:
    with pytest.raises(ValueError, match=said):
        broken()
