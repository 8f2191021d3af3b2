"""Fish against the rules of their species, and their sums. All limits are invented."""

from __future__ import annotations

import datetime
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from guiding.days.rules.catch import (
    Fault,
    Fish,
    SpeciesLimits,
    catch_findings,
    catch_sums,
)
from guiding.days.rules.seasons import ShutDates

DAY = datetime.date(2026, 6, 13)
CHECKED = datetime.date(2026, 5, 1)
SPRING = ShutDates(datetime.date(2000, 2, 1), datetime.date(2000, 3, 31), True, "closed season")

_days = st.dates(datetime.date(2026, 1, 1), datetime.date(2026, 12, 31))


@st.composite
def limits(draw: st.DrawFn) -> SpeciesLimits:
    least = draw(st.none() | st.integers(100, 900))
    most = draw(st.none() | st.integers(least or 100, 1500))
    return SpeciesLimits(
        least_mm=least,
        most_mm=most,
        bag=draw(st.none() | st.integers(0, 4)),
        closed=draw(st.none() | st.just(SPRING)),
        protected=draw(st.booleans()),
        checked_on=CHECKED,
    )


@st.composite
def catches(draw: st.DrawFn) -> list[Fish]:
    found = []
    for number in range(draw(st.integers(0, 8))):
        length_mm = draw(st.none() | st.integers(50, 1600))
        found.append(
            Fish(
                number=number,
                species=draw(st.integers(1, 2)),
                day=draw(_days),
                count=1 if length_mm else draw(st.integers(1, 4)),
                kept=draw(st.booleans()),
                length_mm=length_mm,
                person=draw(st.none() | st.integers(1, 2)),
            )
        )
    return found


def found(fish: list[Fish], rule: SpeciesLimits, *, anglers: int = 1, on: datetime.date = DAY):
    return catch_findings(fish=fish, limits={1: rule}, anglers=anglers, on=on)


def kept(**facts: object) -> Fish:
    return Fish(**({"number": 1, "species": 1, "day": DAY, "kept": True} | facts))  # type: ignore[arg-type]


@given(catches(), limits(), st.integers(0, 5))
def test_released_fish_are_never_found_fault_with(
    fish: list[Fish], rule: SpeciesLimits, anglers: int
) -> None:
    released = [replace(one, kept=False) for one in fish]
    assert found(released, rule, anglers=anglers) == ()
    told = {number for one in found(fish, rule, anglers=anglers) for number in one.numbers}
    assert told <= {one.number for one in fish if one.kept}


@given(catches(), limits(), st.integers(1, 5), st.randoms())
def test_the_order_of_entries_does_not_matter(
    fish: list[Fish], rule: SpeciesLimits, anglers: int, dice: object
) -> None:
    other = list(fish)
    dice.shuffle(other)  # type: ignore[attr-defined]
    assert set(found(fish, rule, anglers=anglers)) == set(found(other, rule, anglers=anglers))
    assert catch_sums(fish) == catch_sums(other)


@given(catches(), limits(), st.integers(1, 5))
def test_every_size_bag_and_season_that_is_broken_is_found_and_no_other(
    fish: list[Fish], rule: SpeciesLimits, anglers: int
) -> None:
    findings = [one for one in found(fish, rule, anglers=anglers) if one.species == 1]
    mine = [one for one in fish if one.species == 1 and one.kept]

    def numbers(fault: Fault) -> set[int]:
        return {number for one in findings if one.fault is fault for number in one.numbers}

    short = {
        x.number for x in mine if rule.least_mm and x.length_mm and x.length_mm < rule.least_mm
    }
    long = {x.number for x in mine if rule.most_mm and x.length_mm and x.length_mm > rule.most_mm}
    shut = {x.number for x in mine if rule.closed and x.day.month in {2, 3}}
    assert numbers(Fault.UNDER_SIZE) == short
    assert numbers(Fault.OVER_SIZE) == long
    assert numbers(Fault.CLOSED) == shut
    assert numbers(Fault.PROTECTED) == ({x.number for x in mine} if rule.protected else set())
    broken = False
    if rule.bag is not None:
        for day in {x.day for x in mine}:
            of_day = [x for x in mine if x.day == day]
            broken |= sum(x.count for x in of_day) > rule.bag * anglers
            for person in (1, 2):
                broken |= sum(x.count for x in of_day if x.person == person) > rule.bag
    assert bool(numbers(Fault.OVER_BAG)) == broken
    for one in findings:
        if one.fault in {Fault.OVER_BAG, Fault.OVER_SIZE}:
            assert (one.value or 0) > (one.limit or 0)
        if one.fault is Fault.UNDER_SIZE:
            assert (one.value or 0) < (one.limit or 0)


@given(catches(), limits(), st.integers(1, 5))
def test_one_fish_more_that_is_kept_makes_nothing_good(
    fish: list[Fish], rule: SpeciesLimits, anglers: int
) -> None:
    more = [*fish, kept(number=99, person=1)]
    before = {one.fault for one in found(fish, rule, anglers=anglers)}
    assert before <= {one.fault for one in found(more, rule, anglers=anglers)}


@given(catches())
def test_sums_add_up_to_what_was_landed(fish: list[Fish]) -> None:
    sums = catch_sums(fish)
    assert sum(one.count for one in sums) == sum(one.count for one in fish)
    assert all(one.kept + one.released == one.count for one in sums)
    assert sum(one.kept for one in sums) == sum(one.count for one in fish if one.kept)
    assert sum(len(one.lengths_mm) for one in sums) == sum(1 for one in fish if one.length_mm)
    assert [one.count for one in sums] == sorted((one.count for one in sums), reverse=True)


def test_a_fish_of_just_the_size_may_be_kept_and_a_millimetre_less_may_not() -> None:
    rule = SpeciesLimits(least_mm=440, checked_on=CHECKED)
    assert found([kept(length_mm=440)], rule) == ()
    (one,) = found([kept(length_mm=439)], rule)
    assert (one.fault, one.value, one.limit, one.stops) == (Fault.UNDER_SIZE, 439, 440, True)


def test_a_bag_is_counted_for_each_person_and_for_all_together() -> None:
    rule = SpeciesLimits(bag=2, checked_on=CHECKED)
    mine = [kept(number=n, person=7) for n in (1, 2, 3)]
    (one,) = found(mine, rule, anglers=4)
    assert (one.value, one.limit, one.person, one.numbers) == (3, 2, 7, (1, 2, 3))
    nobodys = [kept(count=8), kept(number=2)]
    (all_of_them,) = found(nobodys, rule, anglers=4)
    assert (all_of_them.value, all_of_them.limit, all_of_them.persons) == (9, 8, 4)
    assert found(nobodys[:1], rule, anglers=4) == ()
    on_two_days = [kept(count=2), kept(number=2, count=2, day=DAY + datetime.timedelta(days=1))]
    assert found(on_two_days, rule) == ()


def test_what_is_not_known_not_measured_or_old_is_a_caution() -> None:
    assert [x.fault for x in found([kept()], SpeciesLimits())] == [Fault.NOT_KNOWN]
    rule = SpeciesLimits(least_mm=440, checked_on=CHECKED)
    assert [x.fault for x in found([kept()], rule)] == [Fault.NOT_MEASURED]
    year_on = CHECKED + datetime.timedelta(days=365)
    good = [kept(length_mm=500)]
    assert found(good, rule, on=year_on) == ()
    (old,) = found(good, rule, on=year_on + datetime.timedelta(days=1))
    assert (old.fault, old.stops) == (Fault.OLD, False)


@pytest.mark.parametrize("facts", [{"count": 0}, {"count": 2, "length_mm": 300}])
def test_entries_that_cannot_be_are_refused(facts: dict[str, int]) -> None:
    with pytest.raises(ValueError, match="fish"):
        kept(**facts)


def test_limits_that_exclude_each_other_are_refused() -> None:
    with pytest.raises(ValueError, match="below"):
        SpeciesLimits(least_mm=500, most_mm=400)
    with pytest.raises(ValueError, match="cannot be"):
        SpeciesLimits(bag=-1)
