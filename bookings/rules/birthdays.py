"""Dates of birth as people of a locale write them: read from what was typed, and shown the same."""

from __future__ import annotations

import datetime
import re
from enum import StrEnum
from typing import Literal

from babel import Locale
from babel.dates import format_date, get_date_format, get_month_names

_LONGEST = 60
_WIDTHS: tuple[Literal["wide", "abbreviated"], ...] = ("wide", "abbreviated")
_FORMS: tuple[Literal["format", "stand-alone"], ...] = ("format", "stand-alone")


class Wrong(StrEnum):
    """Why what was typed is no date: its shape, a year cut short, a day no calendar has."""

    SHAPE = "shape"
    YEAR = "year"
    DAY = "no_day"


class WrongDateError(ValueError):
    """What was typed is no date of birth; `why` says what is wrong with it."""

    def __init__(self, why: Wrong) -> None:
        super().__init__(f"This is no date: {why}.")
        self.why = why


def order_of_date(locale: str) -> str:
    """The order in which a locale writes day, month and year: 'dmy', 'mdy' or 'ymd'.

    Errors: an unknown locale. Source: the short date of CLDR, as Babel carries it.
    """
    pattern = str(get_date_format("short", locale=locale).pattern).lower()
    return "".join(sorted("dmy", key=pattern.index))


def written_date(day: datetime.date, locale: str) -> str:
    """A day as the locale writes it, with two digits for day and month and four for the year.

    Errors: an unknown locale. Source: the short date of CLDR, as Babel carries it.
    """
    pattern = str(get_date_format("short", locale=locale).pattern)
    for letter, digits in (("d", 2), ("M", 2), ("y", 4)):
        pattern = re.sub(f"{letter}+", letter * digits, pattern)
    return str(format_date(day, pattern, locale=locale))


def read_date(typed: str, locale: str) -> datetime.date:
    """The day that was typed: in the order of the locale with any signs between, or none; year
    first when it has four digits; or with the month as a word, in that language or in English.

    Errors: WrongDateError. Source: house rule; a year of two digits is refused, because a birth in
    1926 and one in 2026 are both possible.
    """
    if len(typed) > _LONGEST:
        raise WrongDateError(Wrong.SHAPE)
    words = re.findall(r"[^\W\d_]+", typed)
    numbers = re.findall(r"\d+", typed)
    if words:
        return _with_a_word(words, numbers, locale)
    order = order_of_date(locale)
    if len(numbers) == 1 and len(numbers[0]) == 8:
        numbers = _cut(numbers[0], order)
    if len(numbers) != 3:
        raise WrongDateError(Wrong.SHAPE)
    if len(numbers[0]) == 4:
        order = "ymd"
    parts = dict(zip(order, numbers, strict=True))
    return _day(parts["y"], parts["m"], parts["d"])


def _cut(digits: str, order: str) -> list[str]:
    """Eight digits without a sign between, where the locale's order says which is which."""
    if order == "ymd":
        return [digits[:4], digits[4:6], digits[6:]]
    return [digits[:2], digits[2:4], digits[4:]]


def _with_a_word(words: list[str], numbers: list[str], locale: str) -> datetime.date:
    named = [month for word in words if (month := _month(word, locale))]
    if len(named) != 1 or len(numbers) != 2:
        raise WrongDateError(Wrong.SHAPE)
    first, second = numbers
    day, year = (second, first) if len(first) == 4 else (first, second)
    return _day(year, str(named[0]), day)


def _month(word: str, locale: str) -> int:
    """The number of a month by its name or the first letters of it; 0 for another word."""
    wanted = word.casefold()
    if len(wanted) < 3:
        return 0
    for spoken in (locale, "en"):
        for width in _WIDTHS:
            for form in _FORMS:
                names = get_month_names(width, form, locale=Locale.parse(spoken))
                for number, name in names.items():
                    if wanted.rstrip(".") == str(name).casefold().rstrip("."):
                        return int(number)
    return 0


def _day(year: str, month: str, day: str) -> datetime.date:
    if len(year) != 4:
        raise WrongDateError(Wrong.YEAR)
    try:
        return datetime.date(int(year), int(month), int(day))
    except ValueError:
        raise WrongDateError(Wrong.DAY) from None
