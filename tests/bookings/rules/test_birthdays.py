"""Dates of birth in the order of the reader's locale; what could mean two days is never guessed."""

from __future__ import annotations

import datetime

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bookings.rules.birthdays import (
    Wrong,
    WrongDateError,
    order_of_date,
    read_date,
    written_date,
)

APRIL_5 = datetime.date(1961, 4, 5)


# The orders are those of the short date of CLDR, as published for each locale.
@pytest.mark.parametrize(
    ("locale", "order", "written"),
    [
        ("en_IE", "dmy", "05/04/1961"),
        ("en_GB", "dmy", "05/04/1961"),
        ("en_NZ", "dmy", "05/04/1961"),
        ("en_US", "mdy", "04/05/1961"),
        ("en_ZA", "ymd", "1961/04/05"),
        ("de_DE", "dmy", "05.04.1961"),
        ("sv_SE", "ymd", "1961-04-05"),
    ],
)
def test_a_day_is_written_and_read_in_the_order_of_the_locale(
    locale: str, order: str, written: str
) -> None:
    assert order_of_date(locale) == order
    assert written_date(APRIL_5, locale) == written
    assert read_date(written, locale) == APRIL_5


@pytest.mark.parametrize(
    "typed",
    [
        *("5/4/1961", "05.04.1961", "5. 4. 1961", "5-4-1961", " 5 4 1961 ", "05041961"),
        *("1961-04-05", "1961/4/5", "5 April 1961", "5 Apr 1961", "April 5, 1961", "1961 apr 5"),
    ],
)
def test_many_hands_write_one_day(typed: str) -> None:
    assert read_date(typed, "en_IE") == APRIL_5


def test_months_are_read_in_the_language_of_the_page() -> None:
    assert read_date("5. März 1961", "de_DE") == datetime.date(1961, 3, 5)
    assert read_date("5. Okt. 1961", "de_DE") == datetime.date(1961, 10, 5)


@pytest.mark.parametrize(
    ("typed", "why"),
    [
        ("5/4/61", Wrong.YEAR),
        ("5 April 61", Wrong.YEAR),
        ("30/02/1980", Wrong.DAY),
        ("13/31/1980", Wrong.DAY),
        ("05/13/1980", Wrong.DAY),
        ("0/0/0000", Wrong.DAY),
        ("1980", Wrong.SHAPE),
        ("soon", Wrong.SHAPE),
        ("5 ma 1980", Wrong.SHAPE),
        ("5 April May 1980", Wrong.SHAPE),
        ("9" * 5000, Wrong.SHAPE),
    ],
)
def test_what_is_no_day_says_why(typed: str, why: Wrong) -> None:
    with pytest.raises(WrongDateError) as refusal:
        read_date(typed, "en_IE")
    assert refusal.value.why == why


@given(
    st.dates(datetime.date(1900, 1, 1), datetime.date(2030, 1, 1)),
    st.sampled_from(["en_IE", "en_US", "en_ZA", "en_AU", "de_DE", "de_CH", "fr_FR", "sv_SE"]),
)
def test_what_is_shown_is_read_again(day: datetime.date, locale: str) -> None:
    assert read_date(written_date(day, locale), locale) == day
