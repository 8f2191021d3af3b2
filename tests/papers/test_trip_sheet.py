"""The client's trip sheet."""

from dataclasses import replace

import pytest

from guiding.papers.records import InsuranceFacts, PageSize, PlanStep
from guiding.papers.trip_sheet import trip_sheet_pdf
from tests.papers import made, reading


def test_says_when_where_and_who() -> None:
    told = reading.text(trip_sheet_pdf(made.trip_sheet()))
    for words in (
        "Saturday 20 June 2026",
        "05:00",
        "16:00–17:00",
        "Car park of the Old Net Store",
        "53.60111° N 9.94222° W",
        "Nora Quill",
        "+353 87 555 0199",
        "Fri 19 Jun 2026, 18:00",
        "All times are local (Europe/Dublin).",
    ):
        assert words in told


def test_names_every_participant_by_first_name() -> None:
    sheet = made.trip_sheet()
    told = reading.text(trip_sheet_pdf(sheet))
    assert [name for name in sheet.first_names if name not in told] == []
    assert "(4 people)" in told


def test_tells_every_turn_of_the_tide_in_words() -> None:
    told = reading.text(trip_sheet_pdf(made.trip_sheet()))
    for turn in ("02:48 4.0 m", "09:00 0.5 m", "15:12 4.0 m", "21:24 0.5 m"):
        assert turn in told
    assert "Tide: harmonic constants of Marram Head (invented)." in told
    assert "not for navigation" in told


def test_tells_light_and_wind_in_words() -> None:
    told = reading.text(trip_sheet_pdf(made.trip_sheet()))
    assert "sunrise 05:00" in told
    assert "sunset 22:00" in told
    assert "5 m/s WSW" in told
    assert "national weather service, coast sheet, issued Fri 19 Jun 2026, 12:00" in told


def test_tells_the_day_by_the_tide() -> None:
    steps = (
        PlanStep(made.at(9.05), "one"),
        PlanStep(made.at(7.5), "two"),
        PlanStep(made.at(15.2 + 1.25), "three"),
    )
    told = reading.text(trip_sheet_pdf(made.trip_sheet(steps=steps)))
    assert "one at low water" in told
    assert "two 1 h 30 min before low water" in told
    assert "three 1 h 15 min after high water" in told


def test_prints_eight_risks_and_the_three_rules() -> None:
    told = reading.text(trip_sheet_pdf(made.trip_sheet()))
    assert [risk.name for risk in made.RISKS[:8] if risk.name not in told] == []
    assert "A ninth risk" not in told
    for rule in (
        "Stay behind the rods unless the guide walks with you.",
        "Face the sea. When the guide calls, drop what you hold and come up.",
        "While the aircraft is in the air, stand still behind the line shown to you.",
    ):
        assert rule in told


def test_a_cast_only_day_has_a_rule_for_casting() -> None:
    sheet = made.trip_sheet(strip=made.strip(cast_only="no permission for this beach"))
    told = reading.text(trip_sheet_pdf(sheet))
    assert "Before any cast, look behind you" in told
    assert "While the aircraft is in the air" not in told
    assert "no permission for this beach" in told


def test_holds_the_cautions() -> None:
    told = reading.text(trip_sheet_pdf(made.trip_sheet()))
    for caution in (
        "Nobody goes into the water after anybody.",
        "Call 112",
        "Keep your own medicine on you",
        "No alcohol or drugs",
        "Limits change: check with your own authority.",
        "your own medical costs",
    ):
        assert caution in told


def test_says_what_is_paid_and_due_in_the_locale() -> None:
    told = reading.text(trip_sheet_pdf(made.trip_sheet()))
    assert "Price €1,160.00, paid €348.00." in told
    assert "Still due €812.00, by Sat 13 Jun 2026." in told


def test_nothing_due_says_so() -> None:
    money = replace(made.trip_sheet().money, due=made.Decimal("0.00"))  # type: ignore[type-var]
    told = reading.text(trip_sheet_pdf(made.trip_sheet(money=money)))
    assert "Nothing is left to pay." in told
    assert "Still due" not in told


@pytest.mark.parametrize("size", list(PageSize))
@pytest.mark.parametrize("locale", ["en_IE", "en_US"])
def test_two_pages_with_minors_on_either_sheet(size: PageSize, locale: str) -> None:
    head = replace(made.LETTERHEAD, page_size=size, locale=locale)
    minors = replace(made.MINORS, child_page=False)
    assert len(reading.pages(trip_sheet_pdf(made.trip_sheet(letterhead=head, minors=minors)))) == 2


def test_the_child_has_a_page_of_its_own() -> None:
    told = reading.pages(trip_sheet_pdf(made.trip_sheet(minors=made.MINORS)))
    assert len(told) == 3
    assert "Your page" in told[2]
    assert "sit by the truck" in told[2]


def test_minors_add_who_watches_and_who_collects() -> None:
    told = reading.text(trip_sheet_pdf(made.trip_sheet(minors=made.MINORS)))
    assert "Who watches, minute by minute: Anna Byrne for Ciara" in told
    assert "Collected by: Anna Byrne, nobody else." in told
    assert "photographs no" in told


def test_sixty_people_are_all_named() -> None:
    names = tuple(f"Person{number:02d}" for number in range(60))
    told = reading.text(trip_sheet_pdf(made.trip_sheet(first_names=names)))
    assert [name for name in names if name not in told] == []
    assert "60 people" in told


def test_a_bare_sheet_has_no_empty_headings() -> None:
    sheet = made.trip_sheet(
        decision_at=None,
        what_we_do="",
        spot_name="",
        method="",
        effort="",
        walking="",
        toilets="",
        signal="",
        bring=(),
        wear=(),
        supplied=(),
        steps=(),
        risks=(),
        money=None,
        insurance=InsuranceFacts(),
        strip=made.strip(turns=(), tide=(), winds=(), waves=()),
    )
    data = trip_sheet_pdf(sheet)
    titles = [title for title, _page in reading.outline(data)]
    assert "What we do" not in titles
    assert "The day" not in titles
    assert "Money" not in titles
    assert "In an emergency" in titles
    assert "No tide prediction stands behind this day" in reading.text(data)


def test_bookmarks_follow_the_order_a_client_needs() -> None:
    found = reading.outline(trip_sheet_pdf(made.trip_sheet(minors=made.MINORS)))
    assert found == [
        ("A long low at Marram Head", 0),
        ("What we do", 0),
        ("What to bring", 0),
        ("The day", 0),
        ("Sea, tide, wind, sun", 0),
        ("Main risks that day", 1),
        ("Three rules", 1),
        ("In an emergency", 1),
        ("The fish", 1),
        ("Health and food", 1),
        ("Money", 1),
        ("Insurance, after the day", 1),
        ("For those under age", 1),
        ("Your page", 2),
    ]
