"""Find a day by its own page: from the party to a held day and to wishes that are kept."""

from __future__ import annotations

import datetime
from collections.abc import Iterator
from decimal import Decimal

import pytest
import time_machine
from django.test import Client
from django.urls import reverse

from bookings.models import Booking, Party
from guiding.days.models import PartyWish, Spot
from tests.factories import NOON, OfferFactory, PartyFactory
from tests.factories_days import SpotFactory
from tests.visit import Page, Visitor


@pytest.fixture
def visitor(desk: Client) -> Iterator[Visitor]:
    with time_machine.travel(NOON, tick=False):
        yield Visitor(desk)


@pytest.fixture
def spot(desk: Client) -> Spot:
    return SpotFactory(name="North Strand", sill_m=None, sand_km=0, drive_min=60)


@pytest.fixture
def party(spot: Spot) -> Party:
    offer = OfferFactory(fishing_hours=Decimal(4), hours=Decimal(10), tide_wanted="high")
    return PartyFactory(offer=offer, heads=3, minors=1, day_from=datetime.date(2026, 6, 13))


def from_the_party(visitor: Visitor, party: Party) -> Page:
    """The main road: the party's page, and its first button."""
    visitor.go(reverse("party", args=[party.pk]))
    return visitor.follow("Find a day for them")


def first_hold(page: Page) -> str:
    return next(words for form in page.forms for words in form.buttons if "Hold it" in words)


def test_the_first_day_found_for_a_party_is_held_by_its_button(
    visitor: Visitor, party: Party
) -> None:
    page = from_the_party(visitor, party)
    page = visitor.send(first_hold(page))
    assert page.address == reverse("party", args=[party.pk]), page.told
    assert f"is held for {party.client} until" in page.told
    booking = Booking.objects.get(party=party)
    assert (booking.status, booking.heads) == ("tentative", 3)


def test_a_search_that_was_typed_holds_its_day_too(visitor: Visitor, party: Party) -> None:
    from_the_party(visitor, party)
    page = visitor.send("Find days", first="2026-06-20", last="2026-06-21", weekdays=["5", "6"])
    page = visitor.send(first_hold(page))
    assert "is held for" in page.told
    assert Booking.objects.get(party=party).trip.starts_at.date().isoformat() in {
        "2026-06-20",
        "2026-06-21",
    }


def test_wishes_are_kept_from_the_page_and_begin_the_next_search(
    visitor: Visitor, party: Party, spot: Spot
) -> None:
    from_the_party(visitor, party)
    page = visitor.send("Keep these as their wishes")
    assert page.told == f"Kept as the wishes of {party.client}."
    form = from_the_party(visitor, party).form("Find days")
    visitor.send(
        "Find days",
        weekdays=["5", "6"],
        latest="22:00",
        moon="any",
        spot=form.choice("spot", "North Strand"),
    )
    visitor.send("Keep these as their wishes")
    wish = PartyWish.objects.get(party=party)
    assert (wish.weekdays, wish.latest, wish.spot) == ("56", datetime.time(22), spot)
    form = from_the_party(visitor, party).form("Find days")
    assert form.values["weekdays"] == ["5", "6"]
    page = visitor.send("Keep these as their wishes")
    assert PartyWish.objects.get(party=party).weekdays == "56", "kept once more as they begin"
