"""The forecast of cycles left: when it has a number, when it has a reason instead."""

from datetime import date

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from equipment.rules import fade
from equipment.rules.service import BookedTrip, UseCounts


def _forecast(cycles, capacities_ah, rated_ah=5.0, retire_share=0.8):
    return fade.forecast_cycles_left(
        cycles=tuple(cycles),
        capacities_ah=tuple(capacities_ah),
        rated_ah=rated_ah,
        retire_share=retire_share,
    )


def _fading(cycles, end, rated_ah=5.0, power=1.0, share=0.8):
    """Capacities that fall from rated to a share of it at `end`."""
    return [rated_ah * (1 - (1 - share) * (cycle / end) ** power) for cycle in cycles]


@pytest.mark.parametrize("checks", [0, 1, 3, 4])
def test_too_few_checks_have_a_reason_and_no_number(checks):
    cycles = [20 * (at + 1) for at in range(checks)]
    forecast = _forecast(cycles, _fading(cycles, 200))
    assert forecast.cycles_left is None
    assert forecast.low is None
    assert forecast.high is None
    assert "too few checks" in forecast.why


@pytest.mark.parametrize("per_cycle", [0.0, 0.002])
def test_a_slope_that_is_not_negative_has_no_number(per_cycle):
    cycles = range(10, 110, 10)
    forecast = _forecast(cycles, [4.6 + per_cycle * cycle for cycle in cycles])
    assert forecast.cycles_left is None
    assert "not negative" in forecast.why
    assert forecast.health_share is not None


def test_a_fade_hardly_begun_has_no_number():
    cycles = range(5, 55, 5)
    forecast = _forecast(cycles, _fading(cycles, 2000))
    assert forecast.cycles_left is None
    assert "too little fade" in forecast.why


def test_below_the_retirement_share_nothing_is_left():
    cycles = range(20, 260, 20)
    forecast = _forecast(cycles, _fading(cycles, 180))
    assert (forecast.cycles_left, forecast.low) == (0, 0)
    assert forecast.health_share < 0.8
    assert "below 80%" in forecast.why


def test_late_in_life_an_even_fade_is_close():
    cycles = range(10, 171, 10)
    forecast = _forecast(cycles, _fading(cycles, 200))
    assert 170 + forecast.cycles_left == pytest.approx(200, rel=0.12)
    assert 170 + forecast.low <= 200 <= 170 + forecast.high


@pytest.mark.parametrize("power", [0.7, 1.0, 1.5, 2.0, 3.0])
@pytest.mark.parametrize("seen_share", [0.4, 0.6, 0.8])
def test_the_band_holds_smooth_fades_of_many_shapes(power, seen_share):
    chance = np.random.default_rng(7)
    cycles = np.arange(5, 300 * seen_share, 5)
    noise = chance.normal(0, 0.02, len(cycles))
    forecast = _forecast(cycles, _fading(cycles, 300, power=power) + noise)
    if forecast.cycles_left is None:
        assert power == 3.0  # nothing of a cube shows yet
        return
    last = cycles[-1]
    assert last + forecast.low <= 300 <= last + forecast.high


def test_a_bend_is_warned_of_and_widens_the_band():
    cycles = np.arange(5, 205, 5)
    even = 5 - 0.003 * cycles
    bent = even - np.where(cycles > 150, 0.006 * (cycles - 150), 0)
    warned, calm = _forecast(cycles, bent), _forecast(cycles, even)
    assert warned.bends
    assert warned.why.startswith("Uncertain: the fade bends down")
    assert not calm.bends
    assert "bends down" not in calm.why
    assert warned.cycles_left < calm.cycles_left


def test_a_rest_that_gives_capacity_back_does_not_stop_the_forecast():
    cycles = np.arange(2, 122, 2)
    rested = 5 - 0.007 * cycles + 0.15 * np.exp(-(cycles % 40) / 6.0)
    forecast = _forecast(cycles, rested)
    assert forecast.cycles_left is not None
    assert 120 + forecast.low <= 143 + 10 <= 120 + forecast.high


@given(data=st.data(), count=st.integers(6, 40))
def test_the_order_of_the_checks_does_not_matter(data, count):
    cycles = [7 * (at + 1) for at in range(count)]
    wobble = [data.draw(st.floats(-0.02, 0.02)) for _ in cycles]
    capacities = [c + w for c, w in zip(_fading(cycles, 350), wobble, strict=True)]
    pairs = data.draw(st.permutations(list(zip(cycles, capacities, strict=True))))
    mixed = _forecast([pair[0] for pair in pairs], [pair[1] for pair in pairs])
    assert mixed == _forecast(cycles, capacities)


@given(
    end=st.integers(60, 2000),
    seen_share=st.floats(0.3, 0.95),
    count=st.integers(5, 60),
    power=st.floats(0.5, 3.0),
    noise_ah=st.floats(0, 0.05),
    seed=st.integers(0, 999),
)
def test_figure_and_band_stand_in_order(end, seen_share, count, power, noise_ah, seed):
    cycles = np.linspace(end * seen_share / count, end * seen_share, count)
    noise = np.random.default_rng(seed).normal(0, noise_ah, count)
    forecast = _forecast(cycles, _fading(cycles, end, power=power) + noise)
    figures = (forecast.low, forecast.cycles_left, forecast.high)
    if None in figures:
        assert figures == (None, None, None)
        assert forecast.why.startswith("No number")
    else:
        assert 0 <= forecast.low <= forecast.cycles_left <= forecast.high
        assert forecast.method != "none"


def test_units_of_capacity_do_not_matter():
    cycles = range(10, 171, 10)
    small = _forecast(cycles, _fading(cycles, 240))
    large = _forecast(cycles, _fading(cycles, 240, rated_ah=22.0), rated_ah=22.0)
    assert (large.low, large.cycles_left, large.high) == (small.low, small.cycles_left, small.high)
    assert large.health_share == pytest.approx(small.health_share)


def test_a_cut_short_discharge_is_set_aside():
    cycles = list(range(10, 171, 10))
    whole = _fading(cycles, 240)
    cut = list(whole)
    cut[8] *= 0.6
    assert _forecast(cycles, cut).cycles_left == pytest.approx(
        _forecast(cycles, whole).cycles_left, rel=0.1
    )


@pytest.mark.parametrize(
    ("facts", "words"),
    [
        ({"cycles": (1, 2), "capacities_ah": (5.0,)}, "one of each a check"),
        ({"cycles": (-1, 2), "capacities_ah": (5.0, 4.9)}, "Check 1: -1 cycles"),
        ({"cycles": (1, 2), "capacities_ah": (5.0, 49.0)}, "Check 2: 49 Ah on 5 Ah"),
        ({"cycles": (1, 2), "capacities_ah": (5.0, 0.0)}, "Check 2"),
        ({"cycles": (2, 2), "capacities_ah": (5.0, 4.9)}, "one cycle count"),
        ({"cycles": (1,), "capacities_ah": (5.0,), "rated_ah": 0.0}, "above zero"),
        ({"cycles": (1,), "capacities_ah": (5.0,), "retire_share": 80}, "0.3 to 1"),
    ],
)
def test_checks_that_cannot_be_right_are_refused_in_words(facts, words):
    with pytest.raises(ValueError, match=words):
        fade.forecast_cycles_left(**({"rated_ah": 5.0} | facts))


def _booked(*cycles):
    return tuple(
        BookedTrip(date(2031, 6, 7 * (at + 1)), UseCounts(cycles=count))
        for at, count in enumerate(cycles)
    )


def test_cycles_left_become_booked_days():
    forecast = fade.Forecast(0.85, 20, 8, 60, "m", "w")
    dates = fade.forecast_dates(
        forecast=forecast, from_day=date(2031, 6, 1), booked=_booked(8, 8, 8, 8)
    )
    assert dates.low_on == date(2031, 6, 7)
    assert dates.on == date(2031, 6, 21)
    assert dates.high_on is None
    assert dates.cycles_booked == 32


def test_past_trips_bring_no_more_cycles():
    forecast = fade.Forecast(0.85, 20, 8, 60, "m", "w")
    dates = fade.forecast_dates(
        forecast=forecast, from_day=date(2031, 6, 10), booked=_booked(8, 8, 8, 8)
    )
    assert dates.on == date(2031, 6, 28)


def test_no_forecast_has_no_day_and_keeps_its_reason():
    forecast = fade.Forecast(0.97, None, None, None, "none", "No number: too few checks.")
    dates = fade.forecast_dates(forecast=forecast, from_day=date(2031, 6, 1), booked=_booked(8))
    assert dates.on is None
    assert dates.why == forecast.why


def _life(name, kind, end):
    cycles = tuple(float(at) for at in range(1, end + 30))
    return fade.CellLife(name, kind, 5.0, cycles, tuple(_fading(cycles, end, power=1.4)))


def test_the_report_is_a_table_of_every_method_and_share_seen():
    cells = (_life("a", "x", 120), _life("b", "x", 150), _life("c", "y", 300))
    trial = fade.forecast_report(cells=cells, retire_shares=(0.8,), seen_shares=(0.5, 0.7))
    lines = fade.forecast_report_lines(trial=trial)
    assert len(lines) == 1 + 6 * 2
    assert len({len(line) for line in lines}) == 1
    twice = next(one for one in trial.summary if one.method.startswith("twice"))
    assert twice.seen_share == 0.5
    assert twice.median_error_share < 0.02  # right at half by construction
    assert all(row.actual_cycle in {121, 151, 301} for row in trial.rows)


def test_a_trial_needs_a_cell_to_leave_out():
    with pytest.raises(ValueError, match="at least two"):
        fade.forecast_report(cells=(_life("a", "x", 120),))
