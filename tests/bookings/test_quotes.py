"""Price notes: lines frozen, sent, accepted once, lapsed by themselves with their hold."""

from __future__ import annotations

import datetime
from decimal import Decimal

import pytest
from django.core.exceptions import ValidationError
from django.test import Client as Browser
from django.utils import timezone

from bookings.actions.quotes import accept_quote, draft_quote, lapse_quotes, send_quote
from bookings.actions.trips import cancel_booking
from bookings.models import Booking, OfferExtra, OfferStep, Quote
from tests.bookings.reading import told
from tests.factories import FAR_AHEAD, NOON, OfferFactory, PartyFactory
from tests.factories_bookings import quoted, sent

HOUR = datetime.timedelta(hours=1)

pytestmark = pytest.mark.usefixtures("business")


def test_lines_of_a_price_by_heads_with_children_extras_and_a_minimum() -> None:
    offer = OfferFactory(
        price=Decimal(180), child_price=Decimal(95), minimum_charge=Decimal(500), places=6
    )
    rods = OfferExtra.objects.create(offer=offer, name="Own rod each", price=Decimal("12.50"))
    quote = draft_quote(
        party=PartyFactory(offer=offer, heads=3),
        offer=offer,
        heads=3,
        children=1,
        extras=[rods],
        at=NOON,
    )
    lines = [(line.text, line.quantity, line.amount) for line in quote.lines.all()]
    assert lines == [
        ("Adult", 2, Decimal(360)),
        ("Child", 1, Decimal(95)),
        ("Up to the minimum charge", 1, Decimal(45)),
        ("Own rod each", 3, Decimal("37.50")),
    ]
    assert quote.total == Decimal("537.50")
    assert quote.deposit == Decimal("161.25")


def test_an_offer_in_steps_charges_the_step_of_the_party() -> None:
    offer = OfferFactory(basis="steps", price=0, places=6)
    OfferStep.objects.create(offer=offer, heads_from=1, price=Decimal(400))
    OfferStep.objects.create(offer=offer, heads_from=3, price=Decimal(600))
    quote = draft_quote(party=PartyFactory(offer=offer), offer=offer, heads=2, at=NOON)
    assert quote.total == Decimal(400)


@pytest.mark.parametrize(
    ("heads", "children", "sentence"),
    [
        (0, 0, "nobody in it"),
        (9, 0, "9 heads are too many"),
        (1, 2, "2 children do not fit in a party of 1"),
    ],
)
def test_a_party_that_cannot_be_priced_is_refused(heads: int, children: int, sentence: str) -> None:
    offer = OfferFactory(places=4)
    with pytest.raises(ValidationError, match=sentence):
        draft_quote(
            party=PartyFactory(offer=offer), offer=offer, heads=heads, children=children, at=NOON
        )
    assert not Quote.objects.exists()


def test_yes_confirms_the_hold_and_the_trip_once() -> None:
    quote = sent()
    accept_quote(quote=quote, at=NOON + HOUR)
    booking = quote.booking
    booking.refresh_from_db()
    assert (booking.status, booking.price) == ("confirmed", quote.total)
    assert booking.trip.status == "confirmed"
    with pytest.raises(ValidationError, match="already accepted"):
        accept_quote(quote=quote, at=NOON + HOUR)


def test_a_price_note_that_ran_out_is_not_accepted() -> None:
    quote = sent()
    with pytest.raises(ValidationError, match="run out"):
        accept_quote(quote=quote, at=quote.valid_until)
    quote.refresh_from_db()
    assert quote.status == "sent"


def test_a_price_note_lapses_by_itself_and_frees_the_day() -> None:
    quote = sent()
    trip = quote.booking.trip
    assert lapse_quotes(at=quote.valid_until - HOUR / 60) == 0
    assert lapse_quotes(at=quote.valid_until) == 1
    assert lapse_quotes(at=quote.valid_until) == 0
    quote.refresh_from_db()
    trip.refresh_from_db()
    assert (quote.status, trip.places_taken) == ("lapsed", 0)
    assert Booking.objects.get().status == "cancelled"


def test_a_draft_cannot_be_accepted_and_a_sent_one_not_sent_again() -> None:
    quote = quoted()
    with pytest.raises(ValidationError, match="can only become"):
        accept_quote(quote=quote, at=NOON)
    send_quote(quote=quote, at=NOON)
    with pytest.raises(ValidationError, match="already sent"):
        send_quote(quote=quote, at=NOON)


def test_yes_after_the_hold_was_released_takes_the_places_again_if_they_are_free() -> None:
    quote = sent()
    cancel_booking(booking=quote.booking, at=NOON + HOUR)
    accepted = accept_quote(quote=quote, at=NOON + 2 * HOUR)
    assert accepted.booking.status == "confirmed"
    assert accepted.booking.trip.places_taken == quote.heads


def test_yes_after_the_places_went_to_somebody_else_is_refused() -> None:
    quote = sent()
    cancel_booking(booking=quote.booking, at=NOON + HOUR)
    trip = quote.booking.trip
    trip.places_taken = trip.places
    trip.save()
    with pytest.raises(ValidationError, match="All 4 places of this trip are taken"):
        accept_quote(quote=quote, at=NOON + 2 * HOUR)
    quote.refresh_from_db()
    assert quote.status == "sent"


def test_the_page_of_a_price_note_moves_it_by_post_only(desk: Browser) -> None:
    quote = quoted(at=timezone.now(), **FAR_AHEAD)
    assert desk.get(f"/money/quotes/{quote.pk}/sent/").status_code == 405
    quote.refresh_from_db()
    assert quote.status == "draft"
    answer = desk.post(f"/money/quotes/{quote.pk}/sent/", follow=True)
    assert "is sent" in told(answer.content.decode())
    answer = desk.post(f"/money/quotes/{quote.pk}/sent/", follow=True)
    assert "already sent" in told(answer.content.decode())
    desk.post(f"/money/quotes/{quote.pk}/accepted/")
    quote.refresh_from_db()
    assert quote.status == "accepted"
    assert desk.get("/money/quotes/999999/").status_code == 404
    assert desk.post(f"/money/quotes/{quote.pk}/stolen/").status_code == 404
