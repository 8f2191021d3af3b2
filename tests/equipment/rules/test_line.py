"""Metres on a reel: left, needed, in reach, trips left, and what to do."""

import math
from fractions import Fraction

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from equipment.rules import line

metres = st.floats(0, 2000, allow_nan=False)


@given(spooled_m=metres, cut_back_m=metres, lost_m=metres)
def test_metres_left_is_spooled_minus_the_log_and_never_negative(spooled_m, cut_back_m, lost_m):
    left_exactly_m = Fraction(spooled_m) - Fraction(cut_back_m) - Fraction(lost_m)
    assume(abs(left_exactly_m + Fraction(1, 10**6)) > Fraction(1, 10**9))  # on the very limit
    if left_exactly_m < Fraction(-1, 10**6):
        with pytest.raises(ValueError, match="reverse the wrong entry"):
            line.line_left_m(spooled_m=spooled_m, cut_back_m=cut_back_m, lost_m=lost_m)
        return
    left_m = line.line_left_m(spooled_m=spooled_m, cut_back_m=cut_back_m, lost_m=lost_m)
    assert left_m >= 0
    assert left_m == pytest.approx(float(left_exactly_m), abs=2e-6)


@given(
    distance_m=st.floats(0, 800),
    height_m=st.floats(0, 120),
    reserve_m=st.floats(0, 300),
)
def test_reach_is_the_inverse_of_need(distance_m, height_m, reserve_m):
    need_m = line.line_need_m(distance_m=distance_m, height_m=height_m, fight_reserve_m=reserve_m)
    reach_m = line.line_reach_m(left_m=need_m, height_m=height_m, fight_reserve_m=reserve_m)
    assert reach_m == pytest.approx(distance_m, abs=0.01 + height_m * 1e-3)


def test_need_of_a_300_m_drop_by_hand():
    # 1.05 x 300 + 150 + 10
    assert line.line_need_m(distance_m=300) == pytest.approx(475.0)


def test_too_short_a_line_reaches_nowhere():
    assert line.line_reach_m(left_m=100) == 0.0
    assert line.line_reach_m(left_m=180, height_m=60) == 0.0


def test_trips_left_by_hand():
    # 600 m on the spool, 475 m needed: 125 m to spare at a steady 10 m a trip.
    left = line.line_trips_left(left_m=600, need_m=475, loss_per_trip_m=(10.0, 10.0, 10.0))
    assert (left.trips, left.low, left.high) == (12, 12, 12)


@given(
    losses=st.lists(st.floats(0, 60), min_size=3, max_size=30),
    spare_m=st.floats(0, 500),
)
def test_the_band_of_trips_encloses_the_figure(losses, spare_m):
    assume(math.fsum(losses) > 1)
    left = line.line_trips_left(left_m=400 + spare_m, need_m=400, loss_per_trip_m=tuple(losses))
    assert left.trips is not None
    assert left.low is not None
    assert left.low <= left.trips
    assert left.high is None or left.high >= left.trips


def test_the_band_of_trips_holds_what_happens_as_often_as_it_says():
    """Reels with normal losses around 8 m a trip: six logged trips forecast the rest."""
    chance = np.random.default_rng(41)
    held = 0
    reels = 1500
    for _ in range(reels):
        losses = [max(0.0, chance.normal(8, 3)) for _ in range(206)]
        left = line.line_trips_left(left_m=700, need_m=500, loss_per_trip_m=tuple(losses[:6]))
        spare_m, trips = 200.0, 0
        for loss_m in losses[6:]:
            if loss_m > spare_m:
                break
            spare_m -= loss_m
            trips += 1
        assert left.low is not None
        held += left.low <= trips and (left.high is None or trips <= left.high)
    assert 0.77 <= held / reels <= 0.90


def test_no_number_of_trips_without_a_rate():
    few = line.line_trips_left(left_m=600, need_m=475, loss_per_trip_m=(12.0, 3.0))
    assert few.trips is None
    assert "Too few trips" in few.why
    none_lost = line.line_trips_left(left_m=600, need_m=475, loss_per_trip_m=(0.0,) * 5)
    assert none_lost.trips is None
    assert none_lost.rate_m == 0.0


def test_a_line_that_is_too_short_now_has_no_trip_left():
    short = line.line_trips_left(left_m=470, need_m=475, loss_per_trip_m=())
    assert (short.trips, short.low, short.high) == (0, 0, 0)
    assert "470 m" in short.why
    assert "475 m" in short.why


def test_losses_without_an_upper_end_say_so_with_none():
    uneven = line.line_trips_left(left_m=600, need_m=475, loss_per_trip_m=(0.0, 0.0, 90.0))
    assert uneven.trips == 4
    assert uneven.high is None


@pytest.mark.parametrize(
    ("facts", "advice"),
    [
        ({"left_m": 600}, line.LineAdvice.KEEP),
        ({"left_m": 600, "worn_m": 15}, line.LineAdvice.CUT_BACK),
        ({"left_m": 480, "worn_m": 15}, line.LineAdvice.REVERSE),
        ({"left_m": 480, "worn_m": 15, "reversed_before": True}, line.LineAdvice.RESPOOL),
        ({"left_m": 470}, line.LineAdvice.RESPOOL),
        ({"left_m": 600, "seasons": 1}, line.LineAdvice.REVERSE),
        ({"left_m": 600, "seasons": 2, "reversed_before": True}, line.LineAdvice.KEEP),
        ({"left_m": 600, "seasons": 3}, line.LineAdvice.RESPOOL),
        ({"left_m": 480, "respool_lead_m": 20}, line.LineAdvice.RESPOOL),
    ],
)
def test_advice_on_a_line(facts, advice):
    verdict = line.line_advice(need_m=475, **facts)
    assert verdict.advice is advice
    assert any(char.isdigit() for char in verdict.reason)


def test_main_line_that_does_not_fit_is_refused_with_what_does():
    with pytest.raises(ValueError, match="the spool takes 300 m"):
        line.backing_length_m(
            spool_length_m=300,
            spool_diameter_mm=0.35,
            main_length_m=320,
            main_diameter_mm=0.35,
            backing_diameter_mm=0.4,
        )


@given(
    length_m=st.floats(50, 1000),
    first_mm=st.floats(0.1, 1.2),
    second_mm=st.floats(0.1, 1.2),
)
def test_capacity_there_and_back_is_the_same_line(length_m, first_mm, second_mm):
    there_m = line.line_capacity_m(
        rated_length_m=length_m, rated_diameter_mm=first_mm, new_diameter_mm=second_mm
    )
    back_m = line.line_capacity_m(
        rated_length_m=there_m, rated_diameter_mm=second_mm, new_diameter_mm=first_mm
    )
    assert back_m == pytest.approx(length_m)


def test_drag_rises_as_the_spool_empties():
    assert line.drag_rise_ratio(full_diameter_mm=60, now_diameter_mm=40) == pytest.approx(1.5)
    with pytest.raises(ValueError, match="measure both"):
        line.drag_rise_ratio(full_diameter_mm=40, now_diameter_mm=60)


@pytest.mark.parametrize(
    "call",
    [
        lambda: line.line_capacity_m(rated_length_m=200, rated_diameter_mm=0.3, new_diameter_mm=0),
        lambda: line.line_class(breaking_load_kg=-1),
        lambda: line.drag_band(line_strength_kg=10, low_share=0.4, high_share=0.3),
        lambda: line.shock_leader_kg(lead_g=float("nan")),
        lambda: line.line_need_m(distance_m=-1),
        lambda: line.line_need_m(distance_m=10, slack_factor=0.9),
        lambda: line.line_reach_m(left_m=-1),
        lambda: line.line_trips_left(left_m=1, need_m=1, loss_per_trip_m=(-3.0,)),
        lambda: line.line_left_m(spooled_m=-1, cut_back_m=0, lost_m=0),
    ],
)
def test_bad_input_is_refused_in_words(call):
    with pytest.raises(ValueError, match=r"give|never shorter"):
        call()
