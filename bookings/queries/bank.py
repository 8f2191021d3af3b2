"""Lines of bank statements that nobody has dealt with, and whose money each may be."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from django.db.models import QuerySet

from bookings.models import BankLine, Booking, MoneyEntry
from bookings.rules.statement import BankMatch, OpenInvoice, StatementLine, match_line


def lines_to_do() -> QuerySet[BankLine]:
    """Lines that came in and are neither taken nor set aside, newest first."""
    return BankLine.objects.filter(entry=None, set_aside="", amount__gt=0).order_by(
        "-booked_on", "-pk"
    )


def known_fingerprints(lines: Iterable[StatementLine]) -> set[str]:
    """Which of the lines were read before."""
    marks = [line.fingerprint for line in lines]
    return set(BankLine.objects.filter(fingerprint__in=marks).values_list("fingerprint", flat=True))


@dataclass(frozen=True, slots=True)
class Proposal:
    """A line with the bookings it may pay, the surest first."""

    line: BankLine
    matches: tuple[tuple[BankMatch, Booking], ...]


def proposals(
    lines: Sequence[BankLine], invoices: Sequence[OpenInvoice], bookings: dict[str, Booking]
) -> list[Proposal]:
    """Each line with its matches; `bookings` by the names of the open invoices."""
    return [
        Proposal(
            line,
            tuple(
                (match, bookings[match.name]) for match in match_line(as_statement(line), invoices)
            ),
        )
        for line in lines
    ]


def as_statement(line: BankLine) -> StatementLine:
    """A kept line as the rules read it."""
    return StatementLine(
        row=line.pk,
        booked_on=line.booked_on,
        amount=line.amount.normalize() + 0,
        currency=line.currency,
        payer=line.payer,
        text=line.text,
        reference=line.reference,
        fingerprint=line.fingerprint,
    )


def newest_invoices(bookings: Iterable[int]) -> dict[int, list[MoneyEntry]]:
    """The invoices of each booking, newest first; one query."""
    found: dict[int, list[MoneyEntry]] = {}
    rows = MoneyEntry.objects.filter(
        kind=MoneyEntry.Kind.INVOICE, shares__booking__in=list(bookings)
    ).prefetch_related("shares")
    for entry in rows.order_by("-pk"):
        for share in entry.shares.all():
            if share.booking_id is not None:
                found.setdefault(share.booking_id, []).append(entry)
    return found
