"""A party's own page: opened by its link alone, changed by sending alone, nobody else's ever."""

from __future__ import annotations

import datetime
from decimal import Decimal
from typing import Any

import pytest
from django.core.cache import cache
from django.test import Client as Browser
from django.utils import timezone

from bookings.actions.money.payments import record_payment
from bookings.actions.party_links import make_party_link, revoke_party_links
from bookings.actions.trips import move_trip_state
from bookings.models import (
    Ask,
    Booking,
    Business,
    MoneyEntry,
    Participant,
    Party,
    PartyLink,
    Quote,
    Settlement,
)
from bookings.rules.states import TripState
from tests.bookings.reading import problems, told
from tests.factories import PartyFactory
from tests.factories_bookings import agreed, sent

DAY = datetime.timedelta(days=1)
pytestmark = pytest.mark.usefixtures("business")


@pytest.fixture(autouse=True)
def nobody_tried_before() -> None:
    cache.clear()


def soon(days: int = 60) -> dict[str, Any]:
    now = timezone.now()
    return {"starts_at": now + days * DAY, "ends_at": now + (days + 0.5) * DAY}


def key_of(party: Party) -> str:
    return f"/my/{make_party_link(party=party)}/"


def everything() -> list[object]:
    """Every row that a client could change."""
    return [
        list(model.objects.order_by("pk").values())
        for model in (Quote, Booking, MoneyEntry, Participant, Settlement, Ask, Party)
    ]


def test_the_page_says_what_is_offered_booked_owed_and_missing(client: Browser) -> None:
    Business.objects.update(iban="IE29AIBK93115212345678")  # the registry's own example
    booking = agreed(at=timezone.now(), **soon())
    page = client.get(key_of(booking.party)).content.decode()
    assert "Reference, exactly so" in page
    assert "IE29 AIBK 9311 5212 3456 78" in page
    assert "<svg" in page
    assert "€174.00" in page
    assert "2\N{NO-BREAK SPACE}people are not named yet" in page
    assert "None" not in page


def test_its_headers_keep_it_to_itself(client: Browser) -> None:
    answer = client.get(key_of(PartyFactory()))
    assert answer.headers["Cache-Control"] == "no-store, private"
    assert answer.headers["Referrer-Policy"] == "no-referrer"
    assert "noindex" in answer.headers["X-Robots-Tag"]
    assert 'name="robots" content="noindex' in answer.content.decode()
    assert not answer.cookies
    for name in ("sandspike/desk.css", "sandspike/desk.js"):
        assert name in answer.content.decode()  # and nothing from another host
    assert "http://" not in answer.content.decode().replace("http://www.w3.org", "")


def test_the_secret_is_long_and_only_its_hash_is_kept() -> None:
    token = make_party_link(party=PartyFactory())
    assert len(token) >= 43  # 256 bits
    kept = PartyLink.objects.get()
    assert token not in str(PartyLink.objects.values().get())
    assert len(kept.token_hash) == 64
    assert make_party_link(party=kept.party) != token


@pytest.mark.parametrize(
    ("shut", "sentence"),
    [
        ("over", "This page has ended."),
        ("revoked", "This link was taken back."),
        ("guessed", "This address opens nothing."),
        ("long", "This address opens nothing."),
    ],
)
def test_a_link_that_opens_nothing_says_why(client: Browser, shut: str, sentence: str) -> None:
    party = PartyFactory()
    address = key_of(party)
    if shut == "over":
        PartyLink.objects.update(made_at=timezone.now() - 3 * DAY, expires_at=timezone.now() - DAY)
    if shut == "revoked":
        revoke_party_links(party=party)
    if shut == "guessed":
        address = "/my/" + "A" * 43 + "/"
    if shut == "long":
        address = "/my/" + "A" * 3000 + "/"
    answer = client.get(address)
    assert answer.status_code == 404
    assert sentence in answer.content.decode()
    assert str(party.client) not in answer.content.decode()
    assert answer.headers["Cache-Control"] == "no-store, private"
    assert client.post(address + "ask/", {"text": "let me in"}).status_code == 404
    assert not Ask.objects.exists()


def test_guessing_is_slowed_down_and_the_right_link_still_opens(client: Browser) -> None:
    address = key_of(PartyFactory())
    statuses = [client.get(f"/my/{n:043d}/").status_code for n in range(32)]
    assert statuses == [404] * 30 + [429] * 2
    assert client.get(address).status_code == 200


def test_looking_changes_nothing_however_often_and_by_whom(client: Browser) -> None:
    quote = sent(at=timezone.now(), **soon())
    address = key_of(quote.party)
    before = everything()
    for method in (client.get, client.head):
        for place in ("", "people/new/", f"yes/{quote.pk}/", "ask/", "choose/1/"):
            answer = method(address + place, HTTP_USER_AGENT="LinkPreviewBot/1.0")
            assert answer.status_code in {200, 405}
    assert everything() == before
    quote.refresh_from_db()
    assert quote.status == "sent"


def test_yes_is_said_by_sending_after_reading_and_once(client: Browser) -> None:
    quote = sent(at=timezone.now(), **soon())
    address = key_of(quote.party)
    answer = client.post(f"{address}yes/{quote.pk}/", {})
    assert answer.status_code == 422
    assert "Read the terms first" in problems(answer.content.decode())
    for _ in range(2):
        answer = client.post(f"{address}yes/{quote.pk}/", {"read": "on"}, follow=True)
        assert answer.status_code == 200
    quote.refresh_from_db()
    assert quote.status == "accepted"
    assert MoneyEntry.objects.count() == 1
    assert "To pay now" in answer.content.decode()


def test_a_browser_that_tells_nobody_where_it_comes_from_may_still_say_yes() -> None:
    """With `no-referrer` a browser sends `Origin: null`, which the usual check refuses."""
    quote = sent(at=timezone.now(), **soon())
    strict = Browser(enforce_csrf_checks=True)
    answer = strict.post(
        f"{key_of(quote.party)}yes/{quote.pk}/", {"read": "on"}, HTTP_ORIGIN="null"
    )
    assert answer.status_code == 302


def test_yes_to_a_price_that_ran_out_or_a_day_that_went_is_refused(client: Browser) -> None:
    quote = sent(at=timezone.now() - 6 * DAY, **soon())
    address = key_of(quote.party)
    answer = client.post(f"{address}yes/{quote.pk}/", {"read": "on"})
    assert answer.status_code == 422
    other = sent(at=timezone.now(), **soon(61))
    move_trip_state(trip=other.booking.trip, to=TripState.CANCELLED, reason="gale")
    answer = client.post(f"{key_of(other.party)}yes/{other.pk}/", {"read": "on"})
    assert answer.status_code == 422
    assert "no longer to be had" in problems(answer.content.decode())
    assert not MoneyEntry.objects.exists()


def test_one_partys_link_opens_nobody_elses_anything(client: Browser) -> None:
    mine, theirs = sent(at=timezone.now(), **soon()), sent(at=timezone.now(), **soon(61))
    booking = agreed(at=timezone.now(), **soon(62))
    move_trip_state(trip=booking.trip, to=TripState.CANCELLED, reason="gale")
    person = Participant.objects.create(party=theirs.party, given_name="Theirs")
    address = key_of(mine.party)
    before = everything()
    assert client.post(f"{address}yes/{theirs.pk}/", {"read": "on"}).status_code == 404
    assert client.get(f"{address}people/{person.pk}/").status_code == 404
    sent_name = {"given_name": "Mine", "born_on": "1980-01-01", "swims": "yes"}
    assert client.post(f"{address}people/{person.pk}/", sent_name).status_code == 404
    settlement = Settlement.objects.get()
    choice = client.post(f"{address}choose/{settlement.pk}/", {"choice": "refund"})
    assert choice.status_code == 404
    assert everything() == before
    page = client.get(address).content.decode()
    assert str(theirs.party.client) not in page


def test_names_are_entered_and_corrected_by_the_client(client: Browser) -> None:
    booking = agreed(at=timezone.now(), **soon())
    address = key_of(booking.party)
    person = {"given_name": "<b>Ide</b>", "born_on": "1961-04-30", "swims": "yes"}
    for wrong, sentence in (
        ({"born_on": ""}, "Give the date of birth"),
        ({"born_on": "1890-01-01"}, "Check the year of birth."),
        ({"given_name": "x" * 300}, "at most 100"),
    ):
        answer = client.post(f"{address}people/new/", person | wrong)
        assert answer.status_code == 422
        assert sentence in problems(answer.content.decode())
    assert client.post(f"{address}people/new/", person).status_code == 302
    named = Participant.objects.get()
    named.email = "ide@example.org"
    named.save()
    client.post(f"{address}people/{named.pk}/", person | {"given_name": "Ide"})
    named.refresh_from_db()
    assert (named.given_name, named.email) == ("Ide", "ide@example.org")
    client.post(f"{address}people/new/", person)
    answer = client.post(f"{address}people/new/", person)
    assert "Everybody of this party is named" in problems(answer.content.decode())


def test_a_change_is_asked_for_and_answered_by_the_guide(client: Browser, desk: Browser) -> None:
    party = PartyFactory()
    address = key_of(party)
    assert client.post(f"{address}ask/", {"text": " "}).status_code == 422
    for _ in range(2):
        client.post(f"{address}ask/", {"text": "Could we be three? <script>"})
    ask = Ask.objects.get()
    page = desk.get(f"/parties/{party.pk}/").content.decode()
    assert "Could we be three? &lt;script&gt;" in page
    desk.post(f"/parties/{party.pk}/asks/{ask.pk}/")
    assert "Could we be three?" not in desk.get(f"/parties/{party.pk}/").content.decode()


def test_after_a_day_was_called_off_the_client_chooses(client: Browser) -> None:
    booking = agreed(at=timezone.now(), **soon())
    record_payment(party=booking.party, amount=Decimal(174), moved_on=timezone.localdate())
    move_trip_state(trip=booking.trip, to=TripState.CANCELLED, reason="gale from the west")
    address = key_of(booking.party)
    page = client.get(address).content.decode()
    assert "We had to call this day off: gale from the west" in page
    assert "Send it back" in page
    settlement = Settlement.objects.get()
    wrong = client.post(f"{address}choose/{settlement.pk}/", {"choice": "open"})
    assert wrong.status_code == 404
    client.post(f"{address}choose/{settlement.pk}/", {"choice": "refund"})
    again = client.post(f"{address}choose/{settlement.pk}/", {"choice": "move"}, follow=True)
    assert "chosen already" in told(again.content.decode())
    settlement.refresh_from_db()
    assert (settlement.choice, settlement.refunded) == ("refund", 174)


def test_the_guide_makes_and_takes_back_links(desk: Browser, client: Browser) -> None:
    party = PartyFactory()
    answer = desk.post(f"/parties/{party.pk}/link/", follow=True)
    words = told(answer.content.decode())
    address = "/my/" + words.split("/my/")[1].split()[0]
    assert client.get(address).status_code == 200
    desk.post(f"/parties/{party.pk}/link/end/")
    assert "taken back" in client.get(address).content.decode()


def test_the_page_costs_the_same_whatever_is_on_it(
    client: Browser, django_assert_max_num_queries: Any
) -> None:
    booking = agreed(at=timezone.now(), **soon())
    address = key_of(booking.party)
    counts = []
    for _ in range(2):
        with django_assert_max_num_queries(40) as captured:
            assert client.get(address).status_code == 200
        counts.append(len(captured.captured_queries))
        from tests.factories_bookings import another

        for n in range(4):
            another(booking, at=timezone.now(), **soon(70 + n))
    assert counts[0] == counts[1]
