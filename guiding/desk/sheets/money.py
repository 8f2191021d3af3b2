"""The papers of money: price note, invoice, receipt and credit note, from what was written down.

Each comes from its own rows alone, with both sides as they stood that day, so that the same paper
comes out in ten years whatever has happened since.
"""

from __future__ import annotations

import datetime
from collections.abc import Iterable, Mapping
from decimal import Decimal
from typing import Any
from zoneinfo import ZoneInfo

from babel import dates
from django.db.models import QuerySet, Sum

from bookings.models import Business, MoneyEntry, MoneyShare, Quote, Trip
from bookings.rules.ladder import LadderDay, ladder_days
from bookings.rules.money import rounded_money
from bookings.rules.phones import phone_text
from bookings.rules.prices import instalment_plan
from bookings.rules.tax import TaxLine
from bookings.sheets.client_words import yours_when
from bookings.sheets.letterhead import both_sides
from bookings.sheets.pricing import offer_rungs, plain, quote_tax, rungs_of
from guiding.desk.sheets.paying import bank_details
from guiding.papers import records
from guiding.papers.credit_note import credit_note_pdf
from guiding.papers.invoice import invoice_pdf
from guiding.papers.price_note import price_note_pdf
from guiding.papers.receipt import receipt_pdf
from guiding.papers.words import Words

Kind = MoneyEntry.Kind
PAPER_NAMES = {"invoice": "invoice", "credit_note": "credit-note", "payment": "receipt"}


def full_quotes() -> QuerySet[Quote]:
    """Price notes with what their paper is read from."""
    return Quote.objects.select_related(
        "party__client", "booking__trip", "offer__ladder"
    ).prefetch_related("lines")


def full_entries() -> QuerySet[MoneyEntry]:
    """Papers of money with what they are read from."""
    return MoneyEntry.objects.select_related("corrects").prefetch_related("lines", "shares")


def trip_quotes(trip: Trip) -> QuerySet[Quote]:
    """The price notes of a trip that were sent and stand."""
    standing = [Quote.Status.SENT, Quote.Status.ACCEPTED]
    return (
        full_quotes()
        .filter(booking__trip=trip, replaced_by=None, status__in=standing)
        .order_by("pk")
    )


def trip_entries(trip: Trip) -> QuerySet[MoneyEntry]:
    """Invoices, receipts and credit notes of a trip, in the order they were written."""
    return (
        full_entries()
        .filter(shares__booking__trip=trip, reverses=None, kind__in=list(PAPER_NAMES))
        .distinct()
        .order_by("pk")
    )


def quote_paper(quote: Quote, *, accept_at: str = "", page_size: str = "") -> bytes:
    """A price note as PDF; `accept_at` is the client's own address, known only when it is made."""
    sides = quote.terms.get("letterhead") or both_sides(Business.objects.get(), quote.party.client)
    zone = ZoneInfo(sides["business"]["zone"])
    tax = quote_tax(quote)
    day = _trip_day(quote, zone)
    body = records.MoneyBody(
        letterhead=_letterhead(sides, f"P{quote.pk:05d}", quote.made_at, page_size),
        recipient=_recipient(sides),
        issued_on=quote.made_at.astimezone(zone).date(),
        lines=tuple(
            records.MoneyLine(
                text=line.text,
                amount=rounded_money(line.amount, quote.currency),
                quantity=plain(line.quantity),
                unit_price=plain(line.unit_price),
                rate_pct=None if line.tax_percent is None else plain(line.tax_percent),
            )
            for line in quote.lines.all()
        ),
        total=rounded_money(quote.total, quote.currency),
        taxes=_tax_rows(tax.by_rate),
        prices_include_tax=quote.tax_included,
        tax_note=tax.note,
        trip_title=quote.offer_name,
        trip_day=day,
        currency=quote.currency,
    )
    locale = sides["business"]["locale"]
    on = (quote.sent_at or quote.made_at).astimezone(zone).date()
    rungs = rungs_of(quote.terms) if quote.terms.get("ladder") else offer_rungs(quote.offer)
    return price_note_pdf(
        records.PriceNote(
            body=body,
            valid_until=quote.stands_until.astimezone(zone).date(),
            party=str(quote.heads),
            included=_lines(quote.terms.get("supplied", quote.offer.supplied)),
            instalments=_instalments(quote, day, zone),
            ladder=tuple(_ladder_line(step, locale) for step in ladder_days(day, rungs, on=on))
            if day
            else (),
            accept_at=accept_at,
            yours_when=yours_when(quote, locale.split("_")[0]),
        )
    )


def _trip_day(quote: Quote, zone: ZoneInfo) -> datetime.date | None:
    """The day that the price was for, even when the trip has moved since."""
    if "trip_on" in quote.terms:
        return datetime.date.fromisoformat(quote.terms["trip_on"])
    return quote.booking.trip.starts_at.astimezone(zone).date() if quote.booking else None


def _instalments(
    quote: Quote, day: datetime.date | None, zone: ZoneInfo
) -> tuple[records.Due, ...]:
    if day is None:
        return ()
    agreed = quote.made_at.astimezone(zone).date()
    parts = instalment_plan(
        plain(quote.total),
        plain(quote.deposit),
        quote.currency,
        min(agreed, day),
        day,
        quote.terms.get("balance_days", 7),
    )
    # The first part is due with the yes, whenever that comes.
    return tuple(
        records.Due(part.label, part.amount, part.due_on if place else None)
        for place, part in enumerate(parts)
    )


def _ladder_line(step: LadderDay, locale: str) -> str:
    first, last = (
        dates.format_date(day, "medium", locale=locale) if day else ""
        for day in (step.first_on, step.last_on)
    )
    if first and last:
        return f"{first} – {last}: {step.rule}"
    return (
        f"{'until' if last else 'from'} {last or first}: {step.rule}"
        if last or first
        else step.rule
    )


def money_papers(trip: Trip) -> list[tuple[str, int, str]]:
    """Papers of money of a trip for a list: address, number of the row, what it is called."""
    quotes = [
        ("quote_file", quote.pk, f"Price note {quote.pk} for {quote.party.client}")
        for quote in trip_quotes(trip)
    ]
    entries = [
        ("entry_file", entry.pk, f"{_TITLES[entry.kind]} {entry.label} for {_to_whom(entry)}")
        for entry in trip_entries(trip)
    ]
    return quotes + entries


_TITLES = {"invoice": "Invoice", "credit_note": "Credit note", "payment": "Receipt"}


def _to_whom(entry: MoneyEntry) -> str:
    return str(entry.letterhead["recipient"]["name"])


def has_paper(entry: MoneyEntry) -> bool:
    """Invoices, credit notes and payments have a paper; what takes another out has none."""
    return entry.reverses_id is None and entry.kind in _MAKERS


def entry_paper(entry: MoneyEntry, *, page_size: str = "") -> bytes:
    """Invoice, credit note or receipt as PDF. ValueError for what has no paper."""
    if not has_paper(entry):
        raise ValueError(f"A {entry.get_kind_display()} has no paper of its own.")
    return _MAKERS[Kind(entry.kind)](entry, page_size)


def _invoice(entry: MoneyEntry, page_size: str) -> bytes:
    body = _body(entry, page_size)
    return invoice_pdf(
        records.Invoice(
            body=body,
            due=rounded_money(entry.amount, entry.currency),
            due_on=entry.due_on,
            supplied_on=entry.supplied_on,
            bank=bank_details(
                entry.letterhead["business"],
                language=body.letterhead.language,
                invoice=entry,
                amount=entry.amount,
            ),
        )
    )


def _credit_note(entry: MoneyEntry, page_size: str) -> bytes:
    corrected = entry.corrects
    if corrected is None:
        raise ValueError("A credit note without its invoice cannot be printed.")
    return credit_note_pdf(
        records.CreditNote(
            body=_body(entry, page_size),
            invoice_number=corrected.label,
            invoice_on=corrected.on,
            reason=entry.reason,
        )
    )


def _receipt(entry: MoneyEntry, page_size: str) -> bytes:
    words = dict(MoneyEntry.Way.choices)[entry.way]
    amount = rounded_money(entry.amount, entry.currency)
    return receipt_pdf(
        records.Receipt(
            body=_body(entry, page_size, _receipt_lines(entry)),
            payments=(records.Paid(entry.moved_on or entry.on, amount, words),),
            received=amount,
            left=max(rounded_money(_left_after(entry), entry.currency), Decimal(0)),
        )
    )


def _receipt_lines(entry: MoneyEntry) -> tuple[records.MoneyLine, ...]:
    """What the money was for, in the words of the day it came in."""
    locale = entry.letterhead["business"]["locale"]
    found = []
    shares = sorted(entry.shares.all(), key=lambda share: share.pk)
    for share, (title, day) in zip(shares, entry.letterhead["for"], strict=True):
        text = "For another date"
        if title:
            shown = dates.format_date(datetime.date.fromisoformat(day), "medium", locale=locale)
            text = f"{title}, {shown}"
        found.append(records.MoneyLine(text, rounded_money(-share.owed, entry.currency)))
    return tuple(found)


def _left_after(entry: MoneyEntry) -> Decimal:
    """What was billed and open on the same bookings once this payment was written down."""
    bookings = [share.booking_id for share in entry.shares.all() if share.booking_id]
    shares = MoneyShare.objects.filter(booking__in=bookings, entry__pk__lte=entry.pk)
    return shares.aggregate(sum=Sum("owed"))["sum"] or Decimal(0)


_MAKERS = {Kind.INVOICE: _invoice, Kind.CREDIT_NOTE: _credit_note, Kind.PAYMENT: _receipt}


def _body(
    entry: MoneyEntry, page_size: str, lines: tuple[records.MoneyLine, ...] = ()
) -> records.MoneyBody:
    rows = list(entry.lines.all())
    return records.MoneyBody(
        letterhead=_letterhead(entry.letterhead, entry.label, entry.entered_at, page_size),
        recipient=_recipient(entry.letterhead),
        issued_on=entry.on,
        lines=lines
        or tuple(
            records.MoneyLine(
                text=line.text,
                amount=rounded_money(line.amount, entry.currency),
                quantity=None if line.quantity is None else plain(line.quantity),
                unit_price=None if line.unit_price is None else plain(line.unit_price),
                rate_pct=None if line.tax_percent is None else plain(line.tax_percent),
            )
            for line in rows
        ),
        total=rounded_money(entry.amount, entry.currency),
        taxes=_tax_rows(
            TaxLine("", line.tax_percent, line.net, line.tax, line.gross) for line in rows
        ),
        prices_include_tax=entry.tax_included,
        tax_note=entry.tax_note,
        trip_title=entry.about,
        trip_day=entry.supplied_on,
        currency=entry.currency,
    )


def _tax_rows(lines: Iterable[TaxLine]) -> tuple[records.TaxRow, ...]:
    """Sums by rate, highest first; no table where no tax is charged at all."""
    sums: dict[Decimal, list[Decimal]] = {}
    for line in lines:
        if line.rate_pct is not None:
            row = sums.setdefault(plain(line.rate_pct), [Decimal(0)] * 3)
            sums[plain(line.rate_pct)] = [
                before + more
                for before, more in zip(row, (line.net, line.tax, line.gross), strict=True)
            ]
    if not any(tax for _net, tax, _gross in sums.values()):
        return ()
    return tuple(
        records.TaxRow(rate, net, tax, gross)
        for rate, (net, tax, gross) in sorted(sums.items(), reverse=True)
    )


def _letterhead(
    sides: Mapping[str, Any], number: str, printed_at: datetime.datetime, page_size: str
) -> records.Letterhead:
    ours = sides["business"]
    language = ours["locale"].split("_")[0]
    return records.Letterhead(
        business=records.Business(
            name=ours["name"],
            address_lines=_lines(ours["address"]),
            phone=phone_text(ours["phone"]),
            mail=ours["email"],
            registration_lines=(f"Tax number {ours['tax_number']}",) if ours["tax_number"] else (),
        ),
        number=number,
        printed_at=printed_at,
        zone=ours["zone"],
        locale=ours["locale"],
        language=language if language in Words.languages() else "en",
        currency=ours["currency"],
        page_size=records.PageSize(page_size or ours["paper"]),
        units=records.Units(ours["units"]),
    )


def _recipient(sides: Mapping[str, Any]) -> records.Recipient:
    theirs = sides["recipient"]
    return records.Recipient(
        name=theirs["name"],
        address_lines=_lines(theirs["address"]),
        tax_number=theirs["tax_number"],
    )


def _lines(text: str) -> tuple[str, ...]:
    return tuple(line.strip() for line in text.splitlines() if line.strip())
