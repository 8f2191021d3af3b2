"""Questions about money. A balance is a sum of shares; every question can be asked for any day."""

from __future__ import annotations

import datetime
from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal

from django.db.models import Case, DecimalField, F, Prefetch, Q, QuerySet, Sum, When
from django.db.models.functions import ExtractMonth, Round

from bookings.models import Booking, MoneyEntry, MoneyLine, MoneyShare, Party
from bookings.rules.money import rounded_money
from bookings.rules.tax import TaxLine

Kind = MoneyEntry.Kind
_BILLED = [Kind.INVOICE, Kind.CREDIT_NOTE]
_CASH = [Kind.PAYMENT, Kind.REFUND, Kind.TRANSFER]
NOTHING = Decimal(0)


@dataclass(frozen=True, slots=True)
class Account:
    """A booking's money, or a party's: billed - paid - written off = open; below 0 we owe it."""

    billed: Decimal
    paid: Decimal
    written_off: Decimal

    @property
    def open(self) -> Decimal:
        return self.billed - self.paid - self.written_off


def exact_sum(name: str, only: Q | None = None) -> Round:
    """The sum of a column of money, exact to the mill: SQLite adds in binary and leaves a crumb."""
    return Round(Sum(name, filter=only), precision=3)


def booking_accounts(pks: Iterable[int], *, on: datetime.date | None = None) -> dict[int, Account]:
    """The accounts of bookings, by number, as of the end of a day; one query."""
    rows = _sums(MoneyShare.objects.filter(booking__in=list(pks)), "booking", on)
    return {pk: rows.get(pk, _account({})) for pk in pks}


def booking_account(booking: Booking, *, on: datetime.date | None = None) -> Account:
    return booking_accounts([booking.pk], on=on)[booking.pk]


def party_accounts(pks: Iterable[int], *, on: datetime.date | None = None) -> dict[int, Account]:
    """The accounts of parties, their bookings and what stands on account together; one query."""
    rows = _sums(MoneyShare.objects.filter(party__in=list(pks)), "party", on)
    return {pk: rows.get(pk, _account({})) for pk in pks}


def party_account(party: Party, *, on: datetime.date | None = None) -> Account:
    return party_accounts([party.pk], on=on)[party.pk]


def on_account(party: Party, *, on: datetime.date | None = None) -> Decimal:
    """What a party has paid that is for no day yet."""
    shares = MoneyShare.objects.filter(party=party, booking=None)
    return -(_until(shares, on).aggregate(sum=exact_sum("owed"))["sum"] or NOTHING)


def _until(shares: QuerySet[MoneyShare], on: datetime.date | None) -> QuerySet[MoneyShare]:
    return shares if on is None else shares.filter(entry__on__lte=on)


def _sums(shares: QuerySet[MoneyShare], by: str, on: datetime.date | None) -> dict[int, Account]:
    rows = (
        _until(shares, on)
        .order_by()
        .values(by)
        .annotate(
            billed=exact_sum("owed", Q(entry__kind__in=_BILLED)),
            cash=exact_sum("owed", Q(entry__kind__in=_CASH)),
            off=exact_sum("owed", Q(entry__kind=Kind.WRITE_OFF)),
        )
    )
    return {row[by]: _account(row) for row in rows}


def _account(row: dict[str, Decimal | None]) -> Account:
    return Account(
        billed=row.get("billed") or NOTHING,
        paid=-(row.get("cash") or NOTHING),
        written_off=-(row.get("off") or NOTHING),
    )


def billed_by_rate(booking: Booking) -> list[TaxLine]:
    """What a booking was billed so far, credit notes taken off, highest rate first."""
    lines = MoneyLine.objects.filter(entry__shares__booking=booking)
    return _by_rate(lines, booking.currency)


def left_of_invoice(invoice: MoneyEntry) -> list[TaxLine]:
    """What an invoice still comes to after its credit notes, one line a rate."""
    lines = MoneyLine.objects.filter(Q(entry=invoice) | Q(entry__corrects=invoice))
    return _by_rate(lines, invoice.currency)


def _by_rate(lines: QuerySet[MoneyLine], currency: str) -> list[TaxLine]:
    """Invoices less credit notes, rounded as in `exact_sum`."""
    signed = {
        name: Sum(
            Case(When(entry__kind=Kind.CREDIT_NOTE, then=-F(name)), default=F(name)),
            output_field=DecimalField(max_digits=12, decimal_places=3),
        )
        for name in ("net", "tax", "gross")
    }
    rows = lines.order_by().values_list("tax_percent").annotate(**signed)
    found = [
        TaxLine(
            "",
            None if rate is None else rate.normalize() + 0,
            *(rounded_money(each, currency) for each in sums),
        )
        for rate, *sums in rows
    ]
    return sorted(found, key=lambda line: -1 if line.rate_pct is None else line.rate_pct)[::-1]


def invoices_of(booking: Booking) -> QuerySet[MoneyEntry]:
    """The invoices of a booking, the newest first: a credit note takes the newest off first."""
    return MoneyEntry.objects.filter(kind=Kind.INVOICE, shares__booking=booking).order_by("-pk")


@dataclass(frozen=True, slots=True)
class MonthTotals:
    """What a month came to: billed less credited, the tax in it, and the money that moved."""

    first_day: datetime.date
    billed: Decimal
    tax: Decimal
    received: Decimal
    refunded: Decimal
    written_off: Decimal

    @property
    def moved(self) -> bool:
        """Whether anything happened to money in it."""
        return any((self.billed, self.tax, self.received, self.refunded, self.written_off))


@dataclass(frozen=True, slots=True)
class YearTotals:
    """Twelve months and their sums."""

    year: int
    months: tuple[MonthTotals, ...]
    sums: MonthTotals


_COLUMNS = ("billed", "tax", "received", "refunded", "written_off")


def year_totals(year: int) -> YearTotals:
    """The totals of a year by the dates of its papers; one query."""
    rows = (
        MoneyEntry.objects.order_by()
        .filter(on__year=year)
        .annotate(month=ExtractMonth("on"), first=Q(reverses__isnull=True))
        .values_list("month", "kind", "first")
        .annotate(sum=exact_sum("amount"), tax_sum=exact_sum("tax"))
    )
    sums = {month: dict.fromkeys(_COLUMNS, NOTHING) for month in range(1, 13)}
    for month, kind, first, amount, tax in rows:
        sign = 1 if first else -1
        if kind in _BILLED:
            sign = 1 if kind == Kind.INVOICE else -1
            sums[month]["tax"] += sign * (tax or NOTHING)
        column = _COLUMN_OF.get(Kind(kind))
        if column:
            sums[month][column] += sign * amount
    months = tuple(
        MonthTotals(datetime.date(year, month, 1), **found) for month, found in sums.items()
    )
    whole = {name: sum((getattr(x, name) for x in months), NOTHING) for name in _COLUMNS}
    return YearTotals(year, months, MonthTotals(datetime.date(year, 1, 1), **whole))


_COLUMN_OF = {
    Kind.INVOICE: "billed",
    Kind.CREDIT_NOTE: "billed",
    Kind.PAYMENT: "received",
    Kind.REFUND: "refunded",
    Kind.WRITE_OFF: "written_off",
}


def tax_by_rate(year: int) -> list[TaxLine]:
    """What was billed in a year less what was credited, one line a rate, highest first."""
    currency = MoneyEntry.objects.filter(on__year=year).values_list("currency", flat=True).first()
    if currency is None:
        return []
    return _by_rate(MoneyLine.objects.filter(entry__on__year=year), currency)


def years() -> list[int]:
    """The years there are papers of, newest first."""
    return list(MoneyEntry.objects.order_by("-year").values_list("year", flat=True).distinct())


def entries_with_party() -> QuerySet[MoneyEntry]:
    """Entries, newest first, each with the party of its first share."""
    return MoneyEntry.objects.prefetch_related(
        Prefetch("shares", MoneyShare.objects.select_related("party__client"))
    )


def open_booking_pks() -> list[int]:
    """Bookings whose money is not even: agreed or billed is not what was paid or written off."""
    settled: dict[int, Decimal] = {}
    billed: dict[int, Decimal] = {}
    rows = (
        MoneyShare.objects.order_by()
        .filter(booking__isnull=False)
        .values_list("booking")
        .annotate(
            billed=exact_sum("owed", Q(entry__kind__in=_BILLED)),
            rest=exact_sum("owed", ~Q(entry__kind__in=_BILLED)),
        )
    )
    for pk, up, down in rows:
        billed[pk], settled[pk] = up or NOTHING, -(down or NOTHING)
    live = Booking.objects.filter(status=Booking.Status.CONFIRMED, price__gt=0)
    prices = dict(live.values_list("pk", "price"))
    return [
        pk
        for pk in prices.keys() | billed.keys()
        if prices.get(pk, billed.get(pk, NOTHING)) != settled.get(pk, NOTHING)
    ]
