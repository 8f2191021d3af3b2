"""The papers of money: they say what the books say, and come out the same in ten years."""

from __future__ import annotations

import datetime
from decimal import Decimal
from typing import Any

import pytest
from django.core.cache import cache
from django.test import Client as Browser
from django.utils import timezone

from bookings.actions.money.invoices import credit_invoice, invoice_balance
from bookings.actions.money.payments import record_payment, take_out
from bookings.actions.party_links import make_party_link
from bookings.models import Booking, Business, Client, MoneyEntry, Offer, Quote, Trip
from guiding.desk.sheets.money import entry_paper, quote_paper
from tests.factories import NOON, OfferFactory, PartyFactory
from tests.factories_bookings import agreed, sent
from tests.papers import reading

DAY = datetime.timedelta(days=1)
pytestmark = pytest.mark.usefixtures("business")


def booked(at: datetime.datetime = NOON, **offer: Any) -> Booking:
    Business.objects.update(iban="IE29AIBK93115212345678", address="The Slip House\nMarram Head")
    made = OfferFactory(name="Party day", supplied="Rods\nLunch", **offer)
    return agreed(at=at, offer=made, starts_at=at + 60 * DAY, ends_at=at + 60.5 * DAY)


def test_an_invoice_says_what_how_much_by_when_and_how() -> None:
    booking = booked(tax_percent=Decimal("13.5"))
    Client.objects.update(address="1 Quay Lane", tax_number="IE123")
    balance = invoice_balance(booking=booking, at=NOON)
    told = reading.text(entry_paper(balance))
    for words in (
        "Invoice 2026-0002",
        "1 Quay Lane",
        "IE123",
        "Less invoice 2026-0001",
        "Tax rate",
        "13.5 %",
        "€406.00",
        "24 July 2026",
        "IE29 AIBK 9311 5212 3456 78",
        "RF",
    ):
        assert words in told, words


def test_a_paper_is_the_same_whatever_happens_afterwards() -> None:
    booking = booked()
    deposit = MoneyEntry.objects.get()
    receipt = record_payment(
        party=booking.party, amount=Decimal(174), moved_on=NOON.date(), at=NOON
    )
    quote = Quote.objects.get()
    before = [entry_paper(deposit), entry_paper(receipt), quote_paper(quote)]
    Business.objects.update(name="Renamed", iban="", locale="de_DE", address="elsewhere")
    Client.objects.update(given_name="Somebody", family_name="Else")
    Offer.objects.update(price=1, name="Dearer day", supplied="nothing")
    Trip.objects.update(starts_at=NOON + 90 * DAY, ends_at=NOON + 91 * DAY)
    booking.party.refresh_from_db()
    record_payment(party=booking.party, amount=Decimal(50), moved_on=NOON.date(), at=NOON + DAY)
    credit_invoice(invoice=deposit, amount=Decimal(10), reason="slip", at=NOON + DAY)
    fresh = [MoneyEntry.objects.get(pk=x.pk) for x in (deposit, receipt)]
    after = [*map(entry_paper, fresh), quote_paper(Quote.objects.get(pk=quote.pk))]
    assert [a == b for a, b in zip(before, after, strict=True)] == [True, True, True]


def test_a_receipt_a_credit_note_and_a_price_note() -> None:
    booking = booked()
    receipt = record_payment(
        party=booking.party, amount=Decimal(200), moved_on=NOON.date(), way="cash", at=NOON
    )
    told = reading.text(entry_paper(receipt))
    assert "Receipt R2026-0001" in told
    assert "Received with thanks: €200.00" in told
    assert "cash" in told
    note = credit_invoice(invoice=MoneyEntry.objects.get(kind="invoice"), reason="slip", at=NOON)
    told = reading.text(entry_paper(note))
    assert "Credit note C2026-0001" in told
    assert "For invoice 2026-0001" in told
    assert "Reason: slip" in told
    told = reading.text(quote_paper(Quote.objects.get()))
    for words in ("Price note", "€580.00", "Deposit", "Lunch", "31 July 2026", "deposit is kept"):
        assert words in told, words


def test_names_with_markup_stay_names() -> None:
    nasty = "<b>Séamus</b> & Co"
    quote = sent(starts_at=NOON + 60 * DAY, ends_at=NOON + 61 * DAY)
    Client.objects.update(given_name=nasty)
    booking = booked()
    Client.objects.update(given_name=nasty)
    paper = invoice_balance(booking=booking, at=NOON)
    assert nasty in reading.text(entry_paper(paper))
    assert quote_paper(quote)[:5] == b"%PDF-"


def test_what_has_no_paper_says_so(desk: Browser) -> None:
    booking = booked(at=timezone.now())
    entry = record_payment(party=booking.party, amount=Decimal(5), moved_on=timezone.localdate())
    taken = take_out(entry=entry, reason="mistake")
    with pytest.raises(ValueError, match="has no paper"):
        entry_paper(taken)
    assert desk.get(f"/money/papers/{taken.pk}/paper.pdf").status_code == 404
    answer = desk.get(f"/money/papers/{entry.pk}/paper.pdf?paper=Letter")
    assert answer.headers["Content-Type"] == "application/pdf"
    assert f"receipt-{entry.label}.pdf" in answer.headers["Content-Disposition"]
    page = desk.get(f"/money/papers/{entry.pk}/").content.decode()
    assert f"/money/papers/{entry.pk}/paper.pdf" in page
    quote = Quote.objects.get()
    assert desk.get(f"/money/quotes/{quote.pk}/paper.pdf").content[:5] == b"%PDF-"
    assert (
        f"/money/quotes/{quote.pk}/paper.pdf"
        in desk.get(f"/money/quotes/{quote.pk}/").content.decode()
    )


def test_a_client_reads_their_own_papers_and_no_others(client: Browser) -> None:
    cache.clear()
    booking, stranger = booked(at=timezone.now()), booked(at=timezone.now())
    mine = f"/my/{make_party_link(party=booking.party)}/"
    own = MoneyEntry.objects.get(shares__booking=booking)
    theirs = MoneyEntry.objects.get(shares__booking=stranger)
    answer = client.get(f"{mine}papers/{own.pk}.pdf")
    assert answer.content[:5] == b"%PDF-"
    assert answer.headers["Cache-Control"] == "no-store, private"
    assert client.get(f"{mine}papers/{theirs.pk}.pdf").status_code == 404
    quote, other = booking.quotes.get(), stranger.quotes.get()
    assert client.get(f"{mine}papers/quote/{quote.pk}.pdf").status_code == 200
    assert client.get(f"{mine}papers/quote/{other.pk}.pdf").status_code == 404
    assert client.get(f"{mine}days/{stranger.pk}/invite.ics").status_code == 404
    assert client.get(f"{mine}days/{booking.pk}/run-sheet.pdf").status_code == 404
    calendar = client.get(f"{mine}days/{booking.pk}/invite.ics")
    assert calendar.content.startswith(b"BEGIN:VCALENDAR")
    page = client.get(mine).content.decode()
    assert f"papers/{own.pk}.pdf" in page
    assert "Add to your calendar" in page
    anybody = f"/my/{'A' * 43}/papers/{own.pk}.pdf"
    assert client.get(anybody).status_code == 404


def test_a_draft_is_not_for_the_client_yet(client: Browser) -> None:
    from tests.factories_bookings import quoted

    quote = quoted()
    mine = f"/my/{make_party_link(party=quote.party)}/"
    assert client.get(f"{mine}papers/quote/{quote.pk}.pdf").status_code == 404
    assert "Our price for you" not in client.get(mine).content.decode()
    assert client.post(f"{mine}yes/{quote.pk}/", {"read": "on"}).status_code == 422
    assert PartyFactory().quotes.count() == 0
