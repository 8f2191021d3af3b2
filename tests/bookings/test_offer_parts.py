"""Steps, extras and ladders of offers: entered, refused, and old price notes left as they were."""

from __future__ import annotations

import datetime
from decimal import Decimal
from typing import Any

import pytest
from django.test import Client as Browser

from bookings.actions.quotes import accept_quote, draft_quote, send_quote
from bookings.actions.trips import hold_places
from bookings.models import Booking, Business, CancellationLadder, Offer, OfferExtra, Quote
from bookings.sheets.changes import heads_change
from bookings.sheets.pricing import booking_rungs
from tests.bookings.reading import problems, told
from tests.factories import NOON, OfferFactory, PartyFactory, TripFactory

DAY = datetime.timedelta(days=1)


def _rows(*rows: dict[str, str], initial: int = 0) -> dict[str, str]:
    sent = {"form-TOTAL_FORMS": str(len(rows)), "form-INITIAL_FORMS": str(initial)}
    return sent | {
        f"form-{n}-{name}": value for n, row in enumerate(rows) for name, value in row.items()
    }


def _step(heads: str, price: str, **more: str) -> dict[str, str]:
    return {"heads_from": heads, "price": price, **more}


def _rung(days: str, keep: str, base: str = "price", **more: str) -> dict[str, str]:
    return {"days_before": days, "keep_percent": keep, "base": base, **more}


def _agreed(offer: Offer, extras: list[OfferExtra]) -> Booking:
    party = PartyFactory(offer=offer, heads=3)
    trip = TripFactory(
        offer=offer,
        places=4,
        starts_at=NOON + 60 * DAY,
        ends_at=NOON + 60 * DAY + datetime.timedelta(hours=10),
    )
    held = hold_places(party=party, trip=trip, heads=2, at=NOON)
    quote = draft_quote(party=party, offer=offer, heads=2, booking=held, extras=extras, at=NOON)
    quote = accept_quote(quote=send_quote(quote=quote, at=NOON), at=NOON)
    assert quote.booking is not None
    return quote.booking


def test_steps_and_extras_change_and_what_was_agreed_keeps_them(desk: Browser) -> None:
    offer = OfferFactory(basis="steps", price=0, places=4)
    address = f"/setup/offers/{offer.pk}/steps/"
    assert desk.post(address, _rows(_step("1", "400"), _step("3", "550.50"))).status_code == 302
    assert (
        desk.post(
            f"/setup/offers/{offer.pk}/extras/new/",
            {"name": "Smoked fish", "price": "12.50", "per_head": "on"},
        ).status_code
        == 302
    )
    extra = OfferExtra.objects.get()
    booking = _agreed(offer, [extra])
    assert booking.price == Decimal(425)
    changed = _rows(_step("1", "900"), _step("3", "950", DELETE="on"), initial=2)
    assert desk.post(address, changed).status_code == 302
    assert [step.price for step in offer.steps.all()] == [900]
    desk.post(
        f"/setup/offers/{offer.pk}/extras/{extra.pk}/", {"name": "Smoked fish", "price": "99"}
    )
    desk.post(f"/setup/offers/{offer.pk}/extras/{extra.pk}/remove/")
    assert not OfferExtra.objects.exists()
    assert Quote.objects.get().total == Decimal(425)
    found = heads_change(
        Booking.objects.get(),
        heads=3,
        children=0,
        on=NOON.date(),
        business=Business.objects.get(),
    )
    assert found.priced.total == Decimal("588.00")  # 550.50 and three times 12.50, as agreed


def test_a_ladder_changes_and_what_was_agreed_keeps_it(desk: Browser) -> None:
    rows = _rows(_rung("30", "0"), _rung("0", "100", may_move="on"))
    assert desk.post("/setup/ladders/new/", rows | {"name": "Strict"}).status_code == 302
    ladder = CancellationLadder.objects.get()
    booking = _agreed(OfferFactory(ladder=ladder), [])
    before = booking_rungs(booking)
    softer = _rows(_rung("0", "10"), initial=0)
    assert desk.post(f"/setup/ladders/{ladder.pk}/", softer | {"name": "Soft"}).status_code == 302
    assert [step.keep_percent for step in ladder.steps.all()] == [10]
    assert booking_rungs(Booking.objects.get()) == before
    assert "Soft" in desk.get("/setup/offers/").content.decode()


@pytest.mark.parametrize(
    ("rows", "sentence"),
    [
        ([_step("2", "400")], "1"),
        ([_step("1", "400"), _step("1", "500")], "begin at the same number of heads"),
        ([_step("1", "400.005")], "more digits than the currency"),
        ([_step("1", "500"), _step("2", "400")], "less"),
        ([_step("0", "400")], "greater than or equal to 1"),
        ([_step("1", "-4")], "greater than or equal to 0"),
        ([_step("one", "400")], "Enter a whole number."),
    ],
)
def test_wrong_steps_are_refused_and_nothing_changes(
    desk: Browser, rows: list[dict[str, str]], sentence: str
) -> None:
    offer = OfferFactory(basis="steps", price=0)
    offer.steps.create(heads_from=1, price=300)
    answer = desk.post(f"/setup/offers/{offer.pk}/steps/", _rows(*rows))
    assert answer.status_code == 422
    assert sentence in problems(answer.content.decode())
    assert [step.price for step in offer.steps.all()] == [300]


@pytest.mark.parametrize(
    ("rows", "name", "sentence"),
    [
        ([], "Strict", "one step at least"),
        ([_rung("7", "50")], "Strict", "add a step of 0 days"),
        ([_rung("0", "50"), _rung("0", "60")], "Strict", "begin on the same day"),
        ([_rung("0", "101")], "Strict", "less than or equal to 100"),
        ([_rung("0", "50", base="sand")], "Strict", "Select a valid choice."),
        ([_rung("0", "50")], "", "This field"),
        ([_rung("0", "50")], "Known", "already exists"),
    ],
)
def test_a_wrong_ladder_is_refused_and_nothing_is_written(
    desk: Browser, rows: list[dict[str, str]], name: str, sentence: str
) -> None:
    CancellationLadder.objects.create(name="Known")
    answer = desk.post("/setup/ladders/new/", _rows(*rows) | {"name": name})
    assert answer.status_code == 422
    assert sentence in problems(answer.content.decode())
    assert CancellationLadder.objects.count() == 1


@pytest.mark.parametrize(
    ("change", "sentence"),
    [
        ({"price": "0.005"}, "more digits than the currency"),
        ({"name": "FLASK"}, "has FLASK already"),
        ({"name": ""}, "This field is required."),
        ({"tax_percent": "101"}, "less than or equal to 100"),
    ],
)
def test_a_wrong_extra_is_refused(desk: Browser, change: dict[str, Any], sentence: str) -> None:
    offer = OfferFactory()
    offer.extras.create(name="Flask", price=10)
    answer = desk.post(
        f"/setup/offers/{offer.pk}/extras/new/", {"name": "Fire", "price": "5"} | change
    )
    assert answer.status_code == 422
    assert sentence in problems(answer.content.decode())
    assert offer.extras.count() == 1


def test_prices_stand_with_two_decimals_in_the_forms(desk: Browser) -> None:
    offer = OfferFactory(price=Decimal("290"), child_price=Decimal("95.5"), basis="steps")
    offer.steps.create(heads_from=1, price=300)
    extra = offer.extras.create(name="Flask", price=10)
    pages = [f"/setup/offers/{offer.pk}/", f"/setup/offers/{offer.pk}/steps/"]
    pages.append(f"/setup/offers/{offer.pk}/extras/{extra.pk}/")
    shown = "".join(desk.get(page).content.decode() for page in pages)
    for value in ("290.00", "95.50", "300.00", "10.00"):
        assert f'value="{value}"' in shown
    for value in ("290.000", "95.500", "300.000", "10.000"):
        assert value not in shown


def test_an_offer_by_steps_leads_on_to_its_steps(desk: Browser) -> None:
    good = {
        "name": "Party day",
        "hours": "10",
        "fishing_hours": "5",
        "places": "5",
        "minimum_age": "7",
        "heads_per_guide": "4",
        "basis": "steps",
        "price": "0",
        "child_until_age": "15",
        "minimum_charge": "0",
        "tax_percent": "0",
        "deposit_percent": "30",
        "fixed_by": "yes",
        "tide_wanted": "any",
    }
    answer = desk.post("/setup/offers/new/", good, follow=True)
    assert answer.redirect_chain[-1][0].endswith("/steps/")
    assert "Party day saved." in told(answer.content.decode())
