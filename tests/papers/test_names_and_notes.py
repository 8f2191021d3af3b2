"""Names beyond Latin-1, hostile text, and text without end."""

from dataclasses import replace
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from guiding.papers.records import BriefingItem, Place, PlanStep, Recipient, RunPerson
from guiding.papers.run_sheet import run_sheet_pdf
from guiding.papers.signed_form import signed_form_pdf
from guiding.papers.trip_sheet import trip_sheet_pdf
from tests.papers import family, made, reading

GREEK, CYRILLIC, POLISH = "Παναγιώτης Άρης", "Жанна Щукина", "Łucja Żółć-Śliwińska"
MARKUP = (
    "<para>",
    "<b>bold",
    "</para>",
    "&",
    "&amp;",
    "<script>alert(1)</script>",
    "<br/>",
    "]]>",
    "<img src='x'/>",
    "<a href='https://x.example'>x</a>",
    "{title}",
    "%s",
    "<font size=99>",
)
LOST = "stands for a letter that the type of this paper does not have"


def hostile(name: str, text: str) -> bytes:
    """A paper in which every piece of free text that a person may type is `text`."""
    return family.FAMILY[name][1](_filled(family.record(name), text))


def _filled(value: Any, text: str) -> Any:
    """The record with its plain words replaced; codes, colours and hashes stay as they are."""
    from dataclasses import fields, is_dataclass

    if not is_dataclass(value):
        return value
    changes = {}
    for one in fields(value):
        was = getattr(value, one.name)
        if one.name in {"letterhead", "strip", "emergency"} or isinstance(was, str):
            changes[one.name] = _text(one.name, was, text)
        elif isinstance(was, tuple) and was and all(isinstance(part, str) for part in was):
            changes[one.name] = tuple(text for _ in was)
        elif isinstance(was, tuple) and was and is_dataclass(was[0]):
            changes[one.name] = tuple(_filled(part, text) for part in was)
        elif is_dataclass(was):
            changes[one.name] = _filled(was, text)
    return replace(value, **changes)


_KEPT = {
    "zone",
    "locale",
    "language",
    "currency",
    "page_size",
    "units",
    "iban",
    "qr_payload",
    "code",
    "text_sha256",
    "record_sha256",
    "previous_sha256",
    "verify",
    "text_language",
    "size",
    "verdict",
    "state_kind",
}


def _text(field: str, was: Any, text: str) -> Any:
    if field == "letterhead":
        return replace(was, business=_filled(was.business, text))
    if field == "strip":
        return replace(was, title=text)
    if field == "emergency":
        return _filled(was, text)
    return was if field in _KEPT or not isinstance(was, str) or type(was) is not str else text


@pytest.mark.parametrize("name", [GREEK, CYRILLIC, POLISH])
def test_names_beyond_latin_1_are_whole(name: str) -> None:
    told = reading.text(trip_sheet_pdf(made.trip_sheet(first_names=(name,), title=name)))
    assert told.count(name) >= 2
    assert LOST not in told


def test_a_decomposed_name_is_composed() -> None:
    sheet = made.trip_sheet(first_names=("Zoe\u0308",))
    assert "Zoë" in reading.text(trip_sheet_pdf(sheet))


@pytest.mark.parametrize("text", MARKUP)
def test_markup_in_a_name_is_text(text: str) -> None:
    people = (RunPerson(f"Ann {text} Bell", alerts=(text,)),)
    told = reading.squeezed(run_sheet_pdf(made.run_sheet(people=people, title=text)))
    assert "".join(f"Ann {text} Bell".split()) in told


@pytest.mark.parametrize("name", family.NAMES)
@pytest.mark.parametrize("text", ["<para><b>&", "𝔸🐟 שלום عربي", "\x00\x1b[31m\u202eabc\ud800"])
def test_every_paper_survives_hostile_text_everywhere(name: str, text: str) -> None:
    told = reading.squeezed(hostile(name, text))
    if text.startswith("<"):
        assert "<para><b>&" in told


@pytest.mark.parametrize("name", family.NAMES)
def test_every_paper_survives_a_text_without_end(name: str) -> None:
    assert reading.pages(hostile(name, "W" * 1500))


@pytest.mark.parametrize("name", family.NAMES)
def test_every_paper_survives_empty_texts(name: str) -> None:
    assert "None" not in reading.text(hostile(name, ""))


def test_ten_thousand_letters_without_a_space_are_all_there() -> None:
    sheet = made.trip_sheet(what_we_do="x" * 10_000)
    assert reading.squeezed(trip_sheet_pdf(sheet)).count("x") >= 10_000


def test_a_name_of_ten_thousand_letters_is_all_there() -> None:
    people = (RunPerson("q" * 10_000), *made.PEOPLE)
    told = reading.squeezed(run_sheet_pdf(made.run_sheet(people=people)))
    assert told.count("q") >= 10_000
    assert "ZoëŁukasiewicz" in told


def test_a_note_of_three_thousand_words_flows_over_pages() -> None:
    words = [f"word{number}" for number in range(3000)]
    pages = reading.pages(signed_form_pdf(made.signed_form(text=" ".join(words))))
    assert len(pages) > 3
    told = " ".join(pages).replace("\u00ad", "")
    missing = [word for word in words if f"{word} " not in f"{told} "]
    assert missing == []


def test_letters_the_font_lacks_are_boxes_with_a_footnote_and_can_be_copied() -> None:
    told = reading.text(trip_sheet_pdf(made.trip_sheet(first_names=("Dana שלום", "李"))))
    assert LOST in told
    assert "שלום" in told
    assert "李" in told
    assert LOST not in reading.text(trip_sheet_pdf(made.trip_sheet()))


def test_an_emoji_is_one_box_and_never_dropped() -> None:
    told = reading.text(trip_sheet_pdf(made.trip_sheet(first_names=("Fin 🐟 Fin",))))
    assert "Fin □ Fin" in told
    assert LOST in told


def test_direction_marks_cannot_turn_a_text_round() -> None:
    told = reading.text(trip_sheet_pdf(made.trip_sheet(first_names=("abc\u202edef",))))
    assert "abcdef" in told


def test_lines_of_a_note_stay_lines_and_paragraphs_paragraphs() -> None:
    told = reading.text(signed_form_pdf(made.signed_form(text="one\ntwo\r\n\r\nthree")))
    assert "one two three" in told


@settings(max_examples=25)
@given(st.text(max_size=200))
def test_any_text_builds(text: str) -> None:
    sheet = made.trip_sheet(
        title=text,
        first_names=(text,),
        meet=Place(text, text),
        steps=(PlanStep(made.at(9), text),),
    )
    assert reading.pages(trip_sheet_pdf(sheet))


def test_a_long_party_in_a_briefing_keeps_every_name() -> None:
    names = tuple(f"Person{number:02d}" for number in range(60))
    items = tuple(BriefingItem(f"Hazard {n}", controls=("one", "two")) for n in range(40))
    from guiding.papers.briefing import briefing_pdf

    pages = reading.pages(briefing_pdf(made.briefing(first_names=names, items=items)))
    told = " ".join(pages)
    assert [name for name in names if name not in told] == []
    assert [item.name for item in items if item.name not in told] == []
    assert all("What we do" in page for page in pages if "If it happens" in page)


def test_an_address_of_many_lines_stays_on_the_money_paper() -> None:
    lines = tuple(f"Line {number}" for number in range(12))
    note = made.invoice(body=replace(made.money_body("1"), recipient=Recipient("A", lines)))
    told = reading.text(family.FAMILY["invoice"][1](note))
    assert [line for line in lines if line not in told] == []
