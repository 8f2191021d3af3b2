"""A bank statement as CSV, however the bank writes it, and whose money each line may be.

Nothing is half read: each line that cannot be read comes back as a problem with its row and column.
"""

import csv
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal, InvalidOperation
from enum import StrEnum
from hashlib import sha256

from bookings.rules.money import checked_money, minor_units
from bookings.rules.references import creditor_reference_is_valid

# What banks call their columns, in small letters; the first that fits is taken.
_NAMES: Mapping[str, tuple[str, ...]] = {
    "booked_on": (
        "booking date", "booked on", "transaction date", "posting date", "date", "value date",
        "buchungstag", "buchungsdatum", "valutadatum", "datum", "data", "fecha",
    ),
    "amount": ("amount", "betrag", "umsatz", "montant", "importe", "kwota", "sum"),
    "credit": ("credit", "paid in", "money in", "haben", "gutschrift"),
    "debit": ("debit", "paid out", "money out", "soll", "lastschrift"),
    "payer": (
        "payer", "name", "counterparty", "counterparty name", "beneficiary", "from",
        "name zahlungsbeteiligter", "auftraggeber/empfänger", "zahlungsbeteiligter",
    ),
    "text": (
        "description", "details", "narrative", "remittance information", "text", "memo", "purpose",
        "verwendungszweck", "buchungstext", "libellé", "concepto",
    ),
    "reference": (
        "reference", "creditor reference", "structured reference", "payment reference", "referenz",
    ),
    "currency": ("currency", "währung", "waehrung", "devise", "moneda"),
}  # fmt: skip
_DAY_FIRST = ("%Y-%m-%d", "%d/%m/%Y", "%d.%m.%Y", "%d-%m-%Y", "%d/%m/%y", "%d.%m.%y", "%d %b %Y")
_MONTH_FIRST = ("%Y-%m-%d", "%m/%d/%Y", "%m-%d-%Y", "%m/%d/%y")
_MOST_ROWS = 20_000


class Certainty(StrEnum):
    """How sure a match is: by the reference, by name and amount, or by the amount alone."""

    SURE = "sure"
    LIKELY = "likely"
    GUESS = "guess"


@dataclass(frozen=True, slots=True)
class StatementLine:
    """One line; `amount` above 0 came in. `fingerprint` is the same when it is read again."""

    row: int
    booked_on: date
    amount: Decimal
    currency: str
    payer: str
    text: str
    reference: str
    fingerprint: str


@dataclass(frozen=True, slots=True)
class StatementProblem:
    """A row that was not read: its number in the file from 1, the column, and why."""

    row: int
    column: str
    reason: str


@dataclass(frozen=True, slots=True)
class Statement:
    """A file as it was read."""

    lines: tuple[StatementLine, ...]
    problems: tuple[StatementProblem, ...]


@dataclass(frozen=True, slots=True)
class OpenInvoice:
    """Something that a payment may be for: `name` to know it by, sums that are expected."""

    name: str
    label: str
    reference: str
    client: str
    sums: tuple[Decimal, ...]


@dataclass(frozen=True, slots=True)
class BankMatch:
    """Whose money a line may be, and what it was recognised by."""

    name: str
    certainty: Certainty
    why: str


def read_statement(text: str, currency: str) -> Statement:
    """The lines of a bank statement in CSV and the rows that could not be read.

    The head is the first row that names a date and an amount (or money in and out); rows before it
    are the bank's own. Comma, semicolon or tab; point or comma as decimal mark; the day before the
    month unless the column shows that it cannot be. Errors: no head, more than 20,000 rows, another
    currency in a row. Source: no standard; common practice.
    """
    rows = _rows(text)
    at, columns = _head(rows)
    dates = _day_order([_cell(row, columns, "booked_on") for row in rows[at + 1 :]])
    lines: list[StatementLine] = []
    problems: list[StatementProblem] = []
    seen: dict[str, int] = {}
    for number, row in enumerate(rows[at + 1 :], start=at + 2):
        if not any(cell.strip() for cell in row):
            continue
        found = _line(number, row, columns, dates, currency)
        if isinstance(found, StatementProblem):
            problems.append(found)
            continue
        # Two equal payments of one day are two lines; each keeps its own mark in every file.
        mark = "|".join(map(str, (found[0], found[1], *found[2:])))
        seen[mark] = seen.get(mark, 0) + 1
        fingerprint = sha256(f"{mark}|{seen[mark]}".encode()).hexdigest()
        lines.append(StatementLine(number, found[0], found[1], currency, *found[2:], fingerprint))
    return Statement(tuple(lines), tuple(problems))


def match_line(line: StatementLine, invoices: Sequence[OpenInvoice]) -> tuple[BankMatch, ...]:
    """Whose money a line may be, the surest first; empty when nothing fits or it went out.

    Sure: a valid reference of ours stands in it, or the short one, which has no check digits, with
    an amount that is expected. Likely: the number of an invoice, or the client's name with such an
    amount. Guess: an expected amount that only one client has.
    Source: house rule.
    """
    if line.amount <= 0:
        return ()
    told = f"{line.reference} {line.text}".upper()
    found = {}
    for invoice in invoices:
        match = _by_reference(told, line.amount, invoice)
        if match is not None:
            found[invoice.name] = match
    if not found:
        found = _by_amount(line, invoices)
    order = list(Certainty)
    return tuple(sorted(found.values(), key=lambda match: order.index(match.certainty)))


def short_reference(label: str) -> str:
    """What a client writes on a payment by the number of the invoice: INV 2026-0031.

    Source: common practice.
    """
    return f"INV {label}"


def _by_reference(told: str, amount: Decimal, invoice: OpenInvoice) -> BankMatch | None:
    """A match by what was written; `told` in capitals. Banks drop blanks and strokes."""
    packed = re.sub(r"[^A-Z0-9]", "", told)
    # Not a longer reference that begins alike; words may follow without a space.
    if invoice.reference and re.search(rf"{invoice.reference}(?!\d)", packed):
        return BankMatch(invoice.name, Certainty.SURE, f"its reference {invoice.reference}")
    if not invoice.label:
        return None
    short = short_reference(invoice.label)
    if re.search(rf"{re.sub(r'[^A-Z0-9]', '', short.upper())}(?!\d)", packed):
        certainty = Certainty.SURE if amount in invoice.sums else Certainty.LIKELY
        return BankMatch(invoice.name, certainty, f"its reference {short}")
    if re.search(rf"(?<!\d){re.escape(invoice.label)}(?!\d)", told):
        return BankMatch(invoice.name, Certainty.LIKELY, f"the number {invoice.label}")
    return None


def _by_amount(line: StatementLine, invoices: Sequence[OpenInvoice]) -> dict[str, BankMatch]:
    fits = [invoice for invoice in invoices if line.amount in invoice.sums]
    written = set(_words(f"{line.payer} {line.text}"))
    named = [x for x in fits if set(_words(x.client)[-1:]) & written]
    if named:
        why = "name and amount"
        return {x.name: BankMatch(x.name, Certainty.LIKELY, why) for x in named}
    if len({invoice.client for invoice in fits}) == 1:
        return {x.name: BankMatch(x.name, Certainty.GUESS, "the amount alone") for x in fits}
    return {}


def _words(text: str) -> list[str]:
    return [word for word in re.split(r"[^\w']+", text.casefold()) if len(word) > 1]


def _rows(text: str) -> list[list[str]]:
    head = text.lstrip("\ufeff")
    start = head[:4000]
    delimiter = max(";\t,", key=start.count)
    rows = list(csv.reader(head.splitlines(), delimiter=delimiter))
    if len(rows) > _MOST_ROWS:
        raise ValueError(f"The file has {len(rows)} rows; {_MOST_ROWS} are the most. Shorten it.")
    return rows


def _head(rows: Sequence[Sequence[str]]) -> tuple[int, dict[str, int]]:
    for number, row in enumerate(rows[:40]):
        names = [cell.strip().strip('"').casefold() for cell in row]
        columns = {
            what: next(names.index(name) for name in known if name in names)
            for what, known in _NAMES.items()
            if any(name in names for name in known)
        }
        if "booked_on" in columns and columns.keys() & {"amount", "credit"}:
            return number, columns
    raise ValueError(
        "No row of the file names a date and an amount. Export the statement as CSV with its head."
    )


def _cell(row: Sequence[str], columns: Mapping[str, int], what: str) -> str:
    place = columns.get(what)
    return row[place].strip() if place is not None and place < len(row) else ""


def _day_order(cells: Sequence[str]) -> tuple[str, ...]:
    """Day first, unless some day of the column is only one with the month first."""
    for cell in cells:
        if cell and _day(cell, _DAY_FIRST) is None and _day(cell, _MONTH_FIRST) is not None:
            return _MONTH_FIRST
    return _DAY_FIRST


def _day(cell: str, forms: Sequence[str]) -> date | None:
    for form in forms:
        try:
            return datetime.strptime(cell, form).date()  # noqa: DTZ007  a day, not an instant
        except ValueError:
            continue
    return None


def _line(
    number: int,
    row: Sequence[str],
    columns: Mapping[str, int],
    dates: Sequence[str],
    currency: str,
) -> tuple[date, Decimal, str, str, str] | StatementProblem:
    booked_on = _day(_cell(row, columns, "booked_on"), dates)
    if booked_on is None:
        cell = _cell(row, columns, "booked_on")
        return StatementProblem(number, "date", f"'{cell}' is no date.")
    own = _cell(row, columns, "currency").upper()
    if own and own != currency:
        return StatementProblem(number, "currency", f"It is in {own}, the books are in {currency}.")
    try:
        amount = _amount(row, columns, currency)
    except ValueError as refusal:
        return StatementProblem(number, "amount", str(refusal))
    texts = (_cell(row, columns, name) for name in ("payer", "text", "reference"))
    payer, text, reference = (" ".join(each.split()) for each in texts)
    packed = reference.replace(" ", "").upper()
    if not creditor_reference_is_valid(packed):
        text, packed = " ".join(filter(None, (text, reference))), ""
    return booked_on, amount, payer[:140], text[:300], packed[:25]


def _amount(row: Sequence[str], columns: Mapping[str, int], currency: str) -> Decimal:
    if "amount" in columns:
        amount = _decimal(_cell(row, columns, "amount"), currency)
    else:
        credit = _cell(row, columns, "credit")
        debit = _cell(row, columns, "debit")
        amount = _decimal(credit or "0", currency) - abs(_decimal(debit or "0", currency))
    if not amount:
        raise ValueError("It moves no money.")
    return checked_money(amount, currency)


def _decimal(cell: str, currency: str) -> Decimal:
    kept = re.sub(r"[^\d.,+-]", "", cell)
    whole, mark, part = kept.rpartition("," if kept.rfind(",") > kept.rfind(".") else ".")
    # 1,160 is a thousand and more, unless the currency has a third digit.
    if not mark or (len(part) == 3 and minor_units(currency) != 3):
        whole, part = f"{whole}{part}", ""
    plain = re.sub(r"[.,]", "", whole)
    try:
        return Decimal(f"{plain}.{part}" if part else (plain or kept))
    except InvalidOperation:
        raise ValueError(f"'{cell}' is no amount.") from None
