"""Hospital, first aid, beacon and keys are asked for by name; what is missing is said."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
import time_machine
from django.test import Client as Browser
from django.urls import reverse

from bookings.models import Business, Trip
from guiding.desk.sheets.files import make_trip_file
from guiding.desk.sheets.gather import gather
from guiding.safety.models import DayMarks, SpotSafety
from tests.factories import NOON, TripFactory
from tests.factories_days import DayPlanFactory
from tests.papers import reading

pytestmark = pytest.mark.django_db
GAPS = "the emergency card does not know: hospital, first aid, beacon, keys"
PAPERS = ("card-a6.pdf", "card-sheet.pdf", "trip-sheet.pdf", "run-sheet.pdf")


@pytest.fixture
def trip(business: Business) -> Iterator[Trip]:
    with time_machine.travel(NOON, tick=False):
        plan = DayPlanFactory(trip__status="confirmed", spot__nearest_help="Surf club")
        yield plan.trip


def _paper(trip: Trip, name: str) -> str:
    file = gather(trip.pk, business=Business.objects.get())
    assert file is not None
    return reading.text(make_trip_file(name, file, printed_at=NOON))


def test_no_paper_takes_the_nearest_help_for_a_hospital(trip: Trip) -> None:
    for name in PAPERS:
        words = _paper(trip, name)
        assert "ospital: Surf club" not in words, name
        assert "ospital Surf club" not in words, name
        assert words.count("not known") >= 3, name
    card = _paper(trip, "card-a6.pdf")
    for line in ("Hospital: not known", "First aid: not known", "Keys: not known"):
        assert line in card
    assert "The beacon Where: not known" in card
    assert "Nearest help: Surf club" in card
    Business.objects.update(locale="de_DE")
    assert "Krankenhaus: nicht bekannt" in _paper(trip, "card-a6.pdf")


def test_today_asks_until_everything_is_told_on_the_pages(trip: Trip, desk: Browser) -> None:
    today, page = reverse("today"), reverse("trip", args=[trip.pk])
    for address in (today, page):
        assert GAPS in desk.get(address).content.decode(), address
    told = {
        "hospital": "Invented district hospital, 48 km",
        "hospital_phone": "+353 20 910 0190",
        "first_aid": "Cabinet at the slip",
    }
    spot = reverse("spot_safety", args=[trip.plan.spot_id])
    assert desk.post(spot, told).status_code == 303
    assert SpotSafety.objects.get().hospital == told["hospital"]
    assert "the emergency card does not know: beacon, keys" in desk.get(today).content.decode()
    day = {"beacon": "Orange box", "vehicle": "Grey pick-up", "keys": "Magnet box"}
    assert desk.post(reverse("trip_marks", args=[trip.pk]), day).status_code == 303
    assert "the emergency card" not in desk.get(today).content.decode().lower()
    card = _paper(trip, "card-a6.pdf")
    assert "not known" not in card
    for words in (*told.values(), *day.values()):
        assert words in card.replace("\u00a0", " "), words


def test_the_next_day_is_asked_with_the_words_of_the_last(trip: Trip, desk: Browser) -> None:
    DayMarks.objects.create(trip=TripFactory(), beacon="Orange box", keys="Magnet box")
    form = desk.get(reverse("trip_marks", args=[trip.pk])).content.decode()
    assert 'value="Orange box"' in form
    assert 'value="Magnet box"' in form
    assert not DayMarks.objects.filter(trip=trip).exists(), "nothing is kept until it is looked at"
