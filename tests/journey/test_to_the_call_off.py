"""A party's whole road through the pages' own forms: from its question to the day called off."""

from __future__ import annotations

import datetime
import re
from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal

import pytest
import time_machine
from django.core.cache import cache
from django.core.management import call_command
from django.test import Client
from django.urls import reverse

from bookings.actions.sending import send_due
from bookings.models import Booking, Message, MessageKind, Participant, Settlement, Signature, Trip
from guiding.desk.actions.messages import run_scheduler
from tests.journey.test_first_day import (
    NOON,
    enter_offer_and_rates,
    enter_tide_and_spot,
    open_the_desk,
)
from tests.visit import Visitor

HOUR = datetime.timedelta(hours=1)
ANSWERS = {
    "allergy": "no",
    "medicine": "no",
    "swims": "yes",
    "photos": "yes",
    "relation": "father",
    "contact_phone": "020 910 0200",
}
ADULTS = (("Maeve", "Skerry", "1984-02-29"), ("Tomas", "Skerry", "1983-05-14"))


@dataclass
class Road:
    """The guide's browser and the booker's, each with its own cookies, and one clock."""

    guide: Visitor
    booker: Visitor
    clock: time_machine.Traveller

    def wait(self, hours: float) -> datetime.datetime:
        """Time passes, and the worker does a round: writes what is due and sends it."""
        self.clock.shift(hours * HOUR)
        now = datetime.datetime.now(tz=datetime.UTC)
        run_scheduler(at=now)
        send_due(at=lambda: now)
        return now

    def mail(self, kind: MessageKind, to: str = "maeve@example.org") -> Message:
        """The newest mail of a kind that somebody was written."""
        found = Message.objects.filter(kind=kind, to_mail=to).order_by("-pk").first()
        assert found is not None, f"no {kind}; there is {list(Message.objects.all())}"
        return found

    @property
    def trip(self) -> Trip:
        return Trip.objects.get()

    @property
    def party(self) -> str:
        return reverse("party", args=[Booking.objects.get().party_id])


@pytest.fixture
def road(db: None, client: Client) -> Iterator[Road]:
    cache.clear()
    with time_machine.travel(NOON, tick=False) as clock:
        yield Road(Visitor(client), Visitor(Client()), clock)
    cache.clear()


def test_from_the_question_to_the_call_off(road: Road) -> None:
    open_the_desk(road.guide)
    enter_tide_and_spot(road.guide)
    enter_offer_and_rates(road.guide)
    publish_the_texts(road)
    ask(road)
    hold_a_day(road)
    send_the_price(road)
    say_yes(road)
    pay_the_deposit(road)
    name_the_people(road)
    sign(road)
    change_the_time(road)
    call_off(road)
    take_the_money_back(road)
    call_command("check_books")


def publish_the_texts(road: Road) -> None:
    guide = road.guide
    guide.go(reverse("text_list"))
    guide.send("Start from our texts")
    for kind in ("terms", "risks", "guardian", "health", "photos"):
        page = guide.go(reverse("text_edit", args=[kind, "en"]))
        checked = re.sub(r"\[[^\]]*\]\s*", "", page.form("body").values["body"])
        guide.send("body", body=checked)
        page = guide.send("Publish", checked_by="Invented & Co, Marram Head")
        assert "Version 1 is out." in page.told, page.problems


def ask(road: Road) -> None:
    booker = road.booker
    page = booker.go(reverse("ask"))
    road.clock.shift(30)
    page = booker.send(
        given_name="Maeve",
        family_name="Skerry",
        email="maeve@example.org",
        heads="3",
        minors="1",
        offer=page.form().choice("offer", "Family day"),
        day_from="2026-06-13",
    )
    assert page.address == reverse("asked"), page.problems


def hold_a_day(road: Road) -> None:
    guide = road.guide
    guide.go(reverse("party_list"))
    guide.follow("Maeve Skerry")
    party = guide.page.address  # type: ignore[union-attr]
    page = guide.follow("Find a day for them")
    buttons = [words for form in page.forms for words in form.buttons]
    [button] = [words for words in buttons if words.startswith("Hold it: 13 June")]
    page = guide.send(button)
    assert page.address == party, page.told
    assert "13 June at North Strand is held for Maeve Skerry until 3 June, 13:00" in page.told
    assert (road.trip.status, road.trip.places_taken) == ("tentative", 3)


def send_the_price(road: Road) -> None:
    guide = road.guide
    page = guide.go(road.party)
    [note] = [words for words in page.links if words.startswith("No.")]
    guide.follow(note)
    guide.send("Note it as sent")
    road.wait(0.1)
    promise = "The day is yours once you have said yes, and not before."
    assert promise in road.mail(MessageKind.PRICE_NOTE).body


def own_page(road: Road) -> None:
    """The booker presses the link of the newest mail that has one."""
    bodies = Message.objects.filter(to_mail="maeve@example.org").order_by("-pk")
    links = [found for row in bodies if (found := re.search(r"/my/[\w-]+/", row.body))]
    road.booker.go(links[0][0])


def say_yes(road: Road) -> None:
    own_page(road)
    page = road.booker.send("read")
    assert "Read the terms first" in page.problems
    page = road.booker.send("read", read="on")
    assert "Agreed. The day is yours" in page.told
    assert road.trip.status == "confirmed"
    road.wait(0.1)
    assert "it is settled" in road.mail(MessageKind.CONFIRMATION).body
    bill = road.mail(MessageKind.BALANCE).body
    assert "with this mail comes the invoice" in bill
    assert "€135.00" in bill
    assert not Message.objects.filter(kind=MessageKind.REMINDER).exists()


def pay_the_deposit(road: Road) -> None:
    road.wait(20)
    guide = road.guide
    guide.go(road.party)
    guide.follow("Record a payment")
    page = guide.send("amount", amount="135", moved_on="2026-06-02")
    assert not page.problems
    own_page(road)
    assert "€135.00" in road.booker.page.text  # type: ignore[union-attr]
    assert "part paid" in road.booker.page.text  # type: ignore[union-attr]


def name_the_people(road: Road) -> None:
    """The adults by the booker, on their own page; the child with one of them as guardian."""
    booker = road.booker
    for given, family, born in ADULTS:
        own_page(road)
        booker.follow("Name somebody")
        page = booker.send(
            "given_name", given_name=given, family_name=family, born_on=born, swims="yes"
        )
        assert "Saved." in page.told, page.problems
    own_page(road)
    page = booker.follow("Name somebody")
    guardian = page.form("given_name").choice("guardian", "Tomas Skerry")
    page = booker.send(
        "given_name", given_name="Finn", born_on="2016-07-09", swims="no", guardian=guardian
    )
    assert "Saved." in page.told, page.problems
    finn = Participant.objects.get(given_name="Finn")
    assert str(finn.guardian) == "Tomas Skerry"


def sign(road: Road) -> None:
    guide = road.guide
    page = guide.go(reverse("trip_signing", args=[road.trip.pk]))
    assert "Finn" in page.text
    page = guide.send("Ask all who are missing")
    doors = sorted(set(re.findall(r"/sign/[\w-]+/", page.html)))
    assert len(doors) == 2, "Maeve for herself, Tomas for himself and for Finn"
    assert sum(sign_behind(door) for door in doors) == 3
    names = Signature.objects.values_list("participant__given_name", flat=True)
    assert set(names) == {"Maeve", "Tomas", "Finn"}
    page = guide.go(reverse("trip_signing", args=[road.trip.pk]))
    assert "Ask all who are missing" not in page.text


def sign_behind(door: str) -> int:
    """Sign for everybody behind one link; how many that were."""
    phone, signed = Visitor(Client()), 0
    page = phone.go(door)
    while "Read and sign" in page.links:
        form = phone.follow("Read and sign").form("signer_name")
        typed = {"typed": form.values["signer_name"], "agrees": "on"} | ANSWERS
        asked = form.values | form.choices
        page = phone.send("signer_name", **{name: typed[name] for name in typed if name in asked})
        assert "Signed." in page.told, page.problems
        signed += 1
    return signed


def change_the_time(road: Road) -> None:
    road.wait(1)
    guide = road.guide
    guide.go(reverse("trip", args=[road.trip.pk]))
    page = guide.follow("Change time or place")
    old = page.form("starts_at").values["starts_at"]
    starts = datetime.datetime.fromisoformat(old) - datetime.timedelta(minutes=20)
    page = guide.send("starts_at", starts_at=f"{starts:%Y-%m-%dT%H:%M}")
    assert "The day is changed." in page.told, page.problems
    told = road.mail(MessageKind.CHANGE).body
    assert f"{starts:%H:%M}" in told
    assert old[-5:] in told, "old and new"


def call_off(road: Road) -> None:
    road.wait(1)
    guide = road.guide
    guide.go(reverse("trip", args=[road.trip.pk]))
    page = guide.send("Call the day off", reason="A gale from the west")
    assert road.trip.status == "cancelled", page.problems
    assert "A gale from the west" in road.mail(MessageKind.CALL_OFF).body


def take_the_money_back(road: Road) -> None:
    own_page(road)
    page = road.booker.send("Send it back")
    assert "Noted. We see to it." in page.told
    settlement = Settlement.objects.get()
    assert (settlement.choice, settlement.theirs) == ("refund", Decimal(135))
    guide = road.guide
    booking = Booking.objects.get()
    guide.go(reverse("booking", args=[booking.party_id, booking.pk]))
    guide.follow("Give money back")
    page = guide.send(
        "amount", amount="135", moved_on="2026-06-02", reason="The day was called off"
    )
    assert not page.problems
    own_page(road)
    assert "Goes back to you" in road.booker.page.text  # type: ignore[union-attr]
