"""Dates on which a spot is shut."""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from guiding.days.rules.seasons import ShutDates, falls_in, shut_because


def test_once_is_once() -> None:
    works = ShutDates(date(2026, 5, 1), date(2026, 5, 3), False, "works on the slip")
    days = [date(2026, 4, 30) + timedelta(days=n) for n in range(5)]
    assert [falls_in(day, works) for day in days] == [False, True, True, True, False]
    assert not falls_in(date(2027, 5, 2), works)


def test_a_season_comes_back_every_year() -> None:
    nests = ShutDates(date(2020, 4, 1), date(2020, 7, 31), True, "nests")
    assert falls_in(date(2031, 7, 31), nests)
    assert not falls_in(date(2031, 8, 1), nests)


def test_a_season_runs_over_new_year() -> None:
    winter = ShutDates(date(2026, 10, 1), date(2026, 3, 31), True, "road shut")
    assert falls_in(date(2026, 12, 31), winter)
    assert falls_in(date(2027, 1, 1), winter)
    assert not falls_in(date(2027, 4, 1), winter)


def test_a_leap_day_lies_between_its_neighbours() -> None:
    assert falls_in(date(2028, 2, 29), ShutDates(date(2026, 2, 1), date(2026, 3, 5), True, "x"))
    assert not falls_in(date(2028, 2, 29), ShutDates(date(2026, 3, 1), date(2026, 3, 5), True, "x"))


def test_dates_in_the_wrong_order_are_refused_where_they_do_not_come_back() -> None:
    with pytest.raises(ValueError, match="exchange the two"):
        ShutDates(date(2026, 5, 3), date(2026, 5, 1), False, "x")


def test_reasons_are_told_together() -> None:
    both = tuple(ShutDates(date(2026, 5, 1), date(2026, 5, 3), False, why) for why in ("a", "b"))
    assert shut_because(date(2026, 5, 2), both) == "a; b"
    assert shut_because(date(2026, 6, 2), both) == ""


@given(st.dates(date(2021, 1, 1), date(2021, 12, 31)), st.integers(1, 12), st.integers(1, 12))
def test_a_season_and_the_rest_of_the_year_never_overlap(day: date, first: int, last: int) -> None:
    shut = ShutDates(date(2021, first, 2), date(2021, last, 20), True, "x")
    day_after, day_before = date(2021, last, 21), date(2021, first, 1)
    rest = ShutDates(day_after, day_before, True, "y")
    assert falls_in(day, shut) != falls_in(day, rest)
