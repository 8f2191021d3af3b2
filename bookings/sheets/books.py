"""The books of a year for an accountant: papers, journal and totals as CSV."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Iterator
from decimal import Decimal

from django.db.models import Prefetch, QuerySet

from bookings.models import Business, MoneyEntry, MoneyLine, MoneyShare
from bookings.queries.money import tax_by_rate, year_totals
from bookings.rules.journal import journal_postings
from bookings.rules.money import rounded_money
from bookings.rules.tax import TaxLine

_FORMULA = ("=", "+", "-", "@", "\t", "\r")


def books_files(year: int) -> Iterator[tuple[str, Iterator[str]]]:
    """The files of a year by name, each as pieces of text to be written one after the other."""
    yield f"papers-{year}.csv", csv_lines(paper_rows(year))
    yield f"journal-{year}.csv", csv_lines(journal_rows(year))
    yield f"totals-{year}.csv", csv_lines(total_rows(year))


def csv_lines(rows: Iterable[Iterable[object]]) -> Iterator[str]:
    """Rows as CSV, with a mark at the start by which a spreadsheet knows the letters.

    A text that a spreadsheet would take for a formula gets an apostrophe in front.
    """
    yield "\ufeff"
    for row in rows:
        line = io.StringIO()
        csv.writer(line).writerow([_cell(value) for value in row])
        yield line.getvalue()


def _cell(value: object) -> object:
    if isinstance(value, str) and value.startswith(_FORMULA):
        return f"'{value}"
    return "" if value is None else value


def _papers(year: int) -> QuerySet[MoneyEntry]:
    return (
        MoneyEntry.objects.filter(on__year=year)
        .select_related("reverses", "corrects")
        .prefetch_related(
            Prefetch("shares", MoneyShare.objects.select_related("party__client")),
            Prefetch("lines", MoneyLine.objects.order_by("position")),
        )
        .order_by("on", "pk")
    )


def paper_rows(year: int) -> Iterator[tuple[object, ...]]:
    """Every paper of a year in the order it was written."""
    yield ("paper", "kind", "date", "money moved on", "client", "about", "net", "tax", "amount",
           "currency", "way", "reference", "due by", "corrects", "takes out", "reason")  # fmt: skip
    for entry in _papers(year).iterator(chunk_size=1000):
        yield (
            entry.label,
            entry.get_kind_display(),
            entry.on,
            entry.moved_on,
            _client(entry),
            entry.about,
            _money(entry.net, entry.currency),
            _money(entry.tax, entry.currency),
            _money(entry.amount, entry.currency),
            entry.currency,
            entry.get_way_display(),
            entry.reference,
            entry.due_on,
            entry.corrects.label if entry.corrects else "",
            entry.reverses.label if entry.reverses else "",
            entry.reason,
        )


def journal_rows(year: int) -> Iterator[tuple[object, ...]]:
    """The journal of a year: for each paper as much debit as credit."""
    yield ("date", "paper", "account", "debit", "credit", "currency", "client", "text")
    for entry in _papers(year).iterator(chunk_size=1000):
        postings = journal_postings(
            entry.kind, entry.amount, _rates(entry), entry.way, entry.reverses_id is not None
        )
        for posting in postings:
            yield (
                entry.on,
                entry.label,
                posting.account,
                _money(posting.debit or None, entry.currency),
                _money(posting.credit or None, entry.currency),
                entry.currency,
                _client(entry),
                entry.about or entry.reason,
            )


def total_rows(year: int) -> Iterator[tuple[object, ...]]:
    """Months, the year, and the tax by rate."""
    found = year_totals(year)
    currency = Business.objects.values_list("currency", flat=True).get()
    yield ("month", "billed", "tax in it", "received", "given back", "given up")
    for month in (*found.months, found.sums):
        name = f"{month.first_day:%Y-%m}" if month is not found.sums else str(year)
        sums = (month.billed, month.tax, month.received, month.refunded, month.written_off)
        yield (name, *(_money(each, currency) for each in sums))
    yield ()
    yield ("tax rate, per cent", "net", "tax", "gross")
    for line in tax_by_rate(year):
        rate = "none charged" if line.rate_pct is None else line.rate_pct
        yield (rate, line.net, line.tax, line.gross)


def _rates(entry: MoneyEntry) -> list[TaxLine]:
    found: dict[Decimal | None, TaxLine] = {}
    nothing = Decimal(0)
    for line in entry.lines.all():
        so_far = found.get(line.tax_percent, TaxLine("", line.tax_percent, *[nothing] * 3))
        found[line.tax_percent] = TaxLine(
            "",
            line.tax_percent,
            so_far.net + line.net,
            so_far.tax + line.tax,
            so_far.gross + line.gross,
        )
    return list(found.values())


def _client(entry: MoneyEntry) -> str:
    return ", ".join(dict.fromkeys(str(share.party.client) for share in entry.shares.all()))


def _money(amount: Decimal | None, currency: str) -> Decimal | None:
    return None if amount is None else rounded_money(amount, currency)
