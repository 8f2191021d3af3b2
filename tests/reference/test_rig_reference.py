"""Hook sizes and the usual rig against what is published or common practice."""

import pytest

from guiding.flying import rig_lists, rigs
from guiding.flying.rigs import PartKind
from tests.reference import published


@pytest.mark.parametrize("row", published.rows("line_hook_order"))
def test_order_of_hook_sizes(row):
    assert rigs.hook_size_rank(row["size"]) == int(row["rank_small_to_large"])


def test_two_droppers_on_three_way_swivels_about_five_metres():
    # common practice, no source
    rig = rigs.two_dropper_rig(main_strength_n=222.4)
    assert rigs.rig_length_m(rig) == pytest.approx(5, abs=0.25)
    assert rig.count(PartKind.DROPPER) == 2
    assert rig.count(PartKind.THREE_WAY) == 2
    assert rig.count(PartKind.HOOK) == 2
    assert rig.count(PartKind.SINKER) == 1
    assert all(0.30 <= part.length_m <= 0.60 for part in rig.of(PartKind.DROPPER))
    assert rig.dropper_spacing_m > rigs.least_dropper_spacing_m(rig)
    link = rig.of(PartKind.WEAK_LINK)[0]
    assert link.strength_n < 222.4
    assert rigs.strength_faults(rig, 222.4) == ()
    assert "no source" in rig.origin


def test_bait_and_rigs_of_the_worked_day():
    # 30 drops, two hooks, 80 g and 15 % more: 5.5 kg; common practice, no source
    assert rig_lists.bait_kg(30, 2, 80) == pytest.approx(5.5, abs=0.05)
    # four rods at two rigs each, and 30 drops at 10 % lost times 1.5
    assert rig_lists.rigs_to_have(4, 30) == 13
