"""The fixed texts: complete in every language, used, and never mixed."""

from collections.abc import Iterator, Mapping
from dataclasses import fields, replace
from string import Formatter

import pytest

from guiding.drawings.strip import StripWords
from guiding.papers import words as words_module
from guiding.papers.cost_sheet import cost_sheet_csv
from guiding.papers.emergency_card import emergency_card_pdf
from guiding.papers.records import (
    Decision,
    FishFacts,
    MinorsFacts,
    MoneyFacts,
    PersonMedicine,
    PlanStep,
    RunPerson,
    Standing,
    Verdict,
)
from guiding.papers.words import Words
from guiding.papers.words.en_sheet import EN_SHEET
from tests.papers import family, made, reading

OTHERS = [language for language in Words.languages() if language != "en"]
EN = Words.of("en").texts


def _places(text: str) -> list[str]:
    return sorted(name for _text, name, _form, _conversion in Formatter().parse(text) if name)


def test_there_is_a_second_language() -> None:
    assert OTHERS == ["de"]


@pytest.mark.parametrize("language", OTHERS)
def test_a_language_is_complete_with_the_same_fields(language: str) -> None:
    texts = Words.of(language).texts
    assert set(texts) == set(EN)
    assert [key for key in EN if _places(texts[key]) != _places(EN[key])] == []
    assert [key for key, text in texts.items() if not text.strip()] == []


@pytest.mark.parametrize("language", OTHERS)
def test_the_strip_speaks_the_language(language: str) -> None:
    strip = Words.of(language).strip
    same = {"north", "south", "west", "wind", "tide"}  # letters and words that are alike
    english = StripWords()
    left = [
        one.name
        for one in fields(StripWords)
        if getattr(strip, one.name) == getattr(english, one.name) and one.name not in same
    ]
    assert left == []


@pytest.mark.parametrize("name", family.NAMES)
@pytest.mark.parametrize("language", OTHERS)
def test_no_english_is_left_on_a_paper(name: str, language: str) -> None:
    locale = {"de": "de_DE"}[language]
    data = family.built(name, language=language, locale=locale)
    told = reading.text(data)
    texts = Words.of(language).texts
    english = [
        text
        for key, text in EN.items()
        if len(text) > 9 and "{" not in text and texts[key] != text and text in told
    ]
    # a free text of the record may hold a word that is also a fixed one
    alike = {"at low water", "off the sand", "the deposit is kept"}
    assert [text for text in english if text not in alike] == []
    assert reading.facts(data)["language"] == locale.replace("_", "-")


def test_german_dates_money_and_strip() -> None:
    data = family.built("trip sheet", language="de", locale="de_DE")
    told = reading.text(data)
    for words in (
        "Samstag, 20. Juni 2026",
        "1.160,00 €",
        "Niedrigwasser 09:00 0,5 m",
        "2 h vor Niedrigwasser",
        "Bleiben Sie hinter den Ruten",
        "fragen Sie Ihre eigene Behörde",
        "Seite 1 von 2",
    ):
        assert words in told


def test_the_language_of_words_and_the_locale_of_figures_are_two_things() -> None:
    data = family.built("trip sheet", language="de", locale="en_IE")
    assert "Saturday 20 June 2026" in reading.text(data)
    assert reading.facts(data)["language"] == "de"


class _Noting(Mapping[str, str]):
    """Texts that note which of them were asked for."""

    def __init__(self, texts: Mapping[str, str]) -> None:
        self.texts, self.asked = texts, set[str]()

    def __getitem__(self, key: str) -> str:
        self.asked.add(key)
        return self.texts[key]

    def __iter__(self) -> Iterator[str]:
        return iter(self.texts)

    def __len__(self) -> int:
        return len(self.texts)


def test_every_text_is_printed_by_some_paper(monkeypatch: pytest.MonkeyPatch) -> None:
    noting = _Noting(EN)
    monkeypatch.setitem(
        words_module._LANGUAGES,
        "en",
        Words("en", noting, StripWords()),  # type: ignore[arg-type]
    )
    for name in family.NAMES:
        family.built(name)
    for name, changes in _VARIANTS:
        family.FAMILY[name][1](family.FAMILY[name][0](**changes))
    cost_sheet_csv(made.cost_sheet())
    emergency_card_pdf(replace(made.emergency_card(), keys=""))
    for standing in Standing:
        family.built("labels", standing=standing)
    # What fills a record in from rows is put in where the record is made, and printed there.
    by_sheets = set(EN_SHEET) | {f"form.{name}" for name in _FACTS_OF_A_SIGNATURE}
    by_sheets |= {"money.pay_ask", "money.pay_cash", "money.pay_link"}
    left = set(EN) - noting.asked - by_sheets
    assert left == set(), sorted(left)


_FACTS_OF_A_SIGNATURE = ("answer", "contact", "health", "responsible", "sheet", "witness")


_VARIANTS: tuple[tuple[str, dict[str, object]], ...] = (
    (
        "trip sheet",
        {
            "minors": made.MINORS,
            "first_names": ("Anna שלום",) * 60,
            "steps": tuple(PlanStep(made.at(hour), "step") for hour in (1, 2.8, 4, 8, 9, 10, 14)),
            "forecast_issued_at": None,
            "fish": FishFacts(limits=made.trip_sheet().fish.limits, limits_source="table"),
        },
    ),
    (
        "trip sheet",
        {
            "strip": made.strip(turns=(), cast_only="no permission"),
            "minors": MinorsFacts("Anna"),
            "money": MoneyFacts(made.Decimal(1), made.Decimal(0), made.Decimal(1)),
        },
    ),
    (
        "trip sheet",
        {
            "money": MoneyFacts(made.Decimal(1), made.Decimal(1), made.Decimal(0)),
        },
    ),
    ("run sheet", {"decision": Decision(), "people": (RunPerson("A"),), "notes": ("a",)}),
    ("run sheet", {"decision": replace(made.DECISION, verdict=Verdict.CALL_OFF)}),
    ("cost sheet", {"estimated": False}),
    ("invoice", {"due_on": None}),
    ("invoice", {"due": made.Decimal(0), "body": made.money_body("1", prices_include_tax=False)}),
    (
        "invoice",
        {
            "bank": replace(made.BANK, lines=("A bank in Marram Head",), other_ways=("Or cash.",)),
            "body": made.money_body("1", recipient=replace(made.RECIPIENT, tax_number="1")),
        },
    ),
    (
        "signed form",
        {
            "strokes": (),
            "typed_name": "A",
            "minor_name": "",
            "signed_for": "herself",
            "superseded_by": "2",
            "agreed_to_electronic": False,
        },
    ),
    ("signed form", {"strokes": (), "typed_name": "A", "on_paper": True}),
    ("briefing", {"child_names": ()}),
    ("incident report", {"closed_at": made.at(20)}),
    (
        "emergency card",
        {"emergency": replace(made.EMERGENCY, number_unconfirmed=True)},
    ),
    ("emergency card", {"minutes": "53°14.640′N 010°30.180′W", "medicines": ()}),
    (
        "emergency card",
        {"medicines": (PersonMedicine("A", "nuts", True, "inhaler", "asthma", "+353 1 555 0100"),)},
    ),
    ("prep lists", {"lists": ()}),
    ("prep lists", {"lists": (replace(made.prep_lists().lists[0], items=()),)}),
    ("almanac page", {"rows": ()}),
)
