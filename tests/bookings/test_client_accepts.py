"""A yes that comes late, or together with others: a clear sentence, and no place sold twice."""

from __future__ import annotations

import datetime
import json
import os
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest
import time_machine
from django.core.cache import cache
from django.test import Client as Browser
from django.utils import timezone

from bookings.actions.parties import close_party
from bookings.actions.party_links import make_party_link
from bookings.actions.quotes import draft_quote, lapse_quotes, send_quote
from bookings.actions.trips import hold_places, release_lapsed_holds
from bookings.models import Client, MoneyEntry, Quote, Trip
from tests.bookings.reading import problems, told, words
from tests.bookings.test_last_place import COUNTED, ROOT, run
from tests.factories import BusinessFactory, OfferFactory, PartyFactory, TripFactory

DAY = datetime.timedelta(days=1)
NOT_DB = {"DJANGO_SETTINGS_MODULE": "guiding.settings"}
pytestmark = pytest.mark.usefixtures("business")


@pytest.fixture(autouse=True)
def nobody_tried_before() -> None:
    cache.clear()


def day_with(places: int, *, shared: bool = True) -> Trip:
    now = timezone.now()
    trip: Trip = TripFactory(
        offer=OfferFactory(shared=shared, places=places),
        places=places,
        starts_at=now + 60 * DAY,
        ends_at=now + 60.4 * DAY,
    )
    return trip


def price_out(trip: Trip, *, at: datetime.datetime, heads: int = 1) -> Quote:
    """A party of its own with a hold of 48 hours and a price of five days."""
    party = PartyFactory(offer=trip.offer, heads=heads)
    held = hold_places(party=party, trip=trip, heads=heads, at=at)
    quote = draft_quote(party=party, offer=trip.offer, heads=heads, booking=held, at=at)
    return send_quote(quote=quote, at=at)


def yes_address(quote: Quote) -> str:
    return f"/my/{make_party_link(party=quote.party)}/yes/{quote.pk}/"


def test_a_yes_after_the_hold_has_ended_takes_the_places_anew(client: Browser) -> None:
    now, trip = timezone.now(), day_with(2)
    quote = price_out(trip, at=now - 3 * DAY, heads=2)
    assert release_lapsed_holds(at=now) == 1
    trip.refresh_from_db()
    assert trip.places_taken == 0
    answer = client.post(yes_address(quote), {"read": "on"}, follow=True)
    assert "The day is yours" in told(answer.content.decode())
    trip.refresh_from_db()
    assert trip.places_taken == 2
    assert MoneyEntry.objects.count() == 1


@pytest.mark.parametrize(
    ("shared", "left", "sentence"),
    [
        (True, 0, "All 2 places of this trip are taken."),
        (True, 1, "Only 1 of 3 places is left, and 2 are asked for."),
        (False, 1, "This day is no longer to be had."),
    ],
    ids=["all gone", "too few left", "another party has the day"],
)
def test_a_yes_when_others_have_the_places_is_refused_and_owes_nothing(
    client: Browser, shared: bool, left: int, sentence: str
) -> None:
    now = timezone.now()
    trip = day_with(2 + left, shared=shared)
    late = price_out(trip, at=now - 3 * DAY, heads=2)
    release_lapsed_holds(at=now)
    price_out(trip, at=now, heads=2)
    answer = client.post(yes_address(late), {"read": "on"})
    assert answer.status_code == 422
    assert sentence in problems(answer.content.decode())
    assert "Nothing is agreed yet" in answer.content.decode()
    late.refresh_from_db()
    trip.refresh_from_db()
    assert (late.status, trip.places_taken) == ("sent", 2)
    assert not MoneyEntry.objects.exists()


def test_a_price_that_ran_out_says_so_on_the_page_and_to_the_button(client: Browser) -> None:
    quote = price_out(day_with(2), at=timezone.now() - 6 * DAY)
    address = yes_address(quote)
    for lapsed in (False, True):
        if lapsed:
            assert lapse_quotes(at=timezone.now()) == 1
        page = client.get(address.split("yes/")[0]).content.decode()
        assert any("ran out on" in note for note in words(page, "note"))
        assert "Yes, we take it" not in page
        answer = client.post(address, {"read": "on"})
        assert answer.status_code == 422
        assert not MoneyEntry.objects.exists()


def test_a_closed_enquiry_takes_no_new_hold(client: Browser) -> None:
    now = timezone.now()
    quote = price_out(day_with(2), at=now - 3 * DAY)
    release_lapsed_holds(at=now)
    close_party(party=quote.party, reason="went elsewhere")
    answer = client.post(yes_address(quote), {"read": "on"})
    assert answer.status_code == 422
    assert "This enquiry is closed. Write to us or ring us" in problems(answer.content.decode())


def test_two_processes_say_yes_for_the_last_places(
    shared_database: Callable[[], str], tmp_path: Path
) -> None:
    """Ten parties of one, each with a price and a hold that ended: three places, ten yeses."""
    BusinessFactory()
    now, trip = timezone.now(), day_with(3)
    addresses = []
    for n in range(10):
        at = now - (40 - 3 * n) * DAY
        release_lapsed_holds(at=at)
        quote = price_out(trip, at=at)
        Quote.objects.filter(pk=quote.pk).update(valid_until=now + 5 * DAY)
        addresses.append(yes_address(quote))
    release_lapsed_holds(at=now)
    database = shared_database()
    env = os.environ | NOT_DB | {"DATABASE_URL": database, "SANDSPIKE_DATA": str(tmp_path / "data")}
    crowds = [
        subprocess.Popen(
            [sys.executable, "-m", "tests.bookings.accepting", *half],
            cwd=ROOT,
            env=env,
            stdout=subprocess.PIPE,
            text=True,
        )
        for half in (addresses[:5], addresses[5:])
    ]
    answers = [each for crowd in crowds for each in json.loads(crowd.communicate(timeout=240)[0])]
    assert sorted(answer["status"] for answer in answers) == [302] * 3 + [422] * 7
    for answer in answers:
        if answer["status"] == 422:
            assert "All 3 places of this trip are taken." in answer["problems"]
    assert run(["-c", COUNTED], database, tmp_path) == [[3, 3], 3]
    counted = "import django; django.setup()\nfrom bookings.models import MoneyEntry as M, Quote\n"
    counted += "print([M.objects.count(), Quote.objects.filter(status='accepted').count()])"
    assert run(["-c", counted], database, tmp_path) == [3, 3], "three owe a deposit, nobody twice"


def test_one_client_says_yes_twice_at_once(
    shared_database: Callable[[], str], tmp_path: Path
) -> None:
    BusinessFactory()
    quote = price_out(day_with(2), at=timezone.now())
    address = yes_address(quote)
    answers = run(["-m", "tests.bookings.accepting", address, address], shared_database(), tmp_path)
    assert [answer["status"] for answer in answers] == [302, 302]


GERMAN = (
    "Unser Preis für Sie",
    "wartet auf Ihre Antwort",
    "Anzahlung",
    "Restbetrag",
    "Es wird nichts berechnet.",
    "Ja, wir nehmen es für",
)


def test_a_german_client_reads_german_and_is_refused_in_german(client: Browser) -> None:
    now, trip = timezone.now(), day_with(2)
    quote = price_out(trip, at=now - 3 * DAY, heads=2)
    quote.party.client.language = "de"
    quote.party.client.save()
    address = yes_address(quote)
    page = client.get(address.split("yes/")[0]).content.decode()
    assert '<html lang="de"' in page
    for sentence in GERMAN:
        assert sentence in " ".join(page.split()), sentence
    assert "580,00\N{NO-BREAK SPACE}€" in page
    assert "Read the terms" not in page
    assert "Our price for you" in client.get(address.split("yes/")[0] + "?lang=en").content.decode()
    refused = client.post(address, {}).content.decode()
    assert "Lesen Sie zuerst die Bedingungen" in problems(refused)
    release_lapsed_holds(at=now)
    price_out(trip, at=now, heads=2)
    refused = client.post(address, {"read": "on"}).content.decode()
    assert "Alle 2 Plätze dieses Tages sind vergeben." in problems(refused)


def test_a_stranger_asks_in_the_language_of_the_browser_and_is_answered_in_it(
    client: Browser,
) -> None:
    page = client.get("/ask/", headers={"accept-language": "de-AT,de;q=0.9"}).content.decode()
    assert "Fragen Sie nach einem Tag an der Küste" in page
    assert "Ask for a day" in client.get("/ask/?lang=en").content.decode()
    stamp = page.split('name="stamp" value="')[1].split('"')[0]
    sent = {"given_name": "Anke", "email": "anke@example.org", "heads": "2", "stamp": stamp}
    wrong = client.post("/ask/?lang=de", sent | {"email": ""}).content.decode()
    assert "Geben Sie eine Mailadresse oder Telefonnummer an" in problems(wrong)
    with time_machine.travel(timezone.now() + datetime.timedelta(seconds=20)):
        thanked = client.post("/ask/?lang=de", sent, follow=True).content.decode()
    assert "Ihre Frage ist angekommen." in thanked
    assert Client.objects.get().language == "de"
