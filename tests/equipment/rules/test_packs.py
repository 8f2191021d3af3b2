"""State of a pack: what grounds, retires or is watched, storage, and pairs."""

import re
from dataclasses import replace
from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from equipment.rules import packs
from equipment.rules.marks import Mark
from equipment.rules.packs import PackEvent, PackLimits, PackState

_ON = date(2031, 6, 14)
_FIT = packs.PackFacts(
    chemistry=packs.Chemistry.LIPO,
    cells_in_series=4,
    rated_ah=5.0,
    cycles=40,
    bought_on=date(2030, 9, 1),
    checked_on=date(2031, 6, 1),
    capacity_ah=4.8,
    cells_v=(3.82, 3.82, 3.81, 3.82),
    cells_mohm=(5.2, 5.1, 5.3, 5.2),
    cells_new_mohm=(4.8, 4.8, 4.9, 4.8),
    siblings_mohm=(5.0, 5.2, 5.1),
    temperature_c=31,
)


def _state(**changed):
    return packs.pack_state(facts=replace(_FIT, **changed), on=_ON)


def test_a_sound_pack_is_fit_and_says_by_what():
    verdict = _state()
    assert verdict.state is PackState.FIT
    assert verdict.health_share == pytest.approx(0.96)
    assert "96.0% of rated" in verdict.reason
    assert "10 mV spread" in verdict.reason


@pytest.mark.parametrize(
    ("changed", "state", "words"),
    [
        ({"cells_v": (3.86, 3.82, 3.81, 3.82)}, PackState.WATCH, "50 mV .* limit 50 mV"),
        ({"cells_v": (3.91, 3.82, 3.81, 3.82)}, PackState.WATCH, "100 mV .* limit 50 mV"),
        ({"cells_v": (3.92, 3.82, 3.81, 3.82)}, PackState.GROUNDED, "110 mV .* limit 100 mV"),
        ({"cells_v": (3.3, 3.3, 3.3, 3.3)}, PackState.FIT, "0 mV"),
        ({"cells_v": (3.30, 3.29, 3.30, 3.30)}, PackState.GROUNDED, "Cell 2 rests at 3.29 V"),
        ({"cells_v": (4.26, 4.26, 4.26, 4.26)}, PackState.GROUNDED, "4.26 V, full is 4.20 V"),
        ({"capacity_ah": 4.25}, PackState.FIT, "85.0%"),
        ({"capacity_ah": 4.2}, PackState.WATCH, "84.0% of rated, limit 85%"),
        ({"capacity_ah": 4.0}, PackState.WATCH, "80.0% of rated"),
        ({"capacity_ah": 3.99}, PackState.RETIRED, "79.8% of rated, limit 80%"),
        ({"cells_mohm": (9.6, 5, 5, 5)}, PackState.RETIRED, "cell 1 is 2.00 times its new"),
        ({"cells_mohm": (5, 7.3, 5, 5)}, PackState.WATCH, "cell 2 is 1.52 times its new"),
        (
            {"cells_mohm": (8, 8, 8, 8), "cells_new_mohm": ()},
            PackState.RETIRED,
            "1.57 times that of its siblings",
        ),
        (
            {"cells_mohm": (8, 8, 8, 8), "cells_new_mohm": (), "siblings_mohm": (5,)},
            PackState.FIT,
            "40 cycles",
        ),
        ({"cycles": 150}, PackState.WATCH, "150 cycles, limit 150"),
        ({"cycles": 300}, PackState.RETIRED, "300 cycles, limit 300"),
        ({"bought_on": date(2029, 6, 1)}, PackState.WATCH, "24 months, limit 24"),
        ({"bought_on": date(2028, 12, 1)}, PackState.RETIRED, "30 months, limit 30"),
        ({"temperature_c": 61}, PackState.WATCH, "61 °C, limit 60"),
        ({"checked_on": date(2031, 4, 1)}, PackState.WATCH, "74 days ago, limit 45"),
        ({"checked_on": None}, PackState.WATCH, "No check"),
        ({"open_defects": ("lead frayed",)}, PackState.GROUNDED, "lead frayed"),
        ({"retired_on": _ON}, PackState.RETIRED, "Retired on 14 June 2031"),
    ],
)
def test_the_deciding_number_and_its_limit(changed, state, words):
    verdict = _state(**changed)
    assert verdict.state is state
    assert re.search(words, verdict.reason), verdict.reason


@pytest.mark.parametrize("event", list(PackEvent))
def test_a_hard_event_quarantines_at_once(event):
    verdict = _state(open_events=(event,))
    assert verdict.state is PackState.GROUNDED
    assert verdict.reason.startswith("Quarantine")


def test_li_ion_cells_have_their_own_floor():
    lipo = replace(_FIT, cells_v=(3.1,) * 4)
    assert packs.pack_state(facts=lipo, on=_ON).state is PackState.GROUNDED
    li_ion = replace(lipo, chemistry=packs.Chemistry.LI_ION)
    assert packs.pack_state(facts=li_ion, on=_ON).state is PackState.FIT


def test_the_worst_finding_decides_and_the_others_are_kept():
    verdict = _state(cycles=160, open_events=(PackEvent.CRASH,), capacity_ah=3.5)
    assert [finding.state for finding in verdict.findings] == [
        PackState.RETIRED,
        PackState.GROUNDED,
        PackState.WATCH,
    ]
    assert verdict.state is PackState.RETIRED


@given(
    cycles=st.integers(0, 400),
    more=st.integers(0, 200),
    capacity_ah=st.floats(3.0, 5.2),
    lost_ah=st.floats(0, 1.5),
    spread_v=st.floats(0, 0.2),
    wider_v=st.floats(0, 0.2),
)
def test_worse_numbers_never_make_a_pack_better(
    cycles, more, capacity_ah, lost_ah, spread_v, wider_v
):
    order = list(PackState)

    def rank(count, left_ah, apart_v):
        cells_v = (3.7, 3.7, 3.7, 3.7 + apart_v)
        verdict = _state(cycles=count, capacity_ah=left_ah, cells_v=cells_v)
        return order.index(verdict.state)

    better = rank(cycles, capacity_ah, spread_v)
    worse = rank(cycles + more, capacity_ah - lost_ah, spread_v + wider_v)
    assert worse >= better


def test_limits_of_the_guide_replace_the_defaults():
    strict = PackLimits(watch_cycles=30, retire_cycles=60)
    assert packs.pack_state(facts=_FIT, on=_ON, limits=strict).state is PackState.WATCH
    with pytest.raises(ValueError, match="wrong way round"):
        packs.pack_state(facts=_FIT, on=_ON, limits=PackLimits(watch_cycles=90, retire_cycles=60))


def test_the_table_of_limits_names_value_unit_and_mark():
    table = {row.name: row for row in packs.pack_limits_table(limits=PackLimits(retire_cycles=220))}
    cycles = table["retire_cycles"]
    assert (cycles.value, cycles.default, cycles.unit) == (220, 300, "cycles")
    assert cycles.mark is Mark.HOUSE
    assert all(row.source for row in table.values() if row.mark is Mark.PUBLISHED)
    assert not any(row.source for row in table.values() if row.mark is not Mark.PUBLISHED)


@pytest.mark.parametrize(
    ("changed", "words"),
    [
        ({"cells_v": (3.8, 5.0, 3.8, 3.8)}, "Cell 2 reads 5 V"),
        ({"cells_v": (3.8, 3.8)}, "2 readings in cells_v for 4 cells"),
        ({"cells_mohm": (5, 5, 0, 5)}, "above zero"),
        ({"cycles": -1}, "-1 cycles"),
        ({"capacity_ah": 48.0}, "check both figures"),
        ({"checked_on": date(2030, 8, 1)}, "before the purchase"),
        ({"checked_on": _ON + timedelta(days=1)}, "ask about a later day"),
    ],
)
def test_readings_that_cannot_be_right_are_refused_in_words(changed, words):
    with pytest.raises(ValueError, match=words):
        _state(**changed)


def test_health_by_resistance_falls_from_new_to_the_retiring_factor():
    def health(now_mohm):
        return packs.resistance_health_share(new_mohm=5, now_mohm=now_mohm)

    assert [health(mohm) for mohm in (4, 5, 7.5, 10, 12)] == [1, 1, 0.5, 0, 0]


@pytest.mark.parametrize(
    ("cells_v", "days", "trip_in", "act"),
    [
        ((4.2, 4.19), 8, None, True),
        ((4.2, 4.19), 7, None, False),
        ((4.05, 4.05), 8, None, True),
        ((4.04, 4.04), 8, None, False),
        ((4.2, 4.19), 5, 2, False),
        ((4.2, 4.19), 5, 9, False),
        ((4.2, 4.19), 30, 1, True),
        ((3.8, 3.81), 90, None, False),
        ((3.5, 3.62), 8, None, True),
    ],
)
def test_a_pack_left_full_or_empty_is_called_in(cells_v, days, trip_in, act):
    advice = packs.storage_advice(
        chemistry=packs.Chemistry.LIPO,
        cells_v=cells_v,
        since=_ON - timedelta(days=days),
        on=_ON,
        next_trip_on=None if trip_in is None else _ON + timedelta(days=trip_in),
    )
    assert advice.act is act
    assert advice.days == days
    assert advice.storage_v == 3.8


def test_a_full_pack_names_the_day_to_act_by():
    advice = packs.storage_advice(chemistry=packs.Chemistry.LIPO, cells_v=(4.2,), since=_ON, on=_ON)
    assert advice.act_by == _ON + timedelta(days=7)


@pytest.mark.parametrize(
    ("temperature_c", "charge_share", "months"),
    [(-5, 0.4, 6), (41, 0.4, 6), (30, 1.0, 12), (61, 1.0, 2), (20, 0.2, 6), (20, 0.5, 13)],
)
def test_storage_outside_the_table_has_no_number(temperature_c, charge_share, months):
    with pytest.raises(ValueError, match="covers"):
        packs.storage_recoverable_share(
            temperature_c=temperature_c, charge_share=charge_share, months=months
        )


@given(
    temperature_c=st.floats(0, 25),
    charge_share=st.floats(0.4, 1),
    months=st.floats(0, 12),
)
def test_a_warmer_fuller_or_longer_rest_never_costs_less(temperature_c, charge_share, months):
    def left(warmer=0.0, fuller=0.0, longer=0.0):
        return packs.storage_recoverable_share(
            temperature_c=min(25, temperature_c + warmer),
            charge_share=min(1, charge_share + fuller),
            months=min(12, months + longer),
        )

    worst = max(left(warmer=5), left(fuller=0.1), left(longer=1))
    assert worst <= left() + 1e-12


def _candidate(label, health_share, cell_mohm=5.0, rated_ah=5.0):
    return packs.PairCandidate(label, packs.Chemistry.LIPO, 4, rated_ah, health_share, cell_mohm)


def test_pairs_are_alike_and_the_rest_say_why_they_are_alone():
    advice = packs.pack_pairs(
        packs=(
            _candidate("A", 0.98),
            _candidate("B", 0.86),
            _candidate("C", 0.97),
            _candidate("D", 0.88),
            _candidate("E", 0.70),
            _candidate("F", 0.97, rated_ah=4.5),
        )
    )
    assert [(pair.first, pair.second) for pair in advice.pairs] == [("A", "C"), ("D", "B")]
    alone = dict(advice.alone)
    assert "No other pack" in alone["F"]
    assert "near enough" in alone["E"]


def test_resistance_keeps_packs_apart():
    advice = packs.pack_pairs(packs=(_candidate("A", 0.95, 5.0), _candidate("B", 0.95, 6.5)))
    assert advice.pairs == ()


@given(shares=st.lists(st.floats(0.6, 1.05), max_size=14))
def test_every_pack_is_in_one_pair_or_alone(shares):
    everyone = tuple(_candidate(f"P{i}", share) for i, share in enumerate(shares))
    advice = packs.pack_pairs(packs=everyone)
    named = [label for pair in advice.pairs for label in (pair.first, pair.second)]
    named += [label for label, _ in advice.alone]
    assert sorted(named) == sorted(pack.label for pack in everyone)
    assert all(pair.health_apart_share <= 0.05 for pair in advice.pairs)


def test_a_pack_listed_twice_is_refused():
    with pytest.raises(ValueError, match="twice"):
        packs.pack_pairs(packs=(_candidate("A", 0.9), _candidate("A", 0.9)))
