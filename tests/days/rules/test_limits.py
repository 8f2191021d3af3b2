"""Limits against figures: the worst hour, the part of the compass, the words."""

from __future__ import annotations

from datetime import UTC, datetime

import pytest
from hypothesis import given
from hypothesis import strategies as st

from guiding.days.rules.limits import (
    Held,
    Scope,
    Verdict,
    Whose,
    WindPart,
    hours_told,
    in_wind_part,
    wind_stop_at,
    worst_finding,
)


def at(hour: int) -> datetime:
    return datetime(2026, 6, 13, hour, tzinfo=UTC)


def finding(*figures: Held, beyond: bool = False):  # type: ignore[no-untyped-def]
    return worst_finding(
        key="waves", what="Waves", whose=Whose.SPOT, scope=Scope.DAY, unit="m",
        figures=figures, zone="Europe/Dublin", beyond=beyond,
    )  # fmt: skip


@pytest.mark.parametrize(
    ("value", "verdict", "limit"),
    [
        (1.49, Verdict.GO, 2.5),
        (1.5, Verdict.CAUTION, 1.5),
        (2.49, Verdict.CAUTION, 1.5),
        (2.5, Verdict.STOP, 2.5),
        (9.0, Verdict.STOP, 2.5),
    ],
)
def test_a_limit_is_reached_at_its_own_number(value: float, verdict: Verdict, limit: float) -> None:
    found = finding(Held(at(6), value, 1.5, 2.5))
    assert found is not None
    assert (found.verdict, found.value, found.limit, found.at) == (verdict, value, limit, at(6))


def test_a_craft_may_fly_at_its_limit_and_not_beyond() -> None:
    assert finding(Held(at(6), 7.2, None, 7.2), beyond=True).verdict is Verdict.GO
    assert finding(Held(at(6), 7.21, None, 7.2), beyond=True).verdict is Verdict.STOP


def test_the_worst_hour_is_named_and_the_hours_it_lasts() -> None:
    figures = [Held(at(h), v, 1.5, 2.5) for h, v in ((5, 1.0), (6, 2.6), (7, 3.1), (8, 2.5))]
    found = finding(*figures)
    assert (found.value, found.at) == (3.1, at(7))
    assert found.note == "07:00 to 09:00"


def test_a_lower_wind_over_a_lower_limit_is_worse_than_a_higher_one_within_its_own() -> None:
    found = finding(Held(at(6), 9.0, 11.2, 14.0), Held(at(7), 8.0, 5.6, 7.0, "on to the rocks"))
    assert (found.value, found.limit, found.verdict) == (8.0, 7.0, Verdict.STOP)
    assert "on to the rocks" in found.note


def test_nothing_known_gives_no_finding() -> None:
    assert finding() is None


@pytest.mark.parametrize(
    ("wind_from_deg", "inside"),
    [(240, True), (300, True), (270, True), (239.9, False), (10, False)],
)
def test_a_part_of_the_compass(wind_from_deg: float, inside: bool) -> None:
    assert in_wind_part(wind_from_deg, 240, 300) is inside


@pytest.mark.parametrize(
    ("wind_from_deg", "inside"), [(350, True), (0, True), (360, True), (20, True), (21, False)]
)
def test_a_part_that_runs_over_north(wind_from_deg: float, inside: bool) -> None:
    assert in_wind_part(wind_from_deg, 330, 20) is inside


def test_all_round_is_all_round() -> None:
    assert in_wind_part(123, 0, 360)


@given(st.floats(0, 359.9), st.floats(0, 359.9), st.floats(0, 359.9))
def test_a_wind_is_in_a_part_or_in_what_is_left(wind: float, start: float, end: float) -> None:
    if start != end:
        assert in_wind_part(wind, start, end) or in_wind_part(wind, end, start)


def test_a_bearing_that_is_none_is_refused() -> None:
    with pytest.raises(ValueError, match="no bearing"):
        in_wind_part(361, 0, 90)


def test_the_wind_is_held_against_the_lowest_limit_of_where_it_comes_from() -> None:
    parts = (WindPart(240, 300, 9.0, "surf"), WindPart(260, 280, 7.0, "spray"))
    assert wind_stop_at(270, 14, parts) == (7.0, "limit from 260° to 280°: spray")
    assert wind_stop_at(245, 14, parts) == (9.0, "limit from 240° to 300°: surf")
    assert wind_stop_at(90, 14, parts) == (14, "")


def test_an_unknown_direction_takes_the_lowest_limit_of_all() -> None:
    assert wind_stop_at(None, 14, (WindPart(0, 90, 8.0),))[0] == 8.0
    assert wind_stop_at(None, 6, (WindPart(0, 90, 8.0),)) == (6, "")


def test_hours_are_told_in_local_time_with_their_gaps() -> None:
    told = hours_told([at(5), at(6), at(7), at(10)], "Europe/Dublin")
    assert told == "06:00 to 08:00, 11:00"
    with pytest.raises(ValueError, match="no hour"):
        hours_told([], "UTC")
