"""The one root search: every crossing of a curve, in order, none twice."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from guiding.almanac.crossings import Curve

DAY_S = 86400.0


@given(st.floats(6000, 80000), st.floats(0, 6.28), st.floats(-0.95, 0.95), st.floats(0, 1e9))
def test_a_wave_crosses_where_the_arc_sine_says(
    period_s: float, phase: float, level: float, start_s: float
) -> None:
    w = 2 * np.pi / period_s
    curve = Curve(lambda t: np.sin(w * (t - start_s) + phase), 600.0)
    times, rising = curve.crossings(level, start_s, start_s + 3 * DAY_S)
    up = (np.arcsin(level) - phase) / w
    down = (np.pi - np.arcsin(level) - phase) / w
    k = np.arange(-5, 60) * period_s
    expected = sorted(
        [(at, True) for at in k + up if 1 < at < 3 * DAY_S - 1]
        + [(at, False) for at in k + down if 1 < at < 3 * DAY_S - 1]
    )
    found = [
        (at - start_s, bool(up))
        for at, up in zip(times, rising, strict=True)
        if 1 < at - start_s < 3 * DAY_S - 1
    ]
    assert [up for _, up in found] == [up for _, up in expected]
    assert [at for at, _ in found] == pytest.approx([at for at, _ in expected], abs=0.1)


def test_two_crossings_closer_than_the_step_are_both_found() -> None:
    """A summit that reaches over the level for two minutes between samples ten minutes apart."""
    middle = 5 * 600.0 + 290.0
    curve = Curve(lambda t: 1e-6 * (60.0**2 - (t - middle) ** 2), 600.0)
    times, rising = curve.crossings(0.0, 0.0, DAY_S)
    assert times == pytest.approx([middle - 60, middle + 60], abs=0.1)
    assert rising.tolist() == [True, False]


def test_a_curve_that_only_nears_the_level_does_not_cross_it() -> None:
    curve = Curve(lambda t: np.cos(2 * np.pi * t / DAY_S), 600.0)
    assert len(curve.crossings(1.0001, 0.0, 5 * DAY_S)[0]) == 0
    assert len(curve.crossings(0.9999, 0.5 * DAY_S, 3.5 * DAY_S)[0]) == 6


def test_a_step_in_the_curve_is_a_crossing_at_the_step() -> None:
    curve = Curve(lambda t: np.where(t < 12345.6, -1.0, 2.0), 600.0)
    times, rising = curve.crossings(0.0, 0.0, DAY_S)
    assert times == pytest.approx([12345.6], abs=0.05)
    assert rising.tolist() == [True]


def test_time_above_and_time_below_make_up_the_span() -> None:
    curve = Curve(lambda t: np.sin(2 * np.pi * t / 45000.0), 600.0)
    above = curve.above(0.3, 0.0, DAY_S).total_min
    mirrored = Curve(lambda t: -np.sin(2 * np.pi * t / 45000.0), 600.0)
    below = mirrored.above(-0.3, 0.0, DAY_S).total_min
    assert above + below == pytest.approx(DAY_S / 60, abs=0.2)


@pytest.mark.parametrize("middle", [310.0, DAY_S - 310.0, 150.0, DAY_S - 150.0, 900.0])
def test_a_summit_in_the_first_or_last_step_or_midway_is_not_lost(middle: float) -> None:
    curve = Curve(lambda t: 1e-6 * (60.0**2 - (t - middle) ** 2), 600.0)
    times, rising = curve.crossings(0.0, 0.0, DAY_S)
    assert times == pytest.approx([middle - 60, middle + 60], abs=0.1)
    assert rising.tolist() == [True, False]
