"""The inbox: one list, by what each needs next, with what it owes; a page costs the same."""

from __future__ import annotations

import datetime
from decimal import Decimal
from typing import Any

from django.db import connection
from django.test import Client as Browser
from django.test.utils import CaptureQueriesContext

from bookings.actions.money.payments import record_payment, record_refund
from bookings.actions.parties import close_party
from bookings.actions.trips import cancel_booking
from bookings.actions.waiting import join_waiting_list
from bookings.models import Ask, Booking, Business, Party
from bookings.queries.bookings import full_bookings
from bookings.sheets.accounts import accounts_of
from bookings.sheets.inbox import InboxLine, inbox
from tests.factories import NOON, PartyFactory, TripFactory
from tests.factories_bookings import agreed, quoted, sent

DAY = datetime.timedelta(days=1)
AHEAD: dict[str, Any] = {
    "starts_at": NOON + 60 * DAY,
    "ends_at": NOON + 60 * DAY + datetime.timedelta(hours=10),
}


def _inbox(at: datetime.datetime = NOON) -> dict[int, InboxLine]:
    return {line.party_pk: line for line in inbox(business=Business.objects.get(), at=at)}


def _of(booking: Booking, at: datetime.datetime = NOON) -> InboxLine:
    return _inbox(at)[booking.party_id]


def _pay(booking: Booking, amount: str) -> None:
    record_payment(
        party=booking.party,
        bookings=[booking],
        amount=Decimal(amount),
        moved_on=NOON.date(),
        at=NOON,
    )


def test_what_is_owed_is_what_the_account_says(business: Any) -> None:
    bookings = [agreed(**AHEAD) for _ in range(4)]
    _pay(bookings[1], "87.00")
    _pay(bookings[2], "580.00")
    _pay(bookings[3], "600.00")
    record_refund(
        party=bookings[2].party,
        booking=bookings[2],
        amount=Decimal("80.00"),
        moved_on=NOON.date(),
        reason="goodwill",
        at=NOON,
    )
    for on in (0, 30, 55, 90):
        at = NOON + on * DAY
        found = _inbox(at)
        accounts = accounts_of(
            list(full_bookings().order_by("pk")), business=business, on=at.date()
        )
        assert len(accounts) == 4
        for account in accounts:
            line = found[account.booking.party_id]
            assert line.owes == account.left
            assert (line.need.words == "owes money that is late") == bool(account.overdue)
            if account.overdue:
                assert line.need.money == account.overdue
            if account.over:
                assert line.need.words == "has paid more than is owed"
                assert line.need.money == account.over


def test_a_deposit_that_is_late_comes_before_names(business: Any) -> None:
    booking = agreed(**AHEAD)
    assert _of(booking).need.words == "2 names missing"
    late = _of(booking, NOON + 2 * DAY)
    assert late.need.words == "owes money that is late"
    assert late.need.money == booking.deposit
    assert late.owes == booking.price


def test_a_called_off_day_waits_for_the_clients_choice(business: Any) -> None:
    booking = agreed(**AHEAD)
    _pay(booking, "100.00")
    cancel_booking(booking=booking, by="guide", at=NOON + DAY)
    line = _of(booking, NOON + DAY)
    assert line.need.words == "has not chosen: money back or another day"
    assert line.need.money == Decimal(100)
    close_party(party=Party.objects.get(pk=booking.party_id), reason="done", at=NOON + DAY)
    assert _of(booking, NOON + DAY).need.money == Decimal(100)


def test_what_a_client_asks_comes_first_even_when_the_case_is_closed(business: Any) -> None:
    booking = agreed(**AHEAD)
    PartyFactory()
    close_party(party=booking.party, reason="settled", at=NOON)
    assert booking.party_id not in _inbox()
    Ask.objects.create(party=booking.party, text="One more of us?", asked_at=NOON)
    first = inbox(business=business, at=NOON)[0]
    assert (first.party_pk, first.need.words) == (booking.party_id, "asks for a change")


def test_price_notes_lapse_by_the_clock_and_waiting_is_said(business: Any) -> None:
    note = sent(**AHEAD)
    party = note.party
    assert _inbox()[party.pk].need.words == "has our price, no answer yet"
    later = note.valid_until + DAY
    assert _inbox(later)[party.pk].need.words == "price note lapsed: ask or close"
    waiting = PartyFactory(heads=2)
    trip = TripFactory(places=2, **AHEAD)
    join_waiting_list(party=waiting, trip=trip, heads=2, at=NOON)
    assert _inbox()[waiting.pk].need.words == "waits for a place"


def test_the_page_shows_the_reason_and_the_amount(desk: Browser) -> None:
    booking = agreed()
    _pay(booking, "87.50")
    page = " ".join(desk.get("/parties/").content.decode().split())
    assert "owes money that is late" in page
    assert "€492.50" in page


def test_a_page_of_the_inbox_takes_the_same_number_of_queries(desk: Browser) -> None:
    def queries() -> int:
        with CaptureQueriesContext(
            connection,
        ) as seen:
            assert desk.get("/parties/").status_code == 200
        return len(seen)

    def fill() -> None:
        booking = agreed(**AHEAD)
        _pay(booking, "50.00")
        quoted(**AHEAD)
        PartyFactory()

    fill()
    queries()
    few = queries()
    for _ in range(19):
        fill()
    assert Party.objects.count() == 60
    assert queries() == few
    page = desk.get("/parties/?page=2").content.decode()
    assert page.count("<tr>") - 1 == 10
