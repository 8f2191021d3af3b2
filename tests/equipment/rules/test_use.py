"""A use log replayed: order of arrival, reversals, repeats, and logs that do not fit together."""

from dataclasses import replace
from datetime import UTC, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from equipment.rules import line
from equipment.rules.use import COUNTED_KINDS, UseEntry, UseKind, check_use_entry, replay_use

_START = datetime(2031, 5, 4, 5, 0, tzinfo=UTC)
_USABLE = [kind for kind in UseKind if kind is not UseKind.REVERSAL]


def _entry(key, kind, amount=1.0, minute=0, **more):
    return UseEntry(key, kind, amount, _START + timedelta(minutes=minute), **more)


@st.composite
def logs(draw):
    """A log with reversals, and reversals of reversals."""
    entries = []
    for index in range(draw(st.integers(0, 25))):
        target = draw(st.sampled_from(["", *(entry.key for entry in entries)]))
        minute = draw(st.integers(0, 5000))
        if target:
            entries.append(_entry(f"e{index}", UseKind.REVERSAL, 1.0, minute, reverses=target))
            continue
        kind = draw(st.sampled_from(_USABLE))
        amount = draw(
            st.integers(1, 9).map(float) if kind in COUNTED_KINDS else st.floats(0.01, 80)
        )
        trip = draw(st.sampled_from(["", "t1", "t2"]))
        entries.append(_entry(f"e{index}", kind, amount, minute, trip=trip))
    return tuple(entries)


@given(log=logs(), data=st.data())
def test_any_order_of_arrival_gives_the_same_state(log, data):
    shuffled = tuple(data.draw(st.permutations(log)))
    assert replay_use(entries=shuffled) == replay_use(entries=log)


@given(log=logs(), data=st.data())
def test_entries_delivered_twice_count_once(log, data):
    again = tuple(entry for entry in log if data.draw(st.booleans()))
    assert replay_use(entries=log + again) == replay_use(entries=log)


@given(
    log=logs(),
    kind=st.sampled_from(_USABLE),
    minute=st.integers(0, 5000),
)
def test_a_reversal_restores_the_state_exactly(log, kind, minute):
    wrong = _entry("wrong", kind, 3.0, minute, trip="t3")
    undo = _entry("undo", UseKind.REVERSAL, 1.0, minute + 60, reverses="wrong")
    before = replay_use(entries=log)
    assert replay_use(entries=(*log, wrong)) != before
    assert replay_use(entries=(*log, wrong, undo)) == before


@given(log=logs(), kind=st.sampled_from(_USABLE))
def test_reversing_the_reversal_puts_the_entry_back(log, kind):
    entry = _entry("again", kind, 2.0)
    undo = _entry("undo", UseKind.REVERSAL, 1.0, reverses="again")
    redo = _entry("redo", UseKind.REVERSAL, 1.0, reverses="undo")
    assert replay_use(entries=(*log, entry, undo, redo)) == replay_use(entries=(*log, entry))


@given(
    losses=st.lists(
        st.tuples(st.sampled_from([UseKind.CUT_BACK_M, UseKind.LOST_M]), st.floats(0.1, 40)),
        max_size=30,
    )
)
def test_metres_on_the_reel_are_spooled_minus_the_log(losses):
    left_m = 600.0
    kept = []
    for index, (kind, amount_m) in enumerate(losses):
        state = replay_use(entries=(*kept, _entry(f"m{index}", kind, amount_m)))
        try:
            left_m = line.line_left_m(
                spooled_m=600, cut_back_m=state.cut_back_m, lost_m=state.lost_m
            )
        except ValueError:
            continue  # refused, so it never stands in the log
        kept.append(_entry(f"m{index}", kind, amount_m))
        assert left_m >= 0
        assert left_m == pytest.approx(600 - sum(entry.amount for entry in kept), abs=1e-6)


def test_a_day_adds_up_by_hand():
    log = (
        _entry("a", UseKind.FLIGHT, 12, 10, trip="t1"),
        _entry("b", UseKind.DROP, 11, 20, trip="t1"),
        _entry("c", UseKind.CYCLE, 4, 30, trip="t1"),
        _entry("d", UseKind.LOST_M, 22.5, 40, trip="t1"),
        _entry("e", UseKind.CUT_BACK_M, 6.5, 50, trip="t2"),
        _entry("f", UseKind.TRIP, 1, 60),
        _entry("g", UseKind.CRASH, 1, 70, trip="t2"),
        _entry("h", UseKind.HOURS, 1.1, 80),
        _entry("i", UseKind.HOURS, 2.2, 90),
    )
    state = replay_use(entries=log)
    assert (state.trips, state.flights, state.drops, state.cycles) == (3, 12, 11, 4)
    assert (state.lost_m, state.cut_back_m) == (22.5, 6.5)
    assert state.hours == pytest.approx(3.3)
    assert [event.kind for event in state.events] == [UseKind.CRASH]
    assert state.first_at == _START + timedelta(minutes=10)
    assert state.last_at == _START + timedelta(minutes=90)
    assert state.entries_standing == 9
    assert state.problems == ()


def test_a_stretch_of_time_counts_its_first_instant_and_not_its_last():
    log = tuple(_entry(f"f{minute}", UseKind.FLIGHT, 1, minute) for minute in (0, 10, 20))
    state = replay_use(
        entries=log, since=_START + timedelta(minutes=10), until=_START + timedelta(minutes=20)
    )
    assert state.flights == 1


def test_a_reversal_that_arrives_first_waits_for_its_entry():
    undo = _entry("undo", UseKind.REVERSAL, 1.0, reverses="late")
    waiting = replay_use(entries=(undo,))
    assert waiting.entries_standing == 0
    assert "late" in waiting.problems[0]
    settled = replay_use(entries=(undo, _entry("late", UseKind.FLIGHT)))
    assert settled == replay_use(entries=())


def test_a_long_chain_of_reversals_is_followed():
    chain = [_entry("r0", UseKind.FLIGHT)]
    chain += [_entry(f"r{i}", UseKind.REVERSAL, 1.0, reverses=f"r{i - 1}") for i in range(1, 5001)]
    assert replay_use(entries=tuple(chain)).flights == 1


def test_one_key_with_two_contents_is_refused():
    first = _entry("a", UseKind.FLIGHT, 1)
    with pytest.raises(ValueError, match="two contents"):
        replay_use(entries=(first, replace(first, amount=2)))


def test_reversals_in_a_ring_are_refused():
    ring = (
        _entry("a", UseKind.REVERSAL, 1.0, reverses="b"),
        _entry("b", UseKind.REVERSAL, 1.0, reverses="a"),
    )
    with pytest.raises(ValueError, match="ring"):
        replay_use(entries=ring)


@pytest.mark.parametrize(
    ("entry", "words"),
    [
        (_entry("a", UseKind.CYCLE, -2), "above zero"),
        (_entry("a", UseKind.CYCLE, 0), "above zero"),
        (_entry("a", UseKind.HOURS, float("nan")), "above zero"),
        (_entry("a", UseKind.FLIGHT, 1.5), "whole number"),
        (_entry("", UseKind.FLIGHT), "no key"),
        (_entry("a", UseKind.REVERSAL), "names the entry"),
        (_entry("a", UseKind.FLIGHT, reverses="b"), "names the entry"),
        (_entry("a", UseKind.REVERSAL, reverses="a"), "itself"),
        (UseEntry("a", UseKind.FLIGHT, 1, datetime(2031, 5, 4)), "no zone"),  # noqa: DTZ001
    ],
)
def test_an_entry_that_cannot_stand_is_refused_in_words(entry, words):
    with pytest.raises(ValueError, match=words):
        check_use_entry(entry=entry)
