"""Packs for a plan, and charging on the beach."""

import math
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from guiding.flying import pack_plan
from guiding.flying.defaults import FlyingDefaults
from guiding.flying.pack_plan import Charger, plan_packs
from guiding.flying.ranges import RefusedError
from tests.flying.example import PACK

FULL = replace(PACK, health_share=1.0)  # 51.8 Wh above the reserve: four drops of 12 Wh


def test_packs_needed_rounds_up_and_adds_the_spare():
    assert pack_plan.packs_needed(24, 4) == 7
    assert pack_plan.packs_needed(25, 4) == 8
    assert pack_plan.packs_needed(24, 4, FlyingDefaults(spare_packs=2)) == 8


def test_packs_that_reach_keep_the_spare_back():
    assert plan_packs(24, 12, (FULL,) * 7).enough
    short = plan_packs(24, 12, (FULL,) * 6)
    assert not short.enough
    assert (short.needed, short.owned) == (7, 6)
    assert "24 drops need 7 packs" in short.sentence
    assert "fewer rods" in short.sentence


def test_each_pack_counts_as_it_is():
    worn = replace(FULL, health_share=0.5)  # two drops
    assert plan_packs(10, 12, (FULL, FULL, worn, worn)).enough
    assert not plan_packs(11, 12, (FULL, FULL, worn, worn)).enough
    dead = replace(FULL, charged_share=0.3)
    assert not plan_packs(4, 12, (FULL, dead)).enough  # an empty pack is no spare


def test_charges_stand_in_for_packs_but_not_for_the_spare():
    assert plan_packs(24, 12, (FULL,) * 3, charges=4).enough
    assert not plan_packs(24, 12, (FULL,) * 3, charges=3).enough
    assert not plan_packs(4, 12, (FULL,), charges=10).enough


def test_no_pack_at_all_is_said():
    assert "do not carry one drop" in plan_packs(4, 12, ()).sentence


@given(
    st.integers(0, 60),
    st.floats(5, 40),
    st.lists(st.floats(0.3, 1.0), max_size=10),
    st.integers(0, 6),
    st.floats(1, 2),
)
def test_a_dearer_drop_never_needs_fewer_packs(drops, energy_wh, healths, charges, by):
    packs = tuple(replace(FULL, health_share=health) for health in healths)
    dear = plan_packs(drops, energy_wh * by, packs, charges)
    cheap = plan_packs(drops, energy_wh, packs, charges)
    assert cheap.enough or not dear.enough


def test_charging_time_from_power_and_losses():
    # 51.8 Wh into the pack at 74 W (one times its capacity an hour), after 20 min of rest
    strong = pack_plan.charge_min(FULL, Charger(power_w=300))
    assert strong == pytest.approx(20 + 51.8 / 74 * 60)
    # 60 W less 15 %: 51 W
    weak = pack_plan.charge_min(FULL, Charger(power_w=60))
    assert weak == pytest.approx(20 + 51.8 / 51 * 60)
    shared = pack_plan.charge_min(FULL, Charger(power_w=60, slots=2))
    assert shared == pytest.approx(20 + 51.8 / 25.5 * 60)


def test_charges_by_time_and_by_what_feeds_the_charger():
    charger = Charger(power_w=300, slots=2)
    each = pack_plan.charge_min(FULL, charger)
    assert pack_plan.charges_possible(FULL, charger, 3 * each + 1) == 6
    assert pack_plan.charges_possible(FULL, charger, each - 1) == 0
    box = replace(charger, source_wh=200)
    assert pack_plan.charges_possible(FULL, box, 3 * each + 1) == math.floor(200 / (51.8 / 0.85))


@pytest.mark.parametrize("pack_c", [-2, 45])
def test_no_charging_in_frost_or_heat(pack_c):
    with pytest.raises(RefusedError, match="must not be charged"):
        pack_plan.charge_min(replace(FULL, pack_c=pack_c), Charger(300))


def test_fewer_rods_where_the_packs_do_not_reach():
    packs = (FULL,) * 6  # five at work, twenty drops of 12 Wh
    assert pack_plan.rods_packs_serve(4, 360, 30, 10, 12, packs) == 2
    assert pack_plan.rods_packs_serve(4, 360, 30, 10, 12, packs, charges=4) == 4
    assert pack_plan.rods_packs_serve(4, 360, 30, 10, 12, (FULL,)) == 0
