"""With what a day becomes a party's, the yes or the deposit, and nobody says otherwise."""

from __future__ import annotations

import datetime
from decimal import Decimal
from typing import Any

import pytest
import time_machine
from django.test import Client as Browser
from django.urls import reverse

from bookings.actions.money.payments import record_payment
from bookings.actions.party_links import make_party_link
from bookings.actions.quotes import accept_quote, draft_quote, send_quote
from bookings.actions.trips import hold_places
from bookings.models import Booking, Message, MessageKind, Quote, Trip
from bookings.rules.states import TripState
from bookings.sheets.client_words import words_of
from guiding.desk.actions.messages import run_scheduler
from guiding.desk.actions.telling import move_and_tell
from guiding.desk.sheets.money import full_quotes, quote_paper
from tests.factories import NOON, OfferFactory, PartyFactory, TripFactory
from tests.papers import reading
from tests.visit import Page, Visitor

pytestmark = pytest.mark.usefixtures("business")
DAY, MINUTE = datetime.timedelta(days=1), datetime.timedelta(minutes=1)
LANGUAGES = ("en", "de")


def priced(fixed_by: str, *, trip: Trip | None = None, language: str = "en", **offer: Any) -> Quote:
    """A price of 580 with 174 in advance, for a day in a month."""
    if trip is None:
        days = {"starts_at": NOON + 30 * DAY, "ends_at": NOON + 30.4 * DAY}
        trip = TripFactory(offer=OfferFactory(fixed_by=fixed_by, **offer), **days)
    party = PartyFactory(offer=trip.offer, client__language=language)
    held = hold_places(party=party, trip=trip, heads=2, at=NOON)
    draft = draft_quote(party=party, offer=trip.offer, heads=2, booking=held, at=NOON)
    return send_quote(quote=draft, at=NOON)


def agreed(quote: Quote) -> Booking:
    booking = accept_quote(quote=quote, at=NOON + MINUTE).booking
    assert booking is not None
    return booking


def pay(booking: Booking, amount: int, at: datetime.datetime) -> None:
    record_payment(
        party=booking.party,
        bookings=[booking],
        amount=Decimal(amount),
        moved_on=at.date(),
        at=at,
    )


def mails(kind: MessageKind, booking: Booking) -> list[Message]:
    return list(Message.objects.filter(kind=kind, party=booking.party).order_by("pk"))


def one_line(text: str) -> str:
    return " ".join(text.split())


def own(client: Browser, quote: Quote) -> tuple[Visitor, Page]:
    visitor = Visitor(client)
    return visitor, visitor.go(f"/my/{make_party_link(party=quote.party)}/")


@pytest.mark.parametrize("language", LANGUAGES)
@pytest.mark.parametrize("by", ["yes", "deposit"])
def test_paper_page_and_mail_promise_the_day_in_the_same_words(
    client: Browser, business: Any, by: str, language: str
) -> None:
    business.locale = f"{language}_IE" if language == "en" else "de_DE"
    business.save()
    quote = priced(by, language=language)
    quote.offer.fixed_by = {"yes": "deposit", "deposit": "yes"}[by]  # decided otherwise later
    quote.offer.save()
    promise = words_of(language)[f"yours_by_{by}"]
    other = words_of(language)[f"yours_by_{quote.offer.fixed_by}"]
    with time_machine.travel(NOON + MINUTE, tick=False):
        _, page = own(client, quote)
    run_scheduler(at=NOON + MINUTE)
    mail = Message.objects.get(kind=MessageKind.PRICE_NOTE)
    paper = reading.text(quote_paper(full_quotes().get(pk=quote.pk)))
    for said in (one_line(paper), page.text, one_line(mail.body)):
        assert promise in said
        assert other not in said


def test_by_the_yes_the_day_is_theirs_at_once(client: Browser) -> None:
    quote = priced("yes")
    with time_machine.travel(NOON + MINUTE, tick=False):
        visitor, _ = own(client, quote)
        page = visitor.send("read", read="on")
    assert words_of("en")["agreed"] in page.told
    booking = Booking.objects.get()
    assert (booking.is_fixed, booking.trip.status) == (True, "confirmed")
    run_scheduler(at=NOON + 2 * MINUTE)
    assert len(mails(MessageKind.CONFIRMATION, booking)) == 1
    (bill,) = mails(MessageKind.BALANCE, booking)
    assert "once the first part" not in one_line(bill.body)


@pytest.mark.parametrize("language", LANGUAGES)
def test_by_the_deposit_nothing_is_confirmed_before_it_has_come(
    client: Browser, language: str
) -> None:
    quote, words = priced("deposit", language=language), words_of(language)
    with time_machine.travel(NOON + MINUTE, tick=False):
        visitor, _ = own(client, quote)
        page = visitor.send("read", read="on")
    for word in ("agreed_part", "day_waits_part", "state_agreed"):
        assert words[word] in page.text
    assert words["agreed"] not in page.text
    booking = Booking.objects.get()
    assert (booking.status, booking.trip.status) == ("confirmed", "tentative")
    run_scheduler(at=NOON + 2 * MINUTE)
    (bill,) = mails(MessageKind.BALANCE, booking)
    assert words["day_waits_part"] in one_line(bill.body)
    pay(booking, 173, NOON + 3 * MINUTE)
    run_scheduler(at=NOON + 4 * MINUTE)
    assert not mails(MessageKind.CONFIRMATION, booking)
    pay(booking, 1, NOON + 5 * MINUTE)
    run_scheduler(at=NOON + 6 * MINUTE)
    booking = Booking.objects.get()
    assert (booking.is_fixed, booking.trip.status) == (True, "confirmed")
    assert len(mails(MessageKind.CONFIRMATION, booking)) == 1
    run_scheduler(at=NOON + 8 * MINUTE)
    assert len(mails(MessageKind.CONFIRMATION, booking)) == 1


def test_on_a_shared_day_each_party_waits_for_its_own_deposit() -> None:
    first = agreed(priced("deposit", shared=True))
    second = agreed(priced("deposit", trip=first.trip))
    pay(first, 174, NOON + 2 * MINUTE)
    run_scheduler(at=NOON + 3 * MINUTE)
    assert Trip.objects.get().status == "confirmed"
    assert len(mails(MessageKind.CONFIRMATION, first)) == 1
    assert not mails(MessageKind.CONFIRMATION, second)
    pay(second, 580, NOON + 4 * MINUTE)
    run_scheduler(at=NOON + 5 * MINUTE)
    assert len(mails(MessageKind.CONFIRMATION, second)) == 1
    assert len(mails(MessageKind.CONFIRMATION, first)) == 1


def test_money_on_account_or_no_deposit_at_all_gives_the_day_with_the_yes() -> None:
    quote = priced("deposit")
    record_payment(party=quote.party, amount=Decimal(200), moved_on=NOON.date(), at=NOON)
    booking = agreed(quote)
    assert (booking.is_fixed, booking.trip.status) == (True, "confirmed")
    assert agreed(priced("deposit", deposit_percent=0)).is_fixed


def test_the_guide_may_give_the_day_before(desk: Browser) -> None:
    booking = agreed(priced("deposit"))
    with time_machine.travel(NOON + MINUTE, tick=False):
        page = Visitor(desk).go(reverse("booking", args=[booking.party_id, booking.pk]))
        assert "The day is theirs once the first part has come in" in page.text
        today = Visitor(desk).go(reverse("today"))
        assert "nothing stops it any more" not in today.text
    move_and_tell(trip=booking.trip, to=TripState.CONFIRMED, at=NOON + 2 * MINUTE)
    booking.refresh_from_db()
    assert booking.is_fixed
    assert len(mails(MessageKind.CONFIRMATION, booking)) == 1
