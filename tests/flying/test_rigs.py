"""Recipes, their order of strength, and the lists made from them."""

from dataclasses import replace
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from guiding.flying import rig_lists, rigs
from guiding.flying.ranges import RefusedError
from guiding.flying.rig_lists import RigPlan, Stock
from guiding.flying.rigs import ORDER_OF_STRENGTH, PartKind, RigPart
from guiding.flying.strength import as_sold
from tests.flying.example import LINE, RIG, set_part

MAIN_N = LINE.strength_n


@given(st.floats(20, 2000), st.floats(0, 500), st.floats(0, 500))
def test_the_usual_rig_is_in_order_for_every_main_line(main_n, bait_g, sinker_g):
    rig = rigs.two_dropper_rig(main_n, bait_g, sinker_g)
    assert rigs.strength_faults(rig, main_n) == ()
    assert rigs.rig_payload_g(rig) >= 2 * bait_g + sinker_g


@pytest.mark.parametrize("kind", ORDER_OF_STRENGTH)
def test_a_part_stronger_than_the_main_line_is_refused(kind):
    strong = set_part(RIG, kind, strength_n=MAIN_N + 1)
    faults = rigs.strength_faults(strong, MAIN_N)
    told = f"The {kind} holds 223 N (22.8 kgf) and the main line only 222 N (22.7 kgf)"
    assert any(told in fault for fault in faults)
    with pytest.raises(RefusedError, match="is not to be tied"):
        rig_lists.tie_list((RigPlan(strong, MAIN_N, 4, 30),))
    with pytest.raises(RefusedError, match=str(kind)):
        rig_lists.shopping_list((RigPlan(strong, MAIN_N, 4, 30),))


@pytest.mark.parametrize(("weaker", "stronger"), list(pairwise(ORDER_OF_STRENGTH)))
def test_each_step_of_the_order_is_kept(weaker, stronger):
    level_n = next(p.strength_n for p in RIG.of(stronger))
    equal = set_part(RIG, weaker, strength_n=level_n)
    faults = rigs.strength_faults(equal, MAIN_N)
    assert any(f"The {weaker} holds" in fault and str(stronger) in fault for fault in faults)
    just_weaker = set_part(RIG, weaker, strength_n=level_n * 0.9)
    assert rigs.strength_faults(just_weaker, MAIN_N) == ()


def test_a_strength_is_told_in_newtons_and_as_the_spool_is_sold():
    assert as_sold(222.4) == "222 N (22.7 kgf)"
    assert as_sold(5.0) == "5 N (0.51 kgf)"
    assert as_sold(1500.0) == "1500 N (153 kgf)"


def test_the_trace_may_equal_the_main_line():
    assert rigs.strength_faults(set_part(RIG, PartKind.TRACE, strength_n=MAIN_N), MAIN_N) == ()


def test_a_swivel_weaker_than_the_trace_is_a_fault():
    faults = rigs.strength_faults(set_part(RIG, PartKind.SWIVEL, strength_n=50), MAIN_N)
    assert len(faults) == 1
    assert "barrel swivel" in faults[0]


def test_the_layout_is_to_scale_and_in_order():
    placed = rigs.rig_layout(RIG)
    spine = [p for p in placed if p.kind is not PartKind.DROPPER]
    assert [p.kind for p in spine] == [PartKind.WEAK_LINK, PartKind.TRACE, PartKind.SINKER_LINK]
    assert spine[0].from_m == 0
    for above, below in pairwise(spine):
        assert below.from_m == pytest.approx(above.to_m)
    assert spine[-1].to_m == pytest.approx(rigs.rig_length_m(RIG))
    droppers = [p for p in placed if p.kind is PartKind.DROPPER]
    assert [p.from_m for p in droppers] == pytest.approx([0.15 + 1.2, 0.15 + 1.2 + 1.5])
    assert {p.branch_m for p in droppers} == {0.45}


def test_a_long_low_dropper_hangs_below_the_sinker():
    assert rigs.rig_hang_m(RIG) == pytest.approx(rigs.rig_length_m(RIG))
    long = replace(set_part(RIG, PartKind.DROPPER, length_m=3.0), first_dropper_m=3.0)
    assert rigs.rig_hang_m(long) == pytest.approx(0.15 + 3.0 + 1.5 + 3.0)


def test_one_dropper_needs_no_spacing():
    single = set_part(RIG, PartKind.DROPPER, count=1)
    assert rigs.least_dropper_spacing_m(single) == 0
    assert rigs.least_dropper_spacing_m(RIG) == pytest.approx(0.9)


def test_materials_of_one_rig():
    need = {m.name: (m.quantity, m.unit) for m in rig_lists.rig_materials(RIG)}
    assert need["hook 6/0"] == (2, "pieces")
    assert need["three-way swivel"] == (2, "pieces")
    assert need["sinker 150 g"] == (1, "pieces")
    # two droppers of 45 cm and 20 cm of knots each
    assert need["dropper line"] == (pytest.approx(1.3), "m")
    assert need["trace line"] == (pytest.approx(4.7), "m")


def test_parts_of_one_name_are_bought_together():
    two_kinds = replace(RIG, parts=(*RIG.parts, RigPart(PartKind.HOOK, "hook 6/0", 1, mass_g=5)))
    need = {m.name: m.quantity for m in rig_lists.rig_materials(two_kinds)}
    assert need["hook 6/0"] == 3


def test_rigs_ready_are_not_tied_again():
    (line,) = rig_lists.tie_list((RigPlan(RIG, MAIN_N, rods=4, drops=30, tied=5),))
    assert (line.rig, line.ready, line.to_tie) == ("Two droppers", 13, 8)
    (done,) = rig_lists.tie_list((RigPlan(RIG, MAIN_N, rods=4, drops=30, tied=20),))
    assert done.to_tie == 0


def test_a_log_of_losses_changes_the_rigs_to_have():
    assert rig_lists.rigs_to_have(4, 30, loss_share=0.0) == 8
    assert rig_lists.rigs_to_have(4, 30, loss_share=0.2) == 17


def test_shopping_takes_off_the_stock_and_buys_what_is_sold():
    plans = (RigPlan(RIG, MAIN_N, rods=4, drops=30, tied=5),)
    stock = (
        Stock("hook 6/0", 3, sold_in=10),
        Stock("three-way swivel", 100),
        Stock("trace line", 0, 50),
    )
    lines = {line.name: line for line in rig_lists.shopping_list(plans, stock)}
    assert (lines["hook 6/0"].need, lines["hook 6/0"].buy) == (16, 20)
    assert lines["three-way swivel"].buy == 0
    assert lines["trace line"].need == pytest.approx(8 * 4.7)
    assert lines["trace line"].buy == 50
    assert lines["barrel swivel"].buy == 16
    # a fresh weak link each drop: 30 pieces of 15 cm with 20 cm of knots
    assert lines["weak-link line"].need == pytest.approx(30 * 0.35)


def test_two_recipes_of_one_trip_share_their_materials_and_bait():
    big = replace(RIG, name="Big bait", bait_g=250)
    plans = (RigPlan(RIG, MAIN_N, 2, 20), RigPlan(big, MAIN_N, 2, 10))
    both = {m.name: m.quantity for m in rig_lists.trip_materials(plans)}
    apart = [{m.name: m.quantity for m in rig_lists.trip_materials((p,))} for p in plans]
    assert both["hook 6/0"] == apart[0]["hook 6/0"] + apart[1]["hook 6/0"]
    assert rig_lists.trip_bait_kg(plans) == pytest.approx(
        (20 * 2 * 90 + 10 * 2 * 250) * 1.15 / 1000
    )
