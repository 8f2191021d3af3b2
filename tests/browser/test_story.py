"""The whole story on two telephones: from the first question to the money that goes back.

The guest and the guide each hold a phone of 360 pixels; nothing is done but what they can press.
"""

from __future__ import annotations

import datetime
import os
import re
from collections.abc import Iterator
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest
from django.core.cache import cache
from django.utils import timezone
from playwright.sync_api import Browser, BrowserContext, Locator, expect

from bookings.models import Booking, Business, MoneyEntry, Participant, Quote, Settlement, Trip
from tests.browser.sizes import PHONE, complaints, findings, follow, sideways, sign_in
from tests.factories import BusinessFactory, OfferFactory, UserFactory
from tests.factories_days import SpotFactory

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

GUIDE = "orla@marramhead.example"
IBAN = "IE29AIBK93115212345678"  # the registry's own example
# Where to keep a picture of every step, for whoever wants to look at them.
PICTURES = os.environ.get("STORY_PICTURES", "")


class Phone:
    """One person's telephone: what they look at, and what stands in their way there."""

    def __init__(self, context: BrowserContext, server: str, name: str) -> None:
        self.page, self.server, self.name, self.step = context.new_page(), server, name, 0
        self.heard = complaints(self.page)

    def open(self, path: str) -> None:
        self.page.goto(path if path.startswith("http") else self.server + path)

    def link(self, words: str) -> None:
        self.follow(self.page.get_by_role("link", name=words).first)

    def press(self, words: str) -> None:
        self.follow(self.page.get_by_role("button", name=words).first)

    def follow(self, way: Locator) -> None:
        follow(self.page, way)

    def told(self, words: str) -> None:
        expect(self.page.locator("main")).to_contain_text(words)

    def look(self) -> None:
        """Nothing is pushed aside, nothing complains, nobody is shut out; a picture on request."""
        self.step += 1
        if PICTURES:
            folder = Path(PICTURES)
            folder.mkdir(parents=True, exist_ok=True)
            picture = folder / f"{self.name}-{self.step:02}.png"
            self.page.screenshot(path=str(picture), full_page=True)
        assert sideways(self.page) <= 0, self.page.url
        assert findings(self.page) == [], self.page.url
        assert self.heard == [], self.page.url


@pytest.fixture
def two_phones(chrome: Browser, live_server: Any) -> Iterator[tuple[Phone, Phone]]:
    """The guest's, who is not known to anybody, and the guide's, who has signed in."""
    cache.clear()
    contexts = [
        chrome.new_context(viewport=PHONE, is_mobile=True, has_touch=True, locale="en-IE")
        for _ in range(2)
    ]
    for context in contexts:
        context.set_default_timeout(30_000)
    guest, guide = (
        Phone(context, live_server.url, name)
        for context, name in zip(contexts, ("guest", "guide"), strict=True)
    )
    sign_in(guide.page, live_server.url, GUIDE)
    yield guest, guide
    for context in contexts:
        context.close()


@pytest.fixture(autouse=True)
def house(transactional_db: None) -> Business:
    """A guide with one offer and one spot."""
    business = BusinessFactory(iban=IBAN)
    UserFactory(is_superuser=True, email=GUIDE, username="orla")
    OfferFactory(name="Family day", price=Decimal(150), places=6)
    SpotFactory(name="North Strand")
    return business


def first_day() -> datetime.date:
    return timezone.localdate() + datetime.timedelta(days=40)


def test_from_the_first_question_to_the_money_that_goes_back(
    two_phones: tuple[Phone, Phone],
) -> None:
    guest, guide = two_phones
    the_guest_asks(guest)
    own_page = the_guide_answers_with_a_price(guide)
    the_guest_says_yes(guest, own_page)
    the_deposit_arrives(guide)
    the_guest_sees_it_and_names_everybody(guest)
    the_guest_asks_for_another_day(guest)
    the_guide_moves_them(guide)
    the_guide_calls_the_day_off(guide)
    the_guest_wants_the_money_back(guest)
    the_guide_sends_it(guide)
    the_guest_sees_the_end(guest)


def the_guest_asks(guest: Phone) -> None:
    guest.open("/ask/")
    guest.look()
    page = guest.page
    page.get_by_label("Given name").fill("Maeve")
    page.get_by_label("Family name").fill("Skerry")
    page.get_by_label("Mail").fill("maeve@example.org")
    page.get_by_label("Which day").select_option(label="Family day")
    page.get_by_label("First day that suits").fill(first_day().isoformat())
    page.get_by_label("Anything we should know").fill("First light, if we may.")
    page.wait_for_timeout(2100)  # quicker than this is a robot
    guest.press("Send the question")
    guest.told("answers within a day or so")
    guest.look()


def the_guide_answers_with_a_price(guide: Phone) -> str:
    """Plans the day, holds it, sends the price; the link that the guest is given."""
    guide.open("/")
    guide.link("Maeve Skerry")
    guide.told("First light, if we may.")
    guide.look()
    guide.link("Plan a day")
    guide.page.get_by_label("Spot").select_option(label="North Strand")
    guide.follow(guide.page.locator("main form").first.get_by_role("button").first)
    guide.told("Why these hours")
    guide.look()
    guide.press("Plan it, hold it for Maeve")
    guide.told("Held for the party, with a price note to send.")
    guide.link("No.")
    guide.look()
    guide.press("Note it as sent")
    guide.press("Make a link")
    message = guide.page.locator(".messages").inner_text()
    guide.look()
    found = re.search(r"https?://\S+/my/\S+/", message)
    assert found, message
    assert Quote.objects.get().status == "sent"
    return "/my/" + found[0].split("/my/")[1]


def the_guest_says_yes(guest: Phone, own_page: str) -> None:
    guest.open(own_page)
    guest.told("Our price for you")
    guest.told("€300.00")
    guest.look()
    guest.page.get_by_role("button", name="Yes, we take it").click()
    assert guest.page.get_by_label("I have read the terms").evaluate("it => !it.validity.valid")
    guest.page.get_by_label("I have read the terms").check()
    guest.press("Yes, we take it")
    guest.told("Agreed. The day is yours")
    guest.told("To pay now")
    guest.told("IE29 AIBK 9311 5212 3456 78")
    guest.look()
    assert Booking.objects.get().status == "confirmed"
    assert Trip.objects.get().status == "confirmed"


def the_deposit_arrives(guide: Phone) -> None:
    guide.open("/parties/")
    guide.link("Maeve Skerry")
    guide.link("Record a payment")
    guide.page.get_by_label("Amount").fill("90")
    guide.look()
    guide.follow(guide.page.locator("main form").get_by_role("button").last)
    guide.told("€210.00")
    guide.look()
    assert MoneyEntry.objects.filter(kind="payment").get().amount == 90


def the_guest_sees_it_and_names_everybody(guest: Phone) -> None:
    guest.page.reload()
    guest.told("part paid")
    assert guest.page.get_by_text("To pay now").count() == 0
    people = (
        ("Maeve", "Skerry", "1984-02-29", "swims"),
        ("Finn", "", "2014-09-20", "does not swim"),
    )
    for given, family, born, swims in people:
        guest.link("Name somebody")
        guest.page.get_by_label("Given name").fill(given)
        guest.page.get_by_label("Family name").fill(family)
        guest.page.get_by_label("Date of birth").fill(born)
        guest.page.get_by_label("In the water").select_option(label=swims)
        guest.look()
        guest.press("Save")
        guest.told("Saved.")
    guest.told("2 of 2 named")
    guest.look()
    assert Participant.objects.count() == 2


def the_guest_asks_for_another_day(guest: Phone) -> None:
    guest.page.get_by_label("What would you like to change?").fill("A week later, please.")
    guest.press("Ask us")
    guest.told("We have your question")
    guest.look()


def the_guide_moves_them(guide: Phone) -> None:
    guide.open("/trips/new/")
    later = first_day() + datetime.timedelta(days=7)
    guide.page.get_by_label("Offer").select_option(label="Family day")
    guide.page.get_by_label("Spot").select_option(label="North Strand")
    guide.page.get_by_label("Day", exact=False).first.fill(later.isoformat())
    guide.follow(guide.page.locator("main form").first.get_by_role("button").first)
    guide.press("Plan this day")
    guide.told("The day is planned.")
    guide.open("/parties/")
    guide.link("Maeve Skerry")
    guide.told("A week later, please.")
    guide.look()
    guide.follow(guide.page.locator("a[href*='/bookings/']").first)
    guide.link("Another day")
    choice = guide.page.get_by_label("To", exact=False).first
    choice.select_option(index=choice.locator("option").count() - 1)
    guide.press("Show what it comes to")
    guide.told("What it comes to")
    guide.look()
    guide.press("Move to")
    guide.told("Changed as shown.")
    guide.look()
    assert list(Booking.objects.order_by("pk").values_list("status", flat=True)) == [
        "cancelled",
        "confirmed",
    ]
    guide.open("/parties/")
    guide.link("Maeve Skerry")
    guide.press("Answered")


def the_guide_calls_the_day_off(guide: Phone) -> None:
    trip = Booking.objects.get(status="confirmed").trip
    guide.open(f"/trips/{trip.pk}/")
    guide.look()
    guide.page.get_by_text("Call off", exact=True).click()
    guide.page.get_by_label("Why").fill("gale from the west")
    guide.press("Call the day off")
    guide.told("Called off: gale from the west")
    guide.look()


def the_guest_wants_the_money_back(guest: Phone) -> None:
    guest.page.reload()
    guest.told("We had to call this day off: gale from the west")
    guest.told("€90.00")
    guest.look()
    guest.press("Send it back")
    guest.told("Noted. We see to it.")
    guest.told("Goes back to you")
    guest.look()
    assert Settlement.objects.get(choice="refund").refunded == 90


def the_guide_sends_it(guide: Phone) -> None:
    booking = Booking.objects.order_by("pk").last()
    assert booking is not None
    guide.open(f"/parties/{booking.party_id}/bookings/{booking.pk}/")
    guide.look()
    guide.link("Give money back")
    guide.page.get_by_label("What for").fill("Day called off, gale")
    guide.look()
    guide.follow(guide.page.locator("main form").get_by_role("button").last)
    guide.told("€0.00")
    guide.look()
    paid = MoneyEntry.objects.filter(kind__in=["payment", "refund"]).values_list("kind", "amount")
    assert sorted(paid) == [("payment", Decimal(90)), ("refund", Decimal(90))]


def the_guest_sees_the_end(guest: Phone) -> None:
    guest.page.reload()
    guest.told("called off")
    guest.look()
