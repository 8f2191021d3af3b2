"""The almanac of a place: one date, and the same dates in a year."""

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta

import pytest

from guiding.almanac.day import Almanac
from guiding.almanac.tide import Constituent, HarmonicTide, TableTide, TideStrength

TIDE = HarmonicTide(
    "Invented constants",
    (Constituent("M2", 1.34, 318.0), Constituent("S2", 0.40, 357.0), Constituent("K1", 0.1, 172)),
    z0_m=2.4,
    mean_range_m=2.7,
)
PLACE = Almanac(53.3, -6.1, "Europe/Dublin", TIDE)


def test_a_day_holds_light_turns_and_the_curve_from_midnight_to_midnight() -> None:
    found = PLACE.day(date(2026, 5, 16), step_min=30)
    assert found.tide is not None
    assert found.tide_why == ""
    assert found.light.sunrise is not None
    assert found.tide.turns == TIDE.turns(found.light.start, found.light.end)
    curve = found.tide.curve
    assert len(curve) == 49
    assert (curve[0].at, curve[-1].at) == (found.light.start, found.light.end)
    for point in curve:
        assert point.height_m == pytest.approx(TIDE.height_m(point.at), abs=0.001)


@pytest.mark.parametrize(
    ("day", "hours"), [(date(2026, 3, 29), 23), (date(2026, 10, 25), 25), (date(2028, 2, 29), 24)]
)
def test_short_long_and_leap_days_are_covered_whole(day: date, hours: int) -> None:
    found = PLACE.day(day, step_min=60)
    assert found.tide is not None
    assert len(found.tide.curve) == hours + 1
    assert found.tide.covered.length_min == hours * 60


def test_a_year_says_the_same_as_its_days() -> None:
    year = PLACE.year(2028)
    assert len(year) == 366
    assert [found.day for found in year] == [date(2028, 1, 1) + timedelta(i) for i in range(366)]
    for found in year[::61]:
        alone = PLACE.day(found.day)
        assert found.tide is not None
        assert alone.tide is not None
        assert len(found.tide.turns) == len(alone.tide.turns)
        for ours, other in zip(found.tide.turns, alone.tide.turns, strict=True):
            assert ours.kind is other.kind
            assert abs((ours.at - other.at).total_seconds()) <= 1
            assert ours.height_m == pytest.approx(other.height_m, abs=0.001)
        assert found.tide.strength is alone.tide.strength
        assert found.tide.curve == ()
    every_turn = [turn for found in year if found.tide for turn in found.tide.turns]
    assert every_turn == list(TIDE.turns(year[0].light.start, year[-1].light.end))


def test_springs_and_neaps_follow_the_moon() -> None:
    month = PLACE.days(date(2026, 5, 1), date(2026, 5, 31))
    strengths = [found.tide.strength for found in month if found.tide]
    assert {TideStrength.SPRINGS, TideStrength.NEAPS} <= set(strengths)
    first_half = strengths[:15]
    assert first_half.index(TideStrength.SPRINGS) < first_half.index(TideStrength.NEAPS)
    unknown = replace(PLACE, tide=replace(TIDE, mean_range_m=None)).day(date(2026, 5, 1))
    assert unknown.tide is not None
    assert unknown.tide.strength is None
    assert unknown.tide.range_m is not None


def test_a_place_without_a_tide_source_says_so() -> None:
    found = replace(PLACE, tide=None).day(date(2026, 5, 16))
    assert found.tide is None
    assert found.tide_why == "the place has no tide source"
    assert replace(PLACE, tide=None).tide_on(date(2026, 5, 16)) is None


def test_days_at_and_beyond_the_end_of_a_table() -> None:
    """The table ends on the evening of 31 December: that day in part, the next not at all."""
    end = datetime(2026, 12, 31, 20, tzinfo=UTC)
    table = TableTide("Harbour table 2026", TIDE.turns(end - timedelta(days=10), end))
    place = replace(PLACE, tide=table)
    inside, last, beyond = place.days(date(2026, 12, 30), date(2027, 1, 1), step_min=60)
    assert inside.tide_why == ""
    assert last.tide is not None
    assert last.tide.covered.end == table.valid_until
    assert last.tide.curve[-1].at == table.valid_until
    assert beyond.tide is None
    for found in (last, beyond):
        assert found.tide_why.startswith("Harbour table 2026 covers 2026-12-2")
        assert found.tide_why.endswith(f"{table.valid_until:%Y-%m-%d %H:%M} UTC")


def test_refuses_a_step_and_a_run_of_days_that_cannot_be() -> None:
    with pytest.raises(ValueError, match="not between 1 and 240"):
        PLACE.day(date(2026, 5, 16), step_min=0)
    with pytest.raises(ValueError, match="before the first day"):
        PLACE.days(date(2026, 5, 16), date(2026, 5, 15))
