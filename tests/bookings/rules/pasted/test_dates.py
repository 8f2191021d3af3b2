"""Days as people write them; invented letters, notations after ISO 8601 and DIN 5008."""

import datetime

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bookings.rules.pasted.dates import written_days

ON = datetime.date(2027, 3, 1)


def _days(text: str, *, day_first: bool = True) -> list[str]:
    return [each.day.isoformat() for each in written_days(text, on=ON, day_first=day_first).days]


def _doubts(text: str) -> str:
    return " ".join(written_days(text, on=ON).doubts)


@pytest.mark.parametrize(
    "text",
    [
        "2027-06-12",
        "12.06.2027",
        "12.6.2027",
        "12.6.27",
        "12. 6. 2027",
        "12 June 2027",
        "12th June 2027",
        "the 12th of June, 2027",
        "June 12, 2027",
        "June 12th 2027",
        "12. Juni 2027",
        "Samstag, 12. Juni 2027",
        "Sat 12 Jun 2027",
        "Sa., 12.06.2027",
        "13/06/2027, I mean the day before: 2027-06-12",
    ],
)
def test_one_day_in_every_notation(text: str) -> None:
    assert "2027-06-12" in _days(text)
    assert len(set(_days(text))) == (2 if "13/" in text else 1)


@pytest.mark.parametrize(
    "text",
    [
        "12-14 June 2027",
        "12th to 14th June 2027",
        "from the 12th until the 14th of June 2027",
        "between 12 and 14 June 2027",
        "June 12-14, 2027",
        "12.-14. Juni 2027",
        "vom 12. bis 14. Juni 2027",
        "vom 12. bis zum 14. Juni 2027",
        "12.–14.6.2027",
        "12.06.2027 bis 14.06.2027",
        "2027-06-12 to 2027-06-14",
    ],
)
def test_first_and_last_day(text: str) -> None:
    assert _days(text) == ["2027-06-12", "2027-06-14"]


def test_a_day_without_a_year_is_the_next_such_day_and_that_is_said() -> None:
    assert _days("12 June or 2 February") == ["2027-06-12", "2028-02-02"]
    assert "“12 June” names no year; read as 2027." in _doubts("12 June or 2 February")
    assert "“2 February” names no year; read as 2028." in _doubts("12 June or 2 February")
    assert _days("29 February") == ["2028-02-29"]


def test_a_day_that_can_be_read_in_two_ways_is_read_by_the_locale_and_that_is_said() -> None:
    assert _days("03/04/2027") == ["2027-04-03"]
    assert _days("03/04/2027", day_first=False) == ["2027-03-04"]
    sentence = "“03/04/2027” can be read in two ways; taken with the day first."
    assert _doubts("03/04/2027") == sentence
    for text in ("13/04/2027", "04/13/2027"):
        assert _days(text) == ["2027-04-13"]
        assert _doubts(text) == ""


def test_a_weekday_that_does_not_fit_is_said() -> None:
    assert "“Sunday 12 June 2027”: 12 June 2027 is a Saturday." in _doubts("Sunday 12 June 2027")
    assert _doubts("Saturday 12 June 2027") == ""
    assert _doubts("So 12 June 2027 would suit us, and so 12 June 2027 it is.") == ""


@pytest.mark.parametrize(
    "text", ["31.02.2027", "31 June 2027", "2027-13-01", "00.01.2027", "45.12.2027", "31/31/2027"]
)
def test_what_is_no_day_of_the_calendar_is_none(text: str) -> None:
    assert _days(text) == []
    assert f"“{text}” is no day of the calendar." in _doubts(text)


@pytest.mark.parametrize(
    "text",
    ["next weekend", "tomorrow", "next Saturday", "mid June", "nächstes Wochenende", "Ende Juli"],
)
def test_vague_words_are_no_day(text: str) -> None:
    assert _days(f"Could we come {text}?") == []
    assert "is no certain day: enter it yourself." in _doubts(f"Could we come {text}?")


@pytest.mark.parametrize(
    "text",
    [
        "ring 020 910 0123",
        "+353 20 910 0123",
        "it costs 12.50 or 1,250.00",
        "we may 4 or 5",
        "in March 4 people",
        "version 1.2.3.4",
        "IE12 BOFI 9000 0112 3456 78",
        "10/12 of us",
    ],
)
def test_other_numbers_are_no_day(text: str) -> None:
    assert _days(text) == []


@given(st.text(alphabet="0123456789./-– JuneJuniMaiMarchth,of bisto", max_size=60))
def test_whatever_is_typed_gives_days_or_doubts_and_never_breaks(text: str) -> None:
    for each in written_days(text, on=ON).days:
        assert text[each.start : each.end].strip()
        assert each.day.year >= 1


@given(st.dates(datetime.date(2027, 3, 1), datetime.date(2099, 12, 31)))
def test_every_day_is_read_back_from_every_notation(day: datetime.date) -> None:
    for text in (
        day.isoformat(),
        f"{day.day}.{day.month}.{day.year}",
        f"{day.day} {day:%B} {day.year}",
        f"{day:%B} {day.day}, {day.year}",
        f"{day:%A}, {day.day} {day:%b} {day.year}",
    ):
        found = written_days(text, on=ON)
        assert [each.day for each in found.days] == [day]
        assert found.doubts == ()
