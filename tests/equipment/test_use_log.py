"""The use log in the database: append-only, idempotent, one state whatever the order."""

from __future__ import annotations

import datetime
import uuid

import pytest
from django.core.exceptions import ValidationError
from hypothesis import given, settings
from hypothesis import strategies as st

from equipment.actions.lines import move_line, spool_line, take_off_line
from equipment.actions.use import NewUse, record_use, record_uses, reverse_use
from equipment.models import Defect, Line, Spooling, UseEntry, UseTally
from equipment.queries.defects import open_defects
from equipment.queries.lines import reel_sheets
from equipment.queries.use import counts
from equipment.rules.use import UseEntry as LogEntry
from equipment.rules.use import UseKind, replay_use
from tests.factories_equipment import (
    BOUGHT,
    CraftFactory,
    FlightPackFactory,
    LineFactory,
    ReelFactory,
    SpoolingFactory,
    ThingFactory,
)

pytestmark = pytest.mark.django_db
TODAY = datetime.date(2026, 6, 14)
AT = datetime.datetime(2026, 6, 1, 8, 0, tzinfo=datetime.UTC)


def replayed(thing):
    """What the pure rule makes of the rows of a thing."""
    rows = UseEntry.objects.filter(thing=thing.pk).select_related("reverses")
    return replay_use(
        entries=tuple(
            LogEntry(
                key=str(row.key),
                kind=UseKind(row.kind),
                amount=row.amount,
                at=row.at,
                trip=str(row.trip_uid or ""),
                reverses=str(row.reverses.key) if row.reverses else "",
            )
            for row in rows
        )
    )


def test_a_use_is_added_and_summed_up():
    pack = FlightPackFactory()
    trip = uuid.uuid4()
    record_use(thing=pack, kind="cycle", at=AT, amount=3, trip_uid=trip)
    record_use(thing=pack, kind="flight", at=AT, amount=6, trip_uid=trip)
    found = counts(on=TODAY)[pack.pk]
    assert (found.cycles, found.flights, found.trips) == (3, 6, 1)


def test_the_same_key_twice_is_one_entry():
    rod = ThingFactory()
    key = uuid.uuid4()
    first = record_use(thing=rod, kind="fish", at=AT, key=key)
    again = record_use(thing=rod, kind="fish", at=AT, key=key)
    assert first.pk == again.pk
    assert counts(on=TODAY)[rod.pk].fish == 1


def test_the_same_key_with_another_content_is_refused():
    rod = ThingFactory()
    key = uuid.uuid4()
    record_use(thing=rod, kind="fish", at=AT, key=key)
    with pytest.raises(ValidationError, match="another content"):
        record_use(thing=rod, kind="fish", at=AT, key=key, amount=2)
    assert UseEntry.objects.count() == 1


def test_a_reversal_restores_the_state_exactly():
    spooling = SpoolingFactory()
    reel = spooling.reel
    record_use(thing=reel, kind="cut_back_m", at=AT, amount=8)
    before = (counts(on=TODAY)[reel.pk], Line.objects.get(pk=spooling.line_id).used_m)
    wrong = record_use(thing=reel, kind="lost_m", at=AT, amount=120.5)
    assert Line.objects.get(pk=spooling.line_id).used_m == 128.5
    reverse_use(entry=wrong, reason="Typed for another reel", at=AT)
    after = (counts(on=TODAY)[reel.pk], Line.objects.get(pk=spooling.line_id).used_m)
    assert after == before


def test_an_entry_is_taken_out_once_and_a_reversal_never():
    rod = ThingFactory()
    entry = record_use(thing=rod, kind="fish", at=AT)
    out = reverse_use(entry=entry, reason="twice", at=AT)
    with pytest.raises(ValidationError, match="already"):
        reverse_use(entry=entry, reason="twice", at=AT)
    with pytest.raises(ValidationError, match="Enter that use again"):
        reverse_use(entry=out, reason="no", at=AT)
    with pytest.raises(ValidationError, match="why"):
        reverse_use(entry=record_use(thing=rod, kind="fish", at=AT), reason=" ")


@pytest.mark.parametrize(
    ("kind", "amount", "at", "words"),
    [
        ("cycle", -1, AT, "above zero"),
        ("cycle", 0, AT, "above zero"),
        ("cycle", 1.5, AT, "whole number"),
        ("cycle", float("inf"), AT, "above zero"),
        ("cycle", 2_000_000, AT, "more than any log needs"),
        ("cycle", 1, AT.replace(year=1890), "too long ago"),
        ("cycle", 1, AT.replace(year=2099), "still to come"),
        ("cycle", 1, AT.replace(year=2024), "before P-old was bought"),
        ("cycle", 1, AT.replace(tzinfo=None), "no zone"),
        ("km", 1, AT, "has no kilometres"),
        ("cut_back_m", 1, AT, "has no metres"),
        ("nonsense", 1, AT, "no kind of use"),
    ],
)
def test_a_use_that_cannot_be_is_refused_with_a_sentence(kind, amount, at, words):
    pack = FlightPackFactory(label="P-old")
    with pytest.raises(ValidationError) as refusal:
        record_uses(uses=[NewUse(thing_id=pack.pk, kind=kind, amount=amount, at=at)])
    assert words in str(refusal.value)
    assert not UseEntry.objects.exists()


def test_a_batch_is_whole_or_absent():
    rod = ThingFactory()
    good = NewUse(thing_id=rod.pk, kind="fish", at=AT)
    bad = NewUse(thing_id=rod.pk, kind="cycle", at=AT)
    with pytest.raises(ValidationError):
        record_uses(uses=[good, bad])
    assert not UseEntry.objects.exists()
    assert counts(on=TODAY) == {}


def test_metres_never_go_below_nothing():
    spooling = SpoolingFactory(line=LineFactory(spooled_m=100))
    record_use(thing=spooling.reel, kind="lost_m", at=AT, amount=90)
    with pytest.raises(ValidationError, match="10 m left"):
        record_use(thing=spooling.reel, kind="cut_back_m", at=AT, amount=11)
    assert Line.objects.get(pk=spooling.line_id).left_m == 10
    assert UseEntry.objects.count() == 1


def test_line_can_only_be_cut_where_line_is():
    reel = ReelFactory()
    with pytest.raises(ValidationError, match="spool the line first"):
        record_use(thing=reel, kind="cut_back_m", at=AT, amount=5)


def test_a_crash_grounds_until_taken_out():
    craft = CraftFactory()
    entry = record_use(thing=craft, kind="crash", at=AT, note="hit the rail")
    assert [d.what for d in open_defects(on=TODAY)[craft.pk]] == ["Crash: hit the rail"]
    assert open_defects(on=AT.date() - datetime.timedelta(days=1)) == {}
    reverse_use(entry=entry, reason="it was the other craft", at=AT)
    assert open_defects(on=TODAY) == {}
    assert Defect.objects.count() == 1


def test_counts_of_an_earlier_day_leave_later_use_out():
    rod = ThingFactory()
    record_use(thing=rod, kind="fish", at=AT)
    record_use(thing=rod, kind="fish", at=AT + datetime.timedelta(days=3))
    assert counts(on=AT.date())[rod.pk].fish == 1
    assert counts(on=TODAY)[rod.pk].fish == 2


def test_a_line_keeps_its_history_across_reels():
    first, second = ReelFactory(), ReelFactory()
    spooling = spool_line(
        reel=first, spooled_m=500, diameter_mm=0.3, strength_kgf=23, on=datetime.date(2026, 4, 1)
    )
    record_use(thing=first, kind="cut_back_m", at=AT.replace(month=4, day=20), amount=12)
    moved = move_line(line=spooling.line, reel=second, on=datetime.date(2026, 5, 1))
    assert moved.reversed
    record_use(thing=second, kind="lost_m", at=AT, amount=30)
    line = Line.objects.get(pk=spooling.line_id)
    assert line.left_m == 458
    assert [(s.reel_id, s.on_until is None) for s in line.spoolings.order_by("on_from")] == [
        (first.pk, False),
        (second.pk, True),
    ]
    sheets = {sheet.reel_id: sheet for sheet in reel_sheets(on=TODAY)}
    assert sheets[first.pk].advice is None
    assert sheets[second.pk].left_m == 458
    before = {s.reel_id: s for s in reel_sheets(on=datetime.date(2026, 4, 25))}
    assert before[first.pk].left_m == 488
    take_off_line(reel=second, on=TODAY)
    with pytest.raises(ValidationError, match="no line on it"):
        take_off_line(reel=second, on=TODAY)


def test_a_spool_is_not_filled_beyond_its_room():
    reel = ReelFactory(rated_m=300, rated_mm=0.30)
    with pytest.raises(ValidationError, match="holds 300 m"):
        spool_line(reel=reel, spooled_m=400, diameter_mm=0.30, strength_kgf=20)
    assert not Spooling.objects.exists()
    assert not Line.objects.exists()


def test_line_reversed_turns_and_its_reversal_turns_back():
    spooling = SpoolingFactory()
    entry = record_use(thing=spooling.reel, kind="line_reversed", at=AT)
    assert Spooling.objects.get().reversed
    reverse_use(entry=entry, reason="not done after all", at=AT)
    assert not Spooling.objects.get().reversed


# ---------------------------------------------------------------- invariants

uses = st.lists(
    st.tuples(
        st.sampled_from(["cut_back_m", "lost_m", "trip", "fish", "hours", "line_reversed"]),
        st.floats(0.5, 120).map(lambda metres: round(metres, 1)),
        st.integers(0, 2),  # which trip
        st.booleans(),  # taken out again
        st.integers(0, 300),  # days after the purchase
    ),
    max_size=12,
)


def batch(thing, drawn):
    trips = [None, uuid.UUID(int=1), uuid.UUID(int=2)]
    whole = {"trip", "fish", "line_reversed"}
    made = []
    for number, (kind, amount, trip, taken_out, days) in enumerate(drawn, start=10):
        at = AT.replace(year=2025, month=4) + datetime.timedelta(days=days)
        key = uuid.UUID(int=number)
        made.append(
            NewUse(thing.pk, kind, at, 1 if kind in whole else amount, trips[trip], key=key)
        )
        if taken_out:
            made.append(
                NewUse(thing.pk, "reversal", at, key=uuid.UUID(int=number + 500), reverses=key,
                       trip_uid=trips[trip])
            )  # fmt: skip
    return made


@settings(max_examples=25)
@given(drawn=uses, order=st.randoms(), cut=st.integers(0, 12))
def test_any_order_of_arrival_gives_one_state(db, drawn, order, cut):
    states = []
    for shuffled in (False, True):
        UseEntry.objects.filter(kind="reversal").delete()
        UseEntry.objects.all().delete()
        UseTally.objects.all().delete()
        Spooling.objects.all().delete()
        spooling = SpoolingFactory(on_from=BOUGHT, line=LineFactory(spooled_m=5000))
        made = batch(spooling.reel, drawn)
        if shuffled:
            order.shuffle(made)
        for part in (made[:cut], made) if not shuffled else (made, made[:cut]):
            known = {use.key for use in part}
            record_uses(uses=[u for u in part if u.reverses is None or u.reverses in known])
        line = Line.objects.get(pk=spooling.line_id)
        rule = replayed(spooling.reel)
        sums = counts(on=TODAY).get(spooling.reel.pk)
        assert line.used_m == pytest.approx(rule.cut_back_m + rule.lost_m, abs=1e-6)
        assert 0 <= line.left_m <= line.spooled_m
        turned = Spooling.objects.get(pk=spooling.pk).reversed
        assert turned == bool(rule.line_reversed % 2)
        if sums is not None:
            assert (sums.trips, sums.fish) == (rule.trips, rule.fish)
            assert sums.hours == pytest.approx(rule.hours)
        states.append((sums, line.used_m, turned))
    assert states[0] == states[1]
