"""The page where anybody may ask: people get through, robots and floods do not."""

from __future__ import annotations

import datetime
from typing import Any

import pytest
import time_machine
from django.core.cache import cache
from django.test import Client as Browser
from django.utils import timezone

from bookings.models import Client, Party
from tests.bookings.reading import problems
from tests.factories import ClientFactory, OfferFactory

pytestmark = pytest.mark.usefixtures("business")
GOOD = {
    "given_name": "Maeve",
    "email": "maeve@example.org",
    "heads": "3",
    "minors": "",
    "day_from": "2090-06-12",
    "wishes": "First light <script>",
}


@pytest.fixture(autouse=True)
def nobody_tried_before() -> None:
    cache.clear()


def stamp(client: Browser, ago_s: int = 30) -> str:
    """The hidden stamp of a page that was opened a while ago."""
    with time_machine.travel(timezone.now() - datetime.timedelta(seconds=ago_s)):
        page = client.get("/ask/").content.decode()
    return page.split('name="stamp" value="')[1].split('"')[0]


def test_a_question_opens_a_case(client: Browser, desk: Browser) -> None:
    browser = Browser(enforce_csrf_checks=True)
    answer = browser.post("/ask/", GOOD | {"stamp": stamp(browser)}, follow=True)
    assert "answers within a day or so" in answer.content.decode()
    party = Party.objects.get()
    assert (party.heads, party.minors, party.source) == (3, 0, "our page")
    assert "Maeve" in desk.get("/parties/").content.decode()


def test_somebody_we_know_is_the_same_client(client: Browser) -> None:
    ClientFactory(given_name="Maeve", email="MAEVE@example.org")
    client.post("/ask/", GOOD | {"stamp": stamp(client)})
    assert Client.objects.count() == 1


@pytest.mark.parametrize(
    "trap",
    [
        {"website": "http://spam.example"},
        {"stamp": "made up"},
        {"stamp": ""},
        {"ago_s": 0},
    ],
)
def test_a_robot_is_thanked_and_nothing_is_written(client: Browser, trap: dict[str, Any]) -> None:
    sent = GOOD | {"stamp": stamp(client, trap.pop("ago_s", 30))} | trap
    answer = client.post("/ask/", sent)
    assert answer.status_code == 302
    assert not Party.objects.exists()


def test_a_page_left_open_for_a_week_still_sends(client: Browser) -> None:
    client.post("/ask/", GOOD | {"stamp": stamp(client, 7 * 24 * 3600)})
    assert Party.objects.count() == 1


@pytest.mark.parametrize(
    ("change", "sentence"),
    [
        ({"given_name": ""}, "This field is required."),
        ({"email": ""}, "Give a mail address or a telephone number"),
        ({"heads": "0"}, "greater than or equal to 1"),
        ({"heads": "200"}, "less than or equal to 60"),
        ({"minors": "9"}, "9 minors do not fit"),
        ({"day_from": "1890-01-01"}, "long past"),
        ({"day_from": "2019-01-01"}, "This day has passed."),
        ({"given_name": "M" * 300}, "at most 100 characters"),
        ({"phone": "twelve"}, "is no telephone number"),
    ],
)
def test_a_wrong_question_is_refused_and_kept(
    client: Browser, change: dict[str, str], sentence: str
) -> None:
    answer = client.post("/ask/", GOOD | {"stamp": stamp(client)} | change)
    assert answer.status_code == 422
    assert sentence in problems(answer.content.decode())
    assert "First light &lt;script&gt;" in answer.content.decode()
    assert not Party.objects.exists()


def test_a_flood_is_held_back(client: Browser) -> None:
    mark = stamp(client)
    for n in range(10):
        sent = GOOD | {"stamp": mark, "email": f"flood{n}@example.org"}
        assert client.post("/ask/", sent).status_code == 302
    answer = client.post("/ask/", GOOD | {"stamp": mark})
    assert answer.status_code == 429
    assert "wait ten minutes" in problems(answer.content.decode())
    assert Party.objects.count() == 10


def test_only_what_is_on_sale_is_offered(client: Browser) -> None:
    OfferFactory(name="Party day")
    OfferFactory(name="Long ago", valid_until=datetime.date(2020, 1, 1))
    page = client.get("/ask/").content.decode()
    assert "Party day" in page
    assert "Long ago" not in page
