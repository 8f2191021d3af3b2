"""Which pack goes in which charger, begun when, full by when."""

from dataclasses import replace
from datetime import UTC, datetime, timedelta
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from guiding.flying.charge_plan import NamedCharger, PackToCharge, charge_plan
from guiding.flying.pack_plan import Charger
from tests.flying.example import PACK

EVENING = datetime(2027, 5, 13, 20, 0, tzinfo=UTC)
STORED = replace(PACK, health_share=1.0, charged_share=0.4)  # 74 Wh rated, 44.4 Wh missing
DUO = NamedCharger("Duo", Charger(power_w=200, slots=2))  # 85 W into a pack, but 74 W at most


def stored(count: int) -> tuple[PackToCharge, ...]:
    return tuple(PackToCharge(f"P{n}", STORED) for n in range(1, count + 1))


def test_packs_are_full_in_time_and_no_sooner():
    plan = charge_plan(stored(4), (DUO,), EVENING)
    # 44.4 Wh at 74 W are 36 minutes a pack, two packs a slot
    assert plan.begin_at == EVENING - timedelta(minutes=72)
    assert plan.full_at == EVENING
    assert [(turn.pack, turn.slot) for turn in plan.turns] == [
        ("P1", 1), ("P2", 2), ("P3", 1), ("P4", 2)
    ]  # fmt: skip
    assert plan.problems == ()


def test_too_late_names_the_minutes():
    plan = charge_plan(stored(4), (DUO,), EVENING, not_before=EVENING - timedelta(minutes=30))
    assert plan.begin_at == EVENING - timedelta(minutes=30)
    assert plan.full_at == EVENING + timedelta(minutes=42)
    assert plan.problems[0].startswith("The packs would be full 42 min too late")


def test_a_full_pack_takes_no_turn_and_a_frozen_one_says_why():
    cold = PackToCharge("P9", replace(STORED, pack_c=-5))
    full = PackToCharge("P8", replace(STORED, charged_share=1.0))
    plan = charge_plan((*stored(1), cold, full), (DUO,), EVENING)
    assert [turn.pack for turn in plan.turns] == ["P1"]
    assert plan.problems[0].startswith("P9: The pack is at -5 °C and must not be charged")


def test_without_a_charger_it_says_what_to_enter():
    plan = charge_plan(stored(1), (), EVENING)
    assert plan.problems == ("No charger is entered: enter one with its power.",)
    assert charge_plan((), (), EVENING).problems == ()


def test_an_instant_without_a_zone_is_refused():
    with pytest.raises(ValueError, match="13 May 2027 20:00 has no zone"):
        charge_plan(stored(1), (DUO,), EVENING.replace(tzinfo=None))


chargers = st.lists(
    st.builds(
        lambda n, watts, slots: NamedCharger(f"C{n}", Charger(watts, slots)),
        st.integers(0, 10_000),
        st.floats(20, 600),
        st.integers(1, 4),
    ),
    min_size=1,
    max_size=3,
    unique_by=lambda one: one.label,
)
shares = st.lists(st.floats(0.05, 1.0), max_size=8)


@given(shares, chargers)
def test_every_pack_gets_one_turn_and_no_slot_two_at_once(charged, owned):
    packs = tuple(
        PackToCharge(f"P{n}", replace(STORED, charged_share=share))
        for n, share in enumerate(charged)
    )
    plan = charge_plan(packs, tuple(owned), EVENING)
    due = sorted(one.label for one in packs if one.pack.charged_share < 1)
    assert sorted(turn.pack for turn in plan.turns) == due
    assert all(turn.full_at <= EVENING for turn in plan.turns)
    by_slot = {}
    for turn in plan.turns:
        by_slot.setdefault((turn.charger, turn.slot), []).append(turn)
    for turns in by_slot.values():
        assert all(a.full_at <= b.begin_at for a, b in pairwise(turns))
        assert turns[-1].full_at == EVENING


@given(st.lists(st.floats(0.05, 0.95), min_size=1, max_size=8), chargers)
def test_one_charger_alone_never_has_to_begin_later_than_two(charged, owned):
    """The same packs on fewer chargers take as long or longer."""
    packs = tuple(
        PackToCharge(f"P{n}", replace(STORED, charged_share=share))
        for n, share in enumerate(charged)
    )
    alone = charge_plan(packs, (owned[0],), EVENING)
    doubled = charge_plan(packs, (owned[0], replace(owned[0], label="second")), EVENING)
    assert alone.begin_at <= doubled.begin_at
