"""Days written into a message, in the notations of English and German letters."""

from __future__ import annotations

import datetime
import re
from dataclasses import dataclass, replace

_MONTHS = {
    name: number
    for number, names in enumerate(
        (
            "january januar jan jänner",
            "february februar feb",
            "march märz maerz mar mär mrz",
            "april apr",
            "may mai",
            "june juni jun",
            "july juli jul",
            "august aug",
            "september sept sep",
            "october oktober oct okt",
            "november nov",
            "december dezember dec dez",
        ),
        start=1,
    )
    for name in names.split()
}
_WEEKDAYS = {
    name: number
    for number, names in enumerate(
        (
            "monday montag mon mo",
            "tuesday dienstag tue tues di",
            "wednesday mittwoch wed mi",
            "thursday donnerstag thu thur thurs do",
            "friday freitag fri fr",
            "saturday samstag sonnabend sat sa",
            "sunday sonntag sun so",
        )
    )
    for name in names.split()
}
_NAME = "|".join(sorted(_MONTHS, key=len, reverse=True))
_MONTH = rf"(?:{_NAME})\b\.?"
_NTH = r"(?:st|nd|rd|th)?\.?"
_YEAR = r"\d{4}|'?\d{2}(?!\d)"
_TO = (
    r"\s*(?:-|–|—|/|\bto\b|\band\b|\bor\b|\buntil\b|\btill\b|\bbis\b|\bund\b|\boder\b)\s*"
    r"(?:the\s+|zum\s+)?"
)
_APART = r"(?<![\w.,/+-])"  # not the tail of a number, a sum or a telephone
_END = r"(?![\d/]|[.,-]\d)"
# The two days of "12 to 14 June" or "12.-14.6." and the one of "12 June"; the same for "June 12".
_NOTATIONS = (
    re.compile(rf"{_APART}(?P<year>\d{{4}})-(?P<month>\d{{1,2}})-(?P<day>\d{{1,2}}){_END}"),
    re.compile(
        rf"{_APART}(?:(?P<first>\d{{1,2}})\.?(?:-|–|—|\s*bis\s*(?:zum\s+)?|\s*und\s*)\s*)?"
        rf"(?P<day>\d{{1,2}})\.\s?(?P<month>\d{{1,2}})\.(?:\s?(?P<year>{_YEAR}))?{_END}"
    ),
    re.compile(rf"{_APART}(?P<slash_a>\d{{1,2}})/(?P<slash_b>\d{{1,2}})/(?P<year>{_YEAR}){_END}"),
    re.compile(
        rf"{_APART}(?:(?P<first>\d{{1,2}}){_NTH}{_TO})?(?P<day>\d{{1,2}}){_NTH}\s*(?:of\s+)?"
        rf"(?P<name>{_MONTH})(?:,?\s*(?P<year>\d{{4}}))?",
        re.IGNORECASE,
    ),
    re.compile(
        rf"(?<!\w)(?!(?-i:may))(?P<name>{_MONTH})\s+(?:the\s+)?(?:(?P<first>\d{{1,2}}){_NTH}{_TO})?"
        rf"(?P<day>\d{{1,2}}){_NTH}(?!\d)(?!\s+(?:people|persons?|adults?|anglers?|of\s+us|personen|erwachsene|"
        rf"leute))(?:,?\s+(?P<year>\d{{4}}))?{_END}",
        re.IGNORECASE,
    ),
)
_LONG = "|".join(sorted((name for name in _WEEKDAYS if len(name) > 2), key=len, reverse=True))
# Two letters are a weekday with a mark behind them only: 'so' and 'do' are words as well.
_WEEKDAY_BEFORE = re.compile(
    rf"\b(?:({_LONG})\b\.?,?|((?-i:Mo|Di|Mi|Do|Fr|Sa|So))[.,]+)\s*(?:the\s+|den\s+|der\s+)?$",
    re.IGNORECASE,
)
_VAGUE = re.compile(
    r"\b(?:tomorrow|(?:this|next|coming)\s+(?:week(?:end)?|month|mon|tues|wednes|thurs|fri|satur|sun)"
    r"(?:day)?|(?:early|mid|late|end of|middle of)[\s-]+"
    rf"{_MONTH}|morgen(?=\s+(?:früh|abend|nachmittag))|übermorgen|"
    r"(?:am\s+)?(?:nächst|kommend|dies)\w*\s+(?:woche(?:nende)?|monat|\w+tag|mittwoch|sonnabend)|"
    rf"(?:anfang|mitte|ende)\s+{_MONTH})",
    re.IGNORECASE,
)


@dataclass(frozen=True, slots=True)
class WrittenDay:
    """One day that is written down, with its words, where they stand, and what is in doubt."""

    day: datetime.date
    words: str
    start: int
    end: int
    doubt: str = ""


@dataclass(frozen=True, slots=True)
class WrittenDays:
    """All days of a message, in their order, and the words that name no certain day."""

    days: tuple[WrittenDay, ...]
    doubts: tuple[str, ...]


def written_days(text: str, *, on: datetime.date, day_first: bool = True) -> WrittenDays:
    """The days written in `text`, as they are meant on the day `on`.

    A day without a year is the next such day from `on` on. `day_first` says how 03/04/2027 is read;
    ISO 8601 and the German notation leave no choice. What is no day of the calendar, and words such
    as 'next weekend', are no day but a doubt, and so is a weekday that does not fit. Source of the
    notations: ISO 8601, DIN 5008, common practice.
    """
    days: list[WrittenDay] = []
    doubts: list[str] = []
    taken: list[tuple[int, int]] = []
    for notation in _NOTATIONS:
        for match in notation.finditer(text):
            if any(match.start() < end and start < match.end() for start, end in taken):
                continue
            taken.append(match.span())
            found = _days_of(match, on, day_first)
            if not found:
                doubts.append(f"“{_words(match)}” is no day of the calendar.")
            days += found
    for vague in _VAGUE.finditer(text):
        if not any(vague.start() < end and start < vague.end() for start, end in taken):
            doubts.append(f"“{_words(vague)}” is no certain day: enter it yourself.")
    days.sort(key=lambda each: (each.start, each.day))
    doubts += [each.doubt for each in days if each.doubt]
    return WrittenDays(tuple(days), tuple(dict.fromkeys(doubts)))


def _words(match: re.Match[str]) -> str:
    return " ".join(match.group().split()).rstrip(",")


def _days_of(match: re.Match[str], on: datetime.date, day_first: bool) -> list[WrittenDay]:
    """One day or two, or none where the calendar has no such day."""
    parts, words = match.groupdict(), _words(match)
    month, last, doubt = _month_and_day(parts, day_first, words)
    numbers = [int(parts["first"])] if parts.get("first") else []
    year = _year(parts.get("year"))
    found = []
    for number in [*numbers, last]:
        try:
            day = _near(year, month, number, on)
        except ValueError:
            return []
        found.append(WrittenDay(day, words, *match.span(), doubt))
    if year is None and not doubt:
        found = [
            replace(each, doubt=f"“{words}” names no year; read as {each.day.year}.")
            for each in found
        ]
    return _weekday_judged(match, found)


def _month_and_day(
    parts: dict[str, str | None], day_first: bool, words: str
) -> tuple[int, int, str]:
    if parts.get("name"):
        return _MONTHS[str(parts["name"]).lower().rstrip(".")], int(parts["day"] or 0), ""
    if parts.get("slash_a") is None:
        return int(parts["month"] or 0), int(parts["day"] or 0), ""
    a, b = int(parts["slash_a"] or 0), int(parts["slash_b"] or 0)
    if a > 12 or b > 12 or a == b:  # only one reading has a month in it
        return (a, b, "") if b > 12 else (b, a, "")
    which = "the day" if day_first else "the month"
    month, day = (b, a) if day_first else (a, b)
    return month, day, f"“{words}” can be read in two ways; taken with {which} first."


def _year(typed: str | None) -> int | None:
    if not typed:
        return None
    digits = typed.lstrip("'")
    return int(digits) if len(digits) == 4 else 2000 + int(digits)


def _near(year: int | None, month: int, day: int, on: datetime.date) -> datetime.date:
    """The day in its year, else the next from `on` on; ValueError where there is none."""
    if year is not None:
        return datetime.date(year, month, day)
    for later in range(9):  # 29 February may be eight years away
        try:
            found = datetime.date(on.year + later, month, day)
        except ValueError:
            continue
        if found >= on:
            return found
    raise ValueError("No year has such a day.")


def _weekday_judged(match: re.Match[str], found: list[WrittenDay]) -> list[WrittenDay]:
    """A weekday before the first day must be the weekday of that day."""
    before = _WEEKDAY_BEFORE.search(match.string[: match.start()])
    if before is None or not found:
        return found
    first, weekday = found[0], before[1] or before[2]
    if first.day.weekday() == _WEEKDAYS[weekday.lower()]:
        return found
    doubt = (
        f"“{weekday} {first.words}”: {first.day.day} {first.day:%B} {first.day.year} is a "
        f"{first.day:%A}."
    )
    return [replace(first, doubt=doubt), *found[1:]]
