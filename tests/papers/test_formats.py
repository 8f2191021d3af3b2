"""How a paper writes numbers, clocks and sentences."""

import re
from dataclasses import replace
from decimal import Decimal
from types import SimpleNamespace

import pytest
from babel import Locale

from guiding.drawings.strip import strip_rows
from guiding.papers.formats import Formats, clock, clock_halves
from guiding.papers.run_sheet import run_sheet_pdf
from guiding.papers.sea_day import SeaDay
from guiding.papers.setting import Typesetter
from guiding.papers.trip_sheet import trip_sheet_pdf
from guiding.safety.rules.hazards import fired_hazards
from guiding.templatetags.desk import Manner
from tests.factories_safety import shipped_library
from tests.papers import family, made, reading
from tests.safety import made_trips


def formats(locale: str) -> Formats:
    return Formats(replace(made.LETTERHEAD, locale=locale))


@pytest.mark.parametrize("locale", ["en_IE", "de_DE", "en_US"])
def test_a_number_below_nought_has_a_true_minus_on_paper_and_on_pages(locale: str) -> None:
    shape = formats(locale)
    page = Manner.of(SimpleNamespace(locale=locale, currency="EUR", zone="UTC", units="metric"))
    told = [
        shape.number(-3),
        shape.number(-3.25, 1),
        shape.height(-0.4),
        shape.share(Decimal("-0.125"), 1),
        shape.money(Decimal(-12)),
        page.decimal(-3.25, 1),
        page.decimal(-3),
    ]
    assert all("\u2212" in text for text in told)
    assert not any("-" in text for text in told)
    assert "\u2212" not in shape.number(-0.01, 1), "no minus before nothing"


def test_what_fired_a_hazard_has_a_true_minus_as_well() -> None:
    facts = made_trips.facts_of({"air_c": -4.0})
    (chill,) = (one for one in fired_hazards(facts, shipped_library()) if one.key == "chill")
    assert chill.trigger == "feels like \u22124 °C"


def test_a_value_that_ends_like_a_sentence_brings_no_second_full_stop() -> None:
    strip = made.strip(tide_note="Invented constants. Heights above chart datum.")
    told = reading.text(run_sheet_pdf(made.run_sheet(strip=strip)))
    told += reading.text(trip_sheet_pdf(made.trip_sheet(strip=strip, tide_source="")))
    assert told.count("Heights above chart datum.") >= 2
    assert "datum.." not in told
    assert formats("en_IE").word("trip.tide_source", source="and so on...").endswith("on....")


@pytest.mark.parametrize("locale", ["en_US", "en_AU", "en_IE"])
def test_text_and_strip_of_a_paper_read_one_clock(locale: str) -> None:
    setter = Typesetter(replace(made.LETTERHEAD, locale=locale))
    sea = SeaDay(setter, made.strip())
    words = " ".join(f"{row.time} {row.value}" for row in strip_rows(sea.facts))
    at = setter.time(made.at(9.5)).replace("\u202f", " ")
    halves = clock_halves(locale)
    assert at == clock(made.at(9.5), setter.zone, Locale.parse(locale)).replace("\u202f", " ")
    if halves is None:
        assert not re.search(r"\d [ap]\.?m", words, re.IGNORECASE)
    else:
        assert at.endswith(halves)
        named = set(re.findall(r"\d:\d\d ([A-Za-z.]+)", words))
        assert named <= set(halves)
        assert named
    told = reading.text(family.built("run sheet", locale=locale)).replace("\u202f", " ")
    if halves:
        other = "AM" if halves[0] == "am" else "am"
        assert not re.search(rf"\d {other}\b", told)
