"""One of a thing is one: on pages, in sentences of rules, on papers in every language."""

import datetime
from zoneinfo import ZoneInfo

import pytest

from bookings.sheets.client_phrases import said_in
from equipment.rules.packs import Chemistry, storage_advice
from guiding.days.models import TideTurn
from guiding.days.queries.tides import tide_reaches
from guiding.flying.pack_plan import _pack_sentence
from guiding.papers.words import Words, put_in
from tests.factories_days import TideSourceFactory

DUBLIN = ZoneInfo("Europe/Dublin")
DAY = datetime.date(2026, 6, 13)


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("ends", "says"),
    [(0, "13 June 2026, today"), (1, "14 June 2026, tomorrow"), (9, "22 June 2026, in 9 days")],
)
def test_a_tide_table_ends_today_tomorrow_or_in_days(ends: int, says: str) -> None:
    source = TideSourceFactory(kind="table")
    at = datetime.datetime(2026, 6, 13, 12, tzinfo=datetime.UTC) + datetime.timedelta(days=ends)
    TideTurn.objects.create(source=source, at=at, height_m=1, high=False)
    [reach] = tide_reaches(on=DAY, zone=DUBLIN)
    assert says in reach.words


@pytest.mark.parametrize(
    ("language", "key", "name", "one", "many"),
    [
        ("en", "trip.party_count", "count", "1 person", "2 people"),
        ("de", "trip.party_count", "count", "1 Person", "2 Personen"),
        ("en", "sheet.ladder_first", "days", "1 day before", "2 days before"),
        ("de", "sheet.ladder_from", "days", "Ab 1 Tag vorher", "Ab 2 Tage vorher"),
        ("de", "card.step_2", "count", "1 Person ist hier", "2 Personen sind hier"),
        ("en", "sheet.walk", "minutes", "About 1 minute on", "About 2 minutes on"),
        ("en", "cost.head", "heads", "1 head booked", "2 heads booked"),
    ],
)
def test_papers_count_in_every_language(
    language: str, key: str, name: str, one: str, many: str
) -> None:
    text = Words.of(language).text(key)
    assert one in put_in(text, **{name: 1}, what="")
    assert many in put_in(text, **{name: 2}, what="")


def test_sentences_of_rules_count() -> None:
    assert _pack_sentence(1, 1, 1, 1, 0, True) == (
        "1 pack carries 1 drop with the spare kept back."
    )
    assert _pack_sentence(3, 1, 2, 1, 1, False).startswith(
        "3 drops need 2 packs with the spare, and there are 1 pack and 1 charge on the beach, good "
        "for 1 drop:"
    )
    advice = storage_advice(
        chemistry=Chemistry.LIPO, cells_v=(4.2,) * 4, since=DAY - datetime.timedelta(days=1), on=DAY
    )
    assert "full for 1 day, limit" in advice.reason


def test_a_client_reads_one_place_in_german() -> None:
    said = said_in("de", "Only 1 of 5 places is left, and 2 are asked for. Choose another day.")
    assert said.startswith("Von 5 Plätzen ist noch 1 frei, und Sie brauchen 2.")
    assert said_in("de", "The only place of this trip is taken. Choose another day.").startswith(
        "Der einzige Platz dieses Tages ist vergeben."
    )
    assert said_in("de", "Day for a party of 1") == "Tag für 1 Person"
