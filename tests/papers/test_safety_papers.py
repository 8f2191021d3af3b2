"""Briefing, emergency card and signed form."""

from dataclasses import replace

import pytest

from guiding.papers.briefing import briefing_pdf
from guiding.papers.emergency_card import emergency_card_pdf
from guiding.papers.records import CardSize, EmergencyFacts, PersonMedicine, RiskMatrix
from guiding.papers.signed_form import signed_form_pdf
from tests.papers import made, reading


def test_a_briefing_says_rules_hazards_lines_and_who_heard() -> None:
    told = reading.text(briefing_pdf(made.briefing()))
    for words in (
        "Stay behind the rods unless the guide walks with you.",
        "1. Surge on the beach swell 0.9 m at 11 s",
        "3 × 5 = 15, high with what we do 2 × 4 = 8, medium",
        "“Nobody walks below the rods without me.”",
        "If it happens: Float, throw line, nobody swims in, beacon.",
        "Heard and repeated by",
        "Zoë",
        "5 almost certain 5 medium 10 medium 15 high",
        "check with your own authority",
    ):
        assert words in told


def test_what_is_quoted_stands_in_the_marks_of_the_language() -> None:
    german = replace(made.LETTERHEAD, language="de", locale="de_DE")
    told = reading.text(briefing_pdf(made.briefing(letterhead=german)))
    assert "„Nobody walks below the rods without me.“" in told
    assert "”" not in told
    form = made.signed_form()
    assert f"“{form.intent}”" in reading.text(signed_form_pdf(form))
    told = reading.text(signed_form_pdf(replace(form, letterhead=german)))
    assert f"„{form.intent}“" in told
    assert "”" not in told


def test_the_briefing_is_read_from_its_first_page_and_the_children_have_their_own() -> None:
    pages = reading.pages(briefing_pdf(made.briefing()))
    for words in ("To be read aloud, about 2.5 min", "When we arrive I count 6 of you."):
        assert words in pages[0]
    assert "For Ciara, Zoë" in pages[-1]
    assert "Lost? Sit by the truck." in pages[-1]
    assert not any("Lost? Sit by" in page for page in pages[:-1])
    alone = reading.pages(briefing_pdf(made.briefing(child_lines=(), child_names=())))
    assert len(alone) == len(pages) - 1


def test_a_guides_own_rules_replace_the_standard_ones() -> None:
    told = reading.text(briefing_pdf(made.briefing(rules=("One.", "Two.", "Three."))))
    assert "1. One. 2. Two. 3. Three." in told
    assert "Stay behind the rods" not in told


def test_a_matrix_that_does_not_fit_its_words_is_refused() -> None:
    with pytest.raises(ValueError, match="one row of bands a likelihood"):
        RiskMatrix(("rare",), ("minor", "major"), (("low",),))


LONG = replace(
    made.EMERGENCY,
    access="along the wall, " * 40,
    beacon="in the box " * 40,
    hospital="Westport Road Hospital (invented) " * 10,
    steps=("Stop and think before you move. " * 9,) * 7,
)
MEDICINES = (
    PersonMedicine("Ciara Byrne", allergy="wasp stings", injector=True, call="+353 87 555 0123"),
    PersonMedicine("Tom Reed", medicine="insulin, front pocket", more="a new knee"),
)


@pytest.mark.parametrize("facts", [made.EMERGENCY, LONG], ids=["usual", "long"])
@pytest.mark.parametrize(
    ("size", "sides_mm"), [(CardSize.A6, [105, 148]), (CardSize.SHEET, [210, 297])]
)
def test_the_card_is_one_page(size: CardSize, sides_mm: list[int], facts: EmergencyFacts) -> None:
    import pikepdf

    card = made.emergency_card(size=size, emergency=facts, vehicle="grey pick-up " * 30)
    with pikepdf.open(reading.BytesIO(emergency_card_pdf(card))) as pdf:
        sizes = [[round(float(x) / 72 * 25.4) for x in page.mediabox] for page in pdf.pages]
    assert sizes == [[0, 0, *sides_mm]]


@pytest.mark.parametrize("size", list(CardSize))
def test_the_card_stays_readable_printed_in_black(size: CardSize) -> None:
    """Every fill is white, or dark enough on white: 4.5 to 1, WCAG 2.2 success criterion 1.4.3."""
    contrasts = _contrasts_on_white(emergency_card_pdf(made.emergency_card(size=size)))
    assert 21.0 in contrasts
    assert not [share for share in contrasts if 1.0 < share < 4.5]


def _contrasts_on_white(data: bytes) -> set[float]:
    """The contrast to white of every fill colour, by the formula of WCAG 2.2."""
    import pikepdf

    with pikepdf.open(reading.BytesIO(data)) as pdf:
        fills = {
            tuple(float(part) for part in command.operands)
            for page in pdf.pages
            for command in pikepdf.parse_content_stream(page)
            if str(command.operator) == "rg"
        }
    linear = [
        [part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in fill]
        for fill in fills
    ]
    return {
        round(1.05 / (0.2126 * red + 0.7152 * green + 0.0722 * blue + 0.05), 2)
        for red, green, blue in linear
    }


@pytest.mark.parametrize("size", list(CardSize))
def test_the_card_holds_what_a_frightened_client_needs(size: CardSize) -> None:
    card = made.emergency_card(size=size, minutes="53°36.740′N 009°59.259′W", mgrs="29U MV 1 2")
    (page,) = reading.pages(emergency_card_pdf(card))
    page = page.replace("\u00a0", " ")
    for words in (
        "Stop. Make yourself safe.",
        "Count: 6 people came.",
        "Call 112",
        "we are at Marram Head, north gutter, 6 people",
        "Decimal: 53.61234° N 9.98765° W",
        "Deg and min: 53°36.740′N 009°59.259′W",
        "MGRS: 29U MV 1 2",
        "lid pocket of the guide's orange bag",
        "Leave it on and stay beside it.",
        "Westport Road Hospital (invented), 42 km +353 98 555 0100",
        "Tom Quill +353 87 555 0166",
        "Overdue from: Sat 20 Jun 2026, 18:30",
        "on the hook inside the rear bumper",
        "No. 2026-014-E",
    ):
        assert words in page
    assert "Allergies and medicines" not in page


def test_the_guides_own_copy_names_medicines_by_person() -> None:
    card = made.emergency_card(size=CardSize.SHEET, medicines=MEDICINES)
    (page,) = reading.pages(emergency_card_pdf(card))
    assert "Ciara Byrne allergy: wasp stings, carries an injector; call: +353 87" in page
    assert "Tom Reed medicine: insulin, front pocket; also: a new knee" in page
    none = emergency_card_pdf(made.emergency_card(size=CardSize.SHEET, medicines=()))
    assert "Nobody declared any." in reading.text(none)


def test_medicines_are_never_cut() -> None:
    many = tuple(PersonMedicine(f"P{n}", medicine=f"{'pill ' * 150} end{n}") for n in range(9))
    card = made.emergency_card(size=CardSize.SHEET, medicines=many)
    told = " ".join(reading.pages(emergency_card_pdf(card)))
    assert all(f"end{n}" in told for n in range(9))


def test_a_card_with_little_known_still_says_what_to_do() -> None:
    facts = EmergencyFacts(number="999", guide_name="Nora")
    told = reading.text(emergency_card_pdf(made.emergency_card(emergency=facts)))
    assert "999" in told
    assert "Stay together and warm." in told
    assert "None" not in told


def test_a_typed_name_is_a_mark() -> None:
    form = made.signed_form(strokes=(), typed_name="Anna M. Byrne")
    told = reading.text(signed_form_pdf(form))
    assert "Anna M. Byrne" in told
    assert "Kind of mark typed name" in told


def test_the_drawn_strokes_are_lines_on_the_paper() -> None:
    drawn = signed_form_pdf(made.signed_form())
    without = signed_form_pdf(made.signed_form(strokes=()))
    assert _lines_drawn(drawn) >= _lines_drawn(without) + 20


def _lines_drawn(data: bytes) -> int:
    import pikepdf

    with pikepdf.open(reading.BytesIO(data)) as pdf:
        return sum(
            str(command.operator) == "l"
            for page in pdf.pages
            for command in pikepdf.parse_content_stream(page)
        )


def test_a_superseded_form_says_by_which() -> None:
    told = reading.text(signed_form_pdf(made.signed_form(superseded_by="2026-014-F3")))
    assert "Superseded by 2026-014-F3. Kept as it was signed." in told


def test_strokes_outside_the_field_stay_inside() -> None:
    wild = replace(made.signed_form(), strokes=(((-5.0, 9.0), (7.0, -3.0)),))
    assert reading.pages(signed_form_pdf(wild))
