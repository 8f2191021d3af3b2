"""Lines of a bank statement: read once, taken as a payment, or set aside."""

from __future__ import annotations

import datetime
import uuid
from collections.abc import Sequence

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone

from bookings.actions.money.payments import record_payment
from bookings.models import BankLine, Booking, MoneyEntry
from bookings.queries.bank import known_fingerprints
from bookings.rules.statement import StatementLine

_KEYS = uuid.UUID("5a0d5a1c-0000-4000-8000-00000000ba4c")


@transaction.atomic
def keep_statement(
    *, lines: Sequence[StatementLine], at: datetime.datetime | None = None
) -> list[BankLine]:
    """Keep the lines that were not read before; the new ones."""
    at = at or timezone.now()
    known = known_fingerprints(lines)
    new = [
        BankLine(
            fingerprint=line.fingerprint,
            booked_on=line.booked_on,
            amount=line.amount,
            currency=line.currency,
            payer=line.payer,
            text=line.text,
            reference=line.reference,
            read_at=at,
        )
        for line in lines
        if line.fingerprint not in known
    ]
    # Two people who read one file at once keep each line once.
    BankLine.objects.bulk_create(new, ignore_conflicts=True)
    marks = [line.fingerprint for line in new]
    return list(BankLine.objects.filter(fingerprint__in=marks))


@transaction.atomic
def take_bank_line(
    *, line: BankLine, booking: Booking, at: datetime.datetime | None = None
) -> MoneyEntry:
    """Record a line as a payment of a booking's party; taken twice it is one payment."""
    line = BankLine.objects.select_for_update(of=("self",)).get(pk=line.pk)
    if line.entry_id is not None:
        raise ValidationError("This line is taken already: nothing was recorded again.")
    if line.set_aside:
        raise ValidationError(f"This line was set aside: {line.set_aside}. Take it back first.")
    if line.amount <= 0:
        raise ValidationError("This money went out. Record a refund on the booking's page.")
    entry = record_payment(
        party=booking.party,
        amount=line.amount,
        moved_on=line.booked_on,
        way=MoneyEntry.Way.BANK,
        bookings=[booking],
        note=" ".join(filter(None, (line.payer, line.reference or line.text)))[:300],
        again=True,  # the bank has told each of them
        key=uuid.uuid5(_KEYS, line.fingerprint),
        at=at,
    )
    line.entry = entry
    line.save(update_fields=["entry"])
    return entry


@transaction.atomic
def set_line_aside(*, line: BankLine, reason: str) -> BankLine:
    """It is no payment of a client; an empty reason takes it back."""
    line = BankLine.objects.select_for_update(of=("self",)).get(pk=line.pk)
    if line.entry_id is not None:
        raise ValidationError("This line is taken as a payment already.")
    line.set_aside = reason.strip()[:200]
    line.save(update_fields=["set_aside"])
    return line
