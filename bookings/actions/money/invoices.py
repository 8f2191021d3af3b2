"""Invoices and credit notes. All that a booking is billed adds up to what was agreed."""

from __future__ import annotations

import datetime
import uuid
from collections.abc import Sequence
from decimal import Decimal

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone

from bookings.actions.locks import lock_parties
from bookings.actions.money.ledger import BilledLine, Share, add_entry, written_before
from bookings.models import Booking, Business, MoneyEntry
from bookings.queries.money import billed_by_rate, booking_account, invoices_of, left_of_invoice
from bookings.rules.invoicing import part_by_rate, rest_by_rate
from bookings.rules.money import rounded_money
from bookings.rules.tax import TaxLine
from bookings.sheets.pricing import agreed_lines, agreed_quote, booking_plan, plain

Kind = MoneyEntry.Kind


@transaction.atomic
def invoice_deposit(
    *, booking: Booking, at: datetime.datetime | None = None, key: uuid.UUID | None = None
) -> MoneyEntry:
    """The first invoice: the first instalment of what was agreed."""
    at = at or timezone.now()
    booking = _locked(booking)
    if known := written_before(key, Kind.INVOICE):
        return known
    business = Business.objects.get()
    plan = booking_plan(booking, business)
    if not plan:
        raise ValidationError("There is no agreed price to bill. Send a price note first.")
    if booking_account(booking).billed:
        raise ValidationError("This booking has an invoice already. Bill the balance instead.")
    if len(plan) == 1:
        return invoice_balance(booking=booking, at=at, key=key)
    first = plan[0]
    text = f"{first.label} for {_title(booking)}"
    parts = part_by_rate(first.amount, _by_rate(booking, business), booking.currency, text)
    return _bill(booking, parts_as_lines(booking, parts), first.due_on, at=at, key=key)


@transaction.atomic
def invoice_balance(
    *, booking: Booking, at: datetime.datetime | None = None, key: uuid.UUID | None = None
) -> MoneyEntry:
    """All that was agreed and not billed yet: the lines in full, less what was billed before."""
    at = at or timezone.now()
    booking = _locked(booking)
    if known := written_before(key, Kind.INVOICE):
        return known
    business = Business.objects.get()
    plan = booking_plan(booking, business)
    before = booking_account(booking).billed
    if not plan:
        raise ValidationError("There is no agreed price to bill. Send a price note first.")
    if before >= plain(booking.price or Decimal(0)):
        raise ValidationError("All that was agreed is billed already.")
    lines = [
        BilledLine(line.text, line.amount, line.tax, line.quantity, line.unit_price)
        for line in agreed_lines(booking, business)
    ]
    if before:
        papers = ", ".join(paper.label for paper in invoices_of(booking).order_by("pk"))
        taken = [_negative(line, f"Less invoice {papers}") for line in billed_by_rate(booking)]
        lines += parts_as_lines(booking, taken)
    return _bill(booking, lines, plan[-1].due_on, at=at, key=key)


@transaction.atomic
def credit_invoice(
    *,
    invoice: MoneyEntry,
    reason: str,
    amount: Decimal | None = None,
    at: datetime.datetime | None = None,
    key: uuid.UUID | None = None,
) -> MoneyEntry:
    """Take an amount off an invoice, or all that is left of it; the invoice itself stays."""
    at = at or timezone.now()
    share = invoice.shares.select_related("booking", "party__client").get()
    lock_parties([share.party_id])
    if known := written_before(key, Kind.CREDIT_NOTE):
        return known
    if invoice.kind != Kind.INVOICE:
        raise ValidationError("A credit note corrects an invoice; this is none.")
    if not reason.strip():
        raise ValidationError({"reason": "Say why the invoice is corrected; it is printed."})
    left = left_of_invoice(invoice)
    most = sum((line.gross for line in left), Decimal(0))
    amount = most if amount is None else amount
    if not 0 < amount <= most:
        raise ValidationError(
            {"amount": f"{most} {invoice.currency} is left of this invoice. Enter at most that."}
        )
    text = f"Taken off invoice {invoice.label}"
    try:
        parts = part_by_rate(amount, left, invoice.currency, text)
    except ValueError as refusal:  # digits below the cent
        raise ValidationError({"amount": str(refusal)}) from None
    return add_entry(
        kind=Kind.CREDIT_NOTE,
        amount=amount,
        shares=[Share(share.party, share.booking, -amount)],
        lines=parts_as_lines(share.booking, parts) if share.booking else (),
        corrects=invoice,
        reason=reason.strip(),
        about=invoice.about,
        supplied_on=invoice.supplied_on,
        tax_included=invoice.tax_included,
        tax_note=invoice.tax_note,
        at=at,
        key=key,
    )


@transaction.atomic
def bill_exactly(*, booking: Booking, amount: Decimal, reason: str, at: datetime.datetime) -> None:
    """Bring what a booking is billed to an amount: by one more invoice, or by credit notes.

    The newest invoice is corrected first. The caller has locked the party.
    """
    short = rounded_money(amount - booking_account(booking).billed, booking.currency)
    if short > 0:
        business = Business.objects.get()
        whole = _by_rate(booking, business)
        gross = sum((line.gross for line in whole), Decimal(0))
        parts = part_by_rate(min(short, gross), whole, booking.currency, reason)
        on = at.astimezone(business.tz).date()
        _bill(booking, parts_as_lines(booking, parts), on, at=at, reason=reason)
    for invoice in invoices_of(booking) if short < 0 else ():
        left = sum((line.gross for line in left_of_invoice(invoice)), Decimal(0))
        taken = min(left, -short)
        if taken > 0:
            credit_invoice(invoice=invoice, amount=taken, reason=reason, at=at)
            short += taken


def parts_as_lines(booking: Booking, parts: Sequence[TaxLine]) -> list[BilledLine]:
    """Sums by rate as lines; where there are several rates, each line names its own."""
    included = _tax_included(booking)
    named = len(parts) > 1
    return [
        BilledLine(
            f"{part.label} ({part.rate_pct:f} %)"
            if named and part.rate_pct is not None
            else part.label,
            part.gross if included else part.net,
            part,
        )
        for part in parts
    ]


def _bill(
    booking: Booking,
    lines: Sequence[BilledLine],
    due_on: datetime.date,
    *,
    at: datetime.datetime,
    key: uuid.UUID | None = None,
    reason: str = "",
) -> MoneyEntry:
    business = Business.objects.get()
    amount = sum((line.tax.gross for line in lines), Decimal(0))
    quote = agreed_quote(booking)
    exempt = any(line.tax.rate_pct is None for line in lines)
    note = quote.terms.get("exempt_reason", "") if quote else business.tax_exempt_reason
    return add_entry(
        kind=Kind.INVOICE,
        amount=amount,
        shares=[Share(booking.party, booking, amount)],
        lines=lines,
        due_on=max(due_on, at.astimezone(business.tz).date()),
        about=_title(booking),
        supplied_on=booking.trip.starts_at.astimezone(business.tz).date(),
        quote=quote,
        tax_included=_tax_included(booking),
        tax_note=note if exempt else "",
        reason=reason,
        at=at,
        key=key,
    )


def _locked(booking: Booking) -> Booking:
    """The booking as it stands once its party's money is ours to write."""
    lock_parties([booking.party_id])
    booking = (
        Booking.objects.select_related("party__client", "trip__offer")
        .prefetch_related("quotes__lines")
        .get(pk=booking.pk)
    )
    if booking.status != Booking.Status.CONFIRMED:
        raise ValidationError(f"This booking is {booking.status}: bill it once it is agreed.")
    return booking


def _title(booking: Booking) -> str:
    quote = agreed_quote(booking)
    return quote.offer_name if quote else str(booking.trip.offer)


def _tax_included(booking: Booking) -> bool:
    quote = agreed_quote(booking)
    return True if quote is None else quote.tax_included


def _by_rate(booking: Booking, business: Business) -> list[TaxLine]:
    """Each rate of what was agreed once, with its own net, tax and gross."""
    taxed = [line.tax for line in agreed_lines(booking, business)]
    return list(rest_by_rate(taxed, [], booking.currency))


def _negative(line: TaxLine, text: str) -> TaxLine:
    return TaxLine(text, line.rate_pct, -line.net, -line.tax, -line.gross)
