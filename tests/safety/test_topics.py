"""What published standards say a participant must be told, found on the sheets of the demo's trip.

The list is `fixtures/reference/doc_topics.csv`. Each row is either answered here by words of a
sheet, or named as one that is about the organisation behind the day; a row that is neither fails.
"""

from __future__ import annotations

import io
from typing import Any

import pytest
from pypdf import PdfReader

from bookings.models import Business
from bookings.queries.trips import next_trips
from guiding.desk.sheets.files import make_trip_file
from guiding.desk.sheets.gather import gather
from guiding.desk.sheets.risks import hazards
from tests.factories import NOON
from tests.reference import published

SHEET, TALK, CARD = "trip-sheet.pdf", "briefing.pdf", "card-a6.pdf"
Found = tuple[str, str]

# Rows about how the business is led and certified; no participant's sheet can answer them.
ABOUT_THE_ORGANISATION = {
    "leader (ISO 21102, was TR 2013)",
    "leader (ISO 21102:2020)",
    "safety management (ISO 21101)",
    "purpose of ISO 21101",
}
# Rows that the form answers which each participant signs (tests/reference).
ON_THE_SIGNED_FORM = {"waiver and minors (government guide, WA)", "waiver, own list"}
ANSWERS: dict[str, tuple[Found, ...]] = {
    "scope of ISO 21103": (
        (SHEET, "Bring"),  # before
        (TALK, "Heard and repeated by"),  # during
        (SHEET, "Something wrong?"),  # after
    ),
    "terms of ISO 21103": (
        (SHEET, "What we do"),
        (SHEET, "The day"),
        (SHEET, "Lines out"),
        (SHEET, "Walking:"),
    ),
    "accepted risk": ((TALK, "Hazard, and why today"), (TALK, "2 under 18")),
    "before the trip (national standard AU)": (
        (SHEET, "What we do"),
        (SHEET, "Bring"),
    ),
    "hazard briefing (AU)": (
        (TALK, "What we do"),
        (TALK, "with what we do"),
        (TALK, "If it happens"),
    ),
}
OWN_LIST: dict[str, tuple[Found, ...]] = {
    "who runs it, contact": ((SHEET, "Marram Head Shore Days"), (SHEET, "guide@marramhead")),
    "date, place, meeting point": ((SHEET, "June 2026"), (SHEET, "Lay-by at the old boathouse")),
    "what happens": ((SHEET, "A shorter day for families"),),
    "level of difficulty": ((SHEET, "Walking:"),),
    "hazards named (sea, slips, hooks, drone blades, battery fire, weather)": (
        (TALK, "A wave that runs up further"),
        (TALK, "A hook in somebody"),
        (TALK, "Rotor blades"),
        (TALK, "A flight pack that burns"),
    ),
    "clothing and gear, who supplies": ((SHEET, "Bring"), (SHEET, "We supply")),
    "health questions": ((SHEET, "Keep your own medicine on you"),),
    "minors": ((SHEET, "For those under age"), (TALK, "Lost? Sit down by the truck")),
    "what is expected of you": ((SHEET, "Three rules"), (TALK, "Three rules")),
    "who decides to stop": ((SHEET, "the guide's word on the day goes before this paper"),),
    "insurance": ((SHEET, "Covered:"), (SHEET, "public liability insurance")),
    "emergency plan": ((SHEET, "In an emergency"), (CARD, "Call"), (CARD, "112")),
    "price, cancellation, refund": ((SHEET, "If plans change:"),),
    "privacy": ((SHEET, "We show pictures of you only if you agreed"),),
    "how to complain": ((SHEET, "Something wrong?"),),
}


@pytest.fixture
def sheets(season: Any) -> dict[str, str]:
    trip = next_trips(at=NOON).filter(status="confirmed", plan__isnull=False).first()
    file = gather(trip.pk, business=Business.objects.get()) if trip else None
    assert file is not None
    return {
        name: _text(make_trip_file(name, file, printed_at=NOON)) for name in (SHEET, TALK, CARD)
    }


def _text(content: bytes) -> str:
    pages = PdfReader(io.BytesIO(content)).pages
    words = " ".join(page.extract_text() for page in pages).replace("\u00a0", " ")
    return " ".join(words.split()).replace("’", "'")


def topics() -> set[str]:
    return {row["topic"] for row in published.rows("doc_topics")}


def own_list() -> set[str]:
    row = next(
        one for one in published.rows("doc_topics") if one["topic"] == "information sheet, own list"
    )
    return {item.strip() for item in row["what_stands_there"].split(";")}


def test_every_published_topic_has_its_place() -> None:
    placed = set(ANSWERS) | ABOUT_THE_ORGANISATION | ON_THE_SIGNED_FORM
    assert topics() - placed == {"information sheet, own list"}
    assert own_list() == set(OWN_LIST)


def test_each_topic_is_on_its_sheet(sheets: dict[str, str]) -> None:
    missing = [
        f"{topic}: '{words}' is not on {sheet}"
        for topic, answers in (ANSWERS | OWN_LIST).items()
        for sheet, words in answers
        if words not in sheets[sheet]
    ]
    assert missing == []


def test_a_topic_that_is_taken_away_is_missed(sheets: dict[str, str]) -> None:
    cut = {name: text.replace("Something wrong?", "") for name, text in sheets.items()}
    lost = {
        topic
        for topic, answers in (ANSWERS | OWN_LIST).items()
        if any(words not in cut[sheet] for sheet, words in answers)
    }
    assert lost == {"scope of ISO 21103", "how to complain"}


def test_the_accepted_risk_says_what_and_why(season: Any) -> None:
    trip = next_trips(at=NOON).filter(status="confirmed", plan__isnull=False).first()
    file = gather(trip.pk, business=Business.objects.get()) if trip else None
    assert file is not None
    printed = _text(make_trip_file(TALK, file, printed_at=NOON))
    assert all(one.name in printed and one.trigger in printed for one in hazards(file))
