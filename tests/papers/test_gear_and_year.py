"""Gear report, prep lists, season statement, almanac page."""

from dataclasses import replace
from decimal import Decimal

import pytest

from guiding.papers.almanac_page import almanac_page_pdf
from guiding.papers.gear_report import gear_report_pdf
from guiding.papers.prep_lists import prep_lists_pdf
from guiding.papers.records import PageSize, StatementRow, StatementTable, Units
from guiding.papers.season_statement import season_statement_pdf
from tests.papers import family, made, reading


def test_gear_that_cannot_wait_is_marked_in_words() -> None:
    told = reading.text(gear_report_pdf(made.gear_report()))
    assert "fit 9 · watch 2 · grounded 1" in told
    assert "P6 grounded 78 % recycle NOW 15 Jun 2026 swollen: do not charge" in told
    assert "P1 fit 95 % ± 2 retire about Mar 2027 at 80 %" in told
    assert "Flight packs (2)" in told
    assert "Flares (0) Nothing of this kind is in the books." in told


def test_prep_lists_say_by_when_and_how_many() -> None:
    told = reading.text(prep_lists_pdf(made.prep_lists()))
    assert "The evening before · by Fri 19 Jun 2026, 18:00" in told
    assert "6 × Thaw bait, kg" in told
    assert "Out Back What" in told
    assert "Back" not in reading.text(prep_lists_pdf(made.prep_lists(count_back=False))).replace(
        "count back", ""
    )


def test_an_empty_day_says_there_is_nothing_to_prepare() -> None:
    told = reading.text(prep_lists_pdf(made.prep_lists(lists=())))
    assert "There is nothing to prepare for this day." in told


def test_the_season_holds_results_months_totals_and_fish() -> None:
    told = reading.text(season_statement_pdf(made.season_statement()))
    for words in (
        "From Wednesday 1 April 2026 to Tuesday 30 June 2026.",
        "Days run of 14 sold; three called off 11",
        "May craft lost €3,600.00 €3,900.00 −€300.00",
        "June €5,200.00 – €5,200.00",
        "Total €11,200.00 €5,800.00 €5,400.00",
        "Nothing was booked under this heading.",
        "Bass 31 12",
    ):
        assert words in told


def test_amounts_that_do_not_fit_their_columns_are_refused() -> None:
    with pytest.raises(ValueError, match="has 2 amounts; it needs 1"):
        StatementTable("T", ("A",), (StatementRow("r", (Decimal(1), Decimal(2))),))


@pytest.mark.parametrize("size", list(PageSize))
def test_a_month_of_the_almanac_fits_one_page(size: PageSize) -> None:
    pages = reading.pages(family.built("almanac page", page_size=size))
    assert len(pages) == 1
    for words in (
        "Mon 1 04:18 05:03 22:00 22:45 100 − 20:30 05:30",
        "01:06 3.9 07:18 0.6 13:30 3.9 19:42 0.6 springs",
        "Sun 14: the moon rises after midnight",
        "Predictions, not for navigation.",
        "Heights above chart datum.",
    ):
        assert words in pages[0]


def test_the_almanac_in_feet() -> None:
    told = reading.text(family.built("almanac page", units=Units.IMPERIAL))
    assert "Tide, ft" in told
    assert "01:06 12.8" in told  # 3.9 m / 0.3048


def test_an_almanac_without_tide_has_no_tide_columns() -> None:
    rows = tuple(replace(row, turns=(), springs=None) for row in made.almanac_page().rows)
    told = reading.text(almanac_page_pdf(made.almanac_page(rows=rows, tide_source="")))
    assert "Tide, m" not in told
    assert "springs" not in told
