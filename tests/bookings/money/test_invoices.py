"""Invoices and credit notes: numbered without a gap, adding up, never changed."""

from __future__ import annotations

import datetime
import uuid
from decimal import Decimal

import pytest
from django.core.exceptions import ValidationError
from django.db import DatabaseError, transaction

from bookings.actions.money.invoices import credit_invoice, invoice_balance, invoice_deposit
from bookings.actions.quotes import accept_quote, draft_quote, send_quote
from bookings.actions.trips import hold_places
from bookings.models import Booking, Business, MoneyEntry, MoneyLine, OfferExtra
from bookings.queries.books import broken_money
from bookings.queries.money import booking_account
from bookings.rules.references import creditor_reference_is_valid
from tests.factories import NOON, OfferFactory, PartyFactory, TripFactory
from tests.factories_bookings import agreed

pytestmark = pytest.mark.usefixtures("business")
DAY = datetime.timedelta(days=1)
SOON = {"starts_at": NOON + 60 * DAY, "ends_at": NOON + 60.5 * DAY}


def rows(entry: MoneyEntry) -> list[tuple[str, Decimal, Decimal, Decimal]]:
    return [(line.text, line.net, line.tax, line.gross) for line in entry.lines.all()]


def taxed(*, basis: str = "inclusive") -> Booking:
    """Two heads at 290 with 13.5 % and a lunch at 23 %, on a day in two months."""
    Business.objects.update(tax_basis=basis)
    offer = OfferFactory(name="Party day", price=Decimal(290), tax_percent=Decimal("13.5"))
    lunch = OfferExtra.objects.create(
        offer=offer, name="Lunch", price=Decimal("12.99"), tax_percent=Decimal(23)
    )
    party = PartyFactory(offer=offer)
    booking = hold_places(party=party, trip=TripFactory(offer=offer, **SOON), heads=2, at=NOON)
    quote = draft_quote(party=party, offer=offer, heads=2, extras=[lunch], booking=booking, at=NOON)
    quote = accept_quote(quote=send_quote(quote=quote, at=NOON), at=NOON)
    assert quote.booking is not None
    return quote.booking


def test_a_yes_bills_the_deposit_with_a_reference_and_a_day() -> None:
    booking = agreed(**SOON)
    invoice = MoneyEntry.objects.get()
    assert (invoice.label, invoice.amount) == ("2026-0001", Decimal(174))
    assert creditor_reference_is_valid(invoice.reference)
    assert invoice.due_on == datetime.date(2026, 6, 1)
    assert invoice.supplied_on == datetime.date(2026, 7, 31)
    assert rows(invoice) == [(f"Deposit for {booking.trip.offer}", 174, 0, 174)]
    assert invoice.letterhead["business"]["name"] == "Marram Head Shore Days"


def test_the_balance_lists_the_lines_less_what_was_billed_before() -> None:
    booking = taxed()
    deposit = MoneyEntry.objects.get()
    balance = invoice_balance(booking=booking, at=NOON + DAY)
    whole = Decimal("605.98")
    assert deposit.amount + balance.amount == booking.price == whole
    # 605.98 holds 68.99 at 13.5 % of 580.00 and 4.86 at 23 % of 25.98, each rate rounded once.
    assert deposit.tax + balance.tax == Decimal("68.99") + Decimal("4.86")
    assert balance.due_on == datetime.date(2026, 7, 24)
    assert [text for text, *_ in rows(balance)] == [
        "Adult",
        "Lunch",
        "Less invoice 2026-0001 (23 %)",
        "Less invoice 2026-0001 (13.5 %)",
    ]
    with pytest.raises(ValidationError, match="billed already"):
        invoice_balance(booking=booking, at=NOON + DAY)
    assert broken_money() == []


def test_prices_before_tax_bill_the_tax_on_top() -> None:
    booking = taxed(basis="exclusive")
    # 580.00 + 13.5 % = 658.30, 25.98 + 23 % = 31.96 (5.9754 rounds up)
    assert booking.price == Decimal("690.26")
    invoice_balance(booking=booking, at=NOON)
    assert booking_account(booking).billed == Decimal("690.26")
    assert sum(x.tax for x in MoneyEntry.objects.all()) == Decimal("78.30") + Decimal("5.98")
    assert broken_money() == []


def test_an_exempt_business_prints_its_reason_and_no_tax() -> None:
    Business.objects.update(tax_exempt_reason="Small business, no tax charged.")
    agreed(**SOON)
    invoice = MoneyEntry.objects.get()
    assert invoice.tax == 0
    assert invoice.tax_note == "Small business, no tax charged."
    assert invoice.lines.get().tax_percent is None


def test_agreed_a_week_before_the_trip_it_is_one_invoice() -> None:
    booking = agreed(starts_at=NOON + 5 * DAY, ends_at=NOON + 5.5 * DAY)
    invoice = MoneyEntry.objects.get()
    assert invoice.amount == booking.price == Decimal(580)
    assert invoice.due_on == datetime.date(2026, 6, 1)


def test_a_day_for_nothing_is_not_billed() -> None:
    booking = agreed(offer=OfferFactory(price=0))
    assert not MoneyEntry.objects.exists()
    with pytest.raises(ValidationError, match="no agreed price"):
        invoice_balance(booking=booking, at=NOON)


def test_a_second_deposit_and_an_invoice_for_a_hold_are_refused() -> None:
    booking = agreed(**SOON)
    with pytest.raises(ValidationError, match="has an invoice already"):
        invoice_deposit(booking=booking, at=NOON)
    held = hold_places(party=PartyFactory(), trip=TripFactory(), heads=1, at=NOON)
    with pytest.raises(ValidationError, match="This booking is tentative"):
        invoice_deposit(booking=held, at=NOON)


def test_numbers_run_on_by_year_and_series() -> None:
    at = datetime.datetime(2026, 12, 31, 23, 30, tzinfo=datetime.UTC)
    for days in range(3):
        agreed(at=at + days * DAY / 24, starts_at=at + 60 * DAY, ends_at=at + 61 * DAY)
    first = MoneyEntry.objects.order_by("pk").first()
    assert first is not None
    credit_invoice(invoice=first, reason="wrong day", at=at + DAY)
    labels = list(MoneyEntry.objects.order_by("pk").values_list("label", flat=True))
    assert labels == ["2026-0001", "2027-0001", "2027-0002", "C2027-0001"]


def test_a_refused_invoice_leaves_no_gap() -> None:
    booking = agreed(**SOON)
    balance = MoneyEntry.objects.count()
    with transaction.atomic():
        invoice_balance(booking=booking, at=NOON)
        transaction.set_rollback(True)
    assert MoneyEntry.objects.count() == balance
    assert invoice_balance(booking=booking, at=NOON).label == "2026-0002"
    assert broken_money() == []


def test_the_same_button_twice_writes_one_invoice() -> None:
    booking = agreed(**SOON)
    key = uuid.uuid4()
    first = invoice_balance(booking=booking, at=NOON, key=key)
    assert invoice_balance(booking=booking, at=NOON, key=key) == first
    assert MoneyEntry.objects.count() == 2
    with pytest.raises(ValidationError, match="used for something else"):
        credit_invoice(invoice=first, reason="x", key=key, at=NOON)


def test_credit_notes_take_at_most_what_is_left() -> None:
    booking = taxed()
    invoice = invoice_balance(booking=booking, at=NOON)
    part = credit_invoice(invoice=invoice, amount=Decimal("100.01"), reason="slip", at=NOON)
    assert part.corrects == invoice
    with pytest.raises(ValidationError, match="is left of this invoice"):
        credit_invoice(invoice=invoice, amount=invoice.amount, reason="more", at=NOON)
    with pytest.raises(ValidationError, match="more digits"):
        credit_invoice(invoice=invoice, amount=Decimal("0.005"), reason="mill", at=NOON)
    rest = credit_invoice(invoice=invoice, reason="rest", at=NOON)
    assert part.amount + rest.amount == invoice.amount
    assert part.tax + rest.tax == invoice.tax
    with pytest.raises(ValidationError, match="is left of this invoice"):
        credit_invoice(invoice=invoice, reason="again", at=NOON)
    with pytest.raises(ValidationError, match="this is none"):
        credit_invoice(invoice=part, reason="x", at=NOON)
    with pytest.raises(ValidationError, match="Say why"):
        credit_invoice(invoice=MoneyEntry.objects.order_by("pk")[0], reason=" ", at=NOON)
    assert broken_money() == []


def test_the_database_itself_refuses_to_change_what_was_written() -> None:
    agreed(**SOON)
    for change in (
        lambda: MoneyEntry.objects.update(amount=1),
        lambda: MoneyEntry.objects.update(label="2026-0009"),
        lambda: MoneyLine.objects.update(gross=1),
        lambda: MoneyEntry.objects.get().shares.update(owed=1),
    ):
        with pytest.raises(DatabaseError, match="never changed"), transaction.atomic():
            change()
    MoneyEntry.objects.update(entered_by=None)  # a login may be deleted
    assert broken_money() == []


def test_a_missing_number_is_found() -> None:
    agreed(**SOON)
    agreed(**SOON)
    first = MoneyEntry.objects.order_by("pk")[0]
    first.lines.all().delete()
    first.shares.all().delete()
    first.delete()
    (found,) = [x for x in broken_money() if x.startswith("Series")]
    assert found == "Series invoice 2026: 1 papers, numbered up to 2."
