"""Offers as data: entered, refused, changed without touching what was quoted."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import pytest
from django.test import Client as Browser

from bookings.models import Offer
from tests.bookings.reading import problems
from tests.factories import OfferFactory
from tests.factories_bookings import quoted

GOOD: dict[str, Any] = {
    "name": "Family day",
    "hours": "10",
    "fishing_hours": "5",
    "places": "5",
    "minimum_age": "7",
    "heads_per_guide": "4",
    "basis": "per_head",
    "price": "180",
    "child_price": "95",
    "child_until_age": "15",
    "minimum_charge": "400",
    "tax_percent": "0",
    "deposit_percent": "30",
    "fixed_by": "yes",
    "tide_wanted": "any",
}


def test_an_offer_is_entered_and_listed(desk: Browser) -> None:
    assert desk.post("/setup/offers/new/", GOOD).status_code == 302
    page = desk.get("/setup/offers/").content.decode()
    assert "Family day" in page
    assert "€180.00" in page
    assert "1\N{NO-BREAK SPACE}kind of day" in page


def test_the_guide_chooses_with_what_the_day_becomes_theirs(desk: Browser) -> None:
    assert "once the first part has come in" in desk.get("/setup/offers/new/").content.decode()
    desk.post("/setup/offers/new/", GOOD | {"fixed_by": "deposit"})
    assert Offer.objects.get().fixed_by == "deposit"
    assert desk.post("/setup/offers/new/", GOOD | {"fixed_by": "a nod"}).status_code == 422


def test_without_offers_the_list_says_what_to_do(desk: Browser) -> None:
    assert "Describe the first kind of day." in desk.get("/setup/offers/").content.decode()


@pytest.mark.parametrize(
    ("change", "sentence"),
    [
        ({"name": ""}, "This field is required."),
        ({"name": "N" * 300}, "at most 80 characters"),
        ({"fishing_hours": "0"}, "greater than or equal to 1"),
        ({"fishing_hours": "11"}, "The fishing is longer than the whole day."),
        ({"places": "200"}, "less than or equal to 60"),
        ({"price": "-1"}, "greater than or equal to 0"),
        ({"price": "0.005", "child_price": ""}, "0.005 EUR has more digits than the currency"),
        ({"price": "180.0001"}, "no more than 3 decimal places"),
        ({"child_price": "200"}, "above the adult"),
        ({"tax_percent": "101"}, "less than or equal to 100"),
        ({"deposit_percent": "101"}, "less than or equal to 100"),
        ({"basis": "by the kilo"}, "Select a valid choice."),
        ({"valid_from": "2027-05-01", "valid_until": "2027-04-01"}, "ends before it begins"),
    ],
)
def test_a_wrong_offer_is_refused(desk: Browser, change: dict[str, str], sentence: str) -> None:
    answer = desk.post("/setup/offers/new/", GOOD | change)
    assert answer.status_code == 422
    assert sentence in problems(answer.content.decode())
    assert not Offer.objects.exists()


def test_an_offer_that_is_refused_stays_as_it_was(desk: Browser) -> None:
    offer = OfferFactory(name="Party day", price=Decimal(290))
    answer = desk.post(f"/setup/offers/{offer.pk}/", GOOD | {"price": "0.005"})
    assert answer.status_code == 422
    offer.refresh_from_db()
    assert (offer.name, offer.price) == ("Party day", Decimal(290))


def test_a_quote_keeps_the_offer_as_it_was(desk: Browser) -> None:
    quote = quoted(heads=2)
    offer = quote.offer
    old_name = offer.name
    desk.post(f"/setup/offers/{offer.pk}/", GOOD | {"price": "999", "child_price": ""})
    page = desk.get(f"/money/quotes/{quote.pk}/").content.decode()
    assert old_name in page
    assert "€580.00" in page
    assert "999" not in page
