"""The one place where money is written down: a number without a gap, shares that add up."""

from __future__ import annotations

import datetime
import uuid
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction

from bookings.actions.locks import lock_ledger
from bookings.models import Booking, Business, MoneyEntry, MoneyLine, MoneyShare, Party
from bookings.rules.money import checked_money
from bookings.rules.references import creditor_reference
from bookings.rules.tax import TaxLine
from bookings.sheets.letterhead import both_sides

_LETTERS = {
    MoneyEntry.Kind.INVOICE: "",
    MoneyEntry.Kind.CREDIT_NOTE: "C",
    MoneyEntry.Kind.PAYMENT: "R",
    MoneyEntry.Kind.REFUND: "F",
    MoneyEntry.Kind.WRITE_OFF: "W",
    MoneyEntry.Kind.TRANSFER: "T",
}
_MOST = Decimal(99_999_999)


@dataclass(frozen=True, slots=True)
class Share:
    """What an entry does to one account: a booking's, or the party's own where it is None."""

    party: Party
    booking: Booking | None
    owed: Decimal


@dataclass(frozen=True, slots=True)
class BilledLine:
    """A line of an invoice or credit note as it is printed, with its tax."""

    text: str
    amount: Decimal
    tax: TaxLine
    quantity: Decimal | None = None
    unit_price: Decimal | None = None


@transaction.atomic
def add_entry(
    *,
    kind: MoneyEntry.Kind,
    amount: Decimal,
    shares: Sequence[Share],
    at: datetime.datetime,
    key: uuid.UUID | None = None,
    lines: Sequence[BilledLine] = (),
    **facts: Any,
) -> MoneyEntry:
    """Write an entry down with its lines and shares. The caller has locked the parties."""
    business = Business.objects.get()
    on = at.astimezone(business.tz).date()
    shares = [share for share in shares if share.owed]
    sides = both_sides(business, shares[0].party.client)
    entry = MoneyEntry(
        key=key or uuid.uuid4(),
        kind=kind,
        on=on,
        currency=business.currency,
        amount=checked_amount(amount, business.currency),
        letterhead=sides | {"for": [_what_for(share, business) for share in shares]},
        entered_at=at,
        **facts,
    )
    if lines:
        entry.net = sum((line.tax.net for line in lines), Decimal(0))
        entry.tax = sum((line.tax.tax for line in lines), Decimal(0))
    # Last of all, so that the rows that number everything are locked for as short as can be.
    entry.year, entry.number = on.year, _next_number(kind, on.year)
    entry.label = f"{_LETTERS[kind]}{on.year}-{entry.number:04d}"
    if kind == MoneyEntry.Kind.INVOICE:
        entry.reference = creditor_reference(entry.label)
    entry.full_clean()
    entry.save(force_insert=True)
    MoneyLine.objects.bulk_create(_rows(entry, lines))
    MoneyShare.objects.bulk_create(
        MoneyShare(entry=entry, party=share.party, booking=share.booking, owed=share.owed)
        for share in shares
    )
    return entry


def _what_for(share: Share, business: Business) -> list[str]:
    """The day a share is for, as it stood: its name and date, or nothing on account."""
    if share.booking is None:
        return ["", ""]
    trip = share.booking.trip
    return [str(trip.offer), trip.starts_at.astimezone(business.tz).date().isoformat()]


def checked_amount(amount: Decimal, currency: str) -> Decimal:
    """An amount of money as somebody typed it, or the sentence why it is none."""
    try:
        amount = checked_money(amount, currency)
    except ValueError as refusal:
        raise ValidationError({"amount": str(refusal)}) from None
    if amount <= 0:
        raise ValidationError({"amount": "Enter an amount above 0."})
    if amount > _MOST:
        raise ValidationError({"amount": f"{amount} is more than any day costs. Check the amount."})
    return amount


def written_before(key: uuid.UUID | None, kind: MoneyEntry.Kind) -> MoneyEntry | None:
    """What the same button wrote when it was pressed the first time."""
    if key is None:
        return None
    known = MoneyEntry.objects.filter(key=key).first()
    if known is not None and known.kind != kind:
        raise ValidationError("This page was used for something else already. Load it again.")
    return known


def _next_number(kind: str, year: int) -> int:
    series = lock_ledger(year)[kind]
    number = series.next_number
    series.next_number = number + 1
    series.save(update_fields=["next_number"])
    return number


def _rows(entry: MoneyEntry, lines: Sequence[BilledLine]) -> list[MoneyLine]:
    return [
        MoneyLine(
            entry=entry,
            position=position,
            text=line.text,
            quantity=line.quantity,
            unit_price=line.unit_price,
            amount=line.amount,
            tax_percent=line.tax.rate_pct,
            net=line.tax.net,
            tax=line.tax.tax,
            gross=line.tax.gross,
        )
        for position, line in enumerate(lines, start=1)
    ]
