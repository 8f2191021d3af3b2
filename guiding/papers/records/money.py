"""Price note, invoice, receipt and credit note: four papers on one body of lines and tax."""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from guiding.papers.records.letterhead import Letterhead


@dataclass(frozen=True, slots=True)
class Recipient:
    """To whom the paper goes; `tax_number` where the client's has to be printed."""

    name: str
    address_lines: tuple[str, ...] = ()
    tax_number: str = ""


@dataclass(frozen=True, slots=True)
class MoneyLine:
    """A line: so many of a unit at a price make an amount.

    `quantity` and `unit_price` may be None for a line that is a sum of its own. `rate_pct` is
    the tax rate in percent, None for none; `detail` is a second line in small type.
    """

    text: str
    amount: Decimal
    quantity: Decimal | None = None
    unit: str = ""
    unit_price: Decimal | None = None
    rate_pct: Decimal | None = None
    detail: str = ""


@dataclass(frozen=True, slots=True)
class TaxRow:
    """Net, tax and gross at one rate in percent; `rate_pct` None is exempt."""

    rate_pct: Decimal | None
    net: Decimal
    tax: Decimal
    gross: Decimal
    label: str = ""


@dataclass(frozen=True, slots=True)
class MoneyBody:
    """What price note, invoice, receipt and credit note share.

    `total` is what the client pays, tax included. `prices_include_tax` says how to read the
    lines. `tax_note` is the sentence that stands where no tax is charged. `trip_*` name the day
    it is about.
    """

    letterhead: Letterhead
    recipient: Recipient
    issued_on: date
    lines: tuple[MoneyLine, ...]
    total: Decimal
    taxes: tuple[TaxRow, ...] = ()
    prices_include_tax: bool = True
    tax_note: str = ""
    trip_title: str = ""
    trip_day: date | None = None
    trip_number: str = ""
    currency: str = ""
    opening: str = ""
    notes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Due:
    """A part of the total and when it is due."""

    label: str
    amount: Decimal
    due_on: date | None = None


@dataclass(frozen=True, slots=True)
class Paid:
    """A payment that came in."""

    received_on: date
    amount: Decimal
    how: str = ""
    reference: str = ""


@dataclass(frozen=True, slots=True)
class BankDetails:
    """Where to pay: account, reference, and the text of the payment code where there is one.

    `numbers` are the name and value of each thing that a transfer asks for, `lines` the account in
    free words; with neither, no account is named. `qr_payload` is the text of the SEPA payment
    code; the paper draws it and checks nothing. `other_ways` are sentences.
    """

    account_name: str = ""
    numbers: tuple[tuple[str, str], ...] = ()
    lines: tuple[str, ...] = ()
    reference: str = ""
    qr_payload: str = ""
    other_ways: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class PriceNote:
    """A price offered for a day: what is in it, until when it stands, what is paid when.

    `ladder` is one line a step of the cancellation terms. `accept_at` is the private address on
    which the client accepts; `yours_when` the sentence that says with what the day is theirs.
    """

    body: MoneyBody
    valid_until: date
    party: str = ""
    included: tuple[str, ...] = ()
    not_included: tuple[str, ...] = ()
    instalments: tuple[Due, ...] = ()
    ladder: tuple[str, ...] = ()
    weather_rule: str = ""
    accept_at: str = ""
    yours_when: str = ""


@dataclass(frozen=True, slots=True)
class Invoice:
    """What is owed for a day. `supplied_on` is the day of the service; `due` what is left."""

    body: MoneyBody
    due: Decimal
    due_on: date | None = None
    supplied_on: date | None = None
    payments: tuple[Paid, ...] = ()
    bank: BankDetails | None = None


@dataclass(frozen=True, slots=True)
class Receipt:
    """Money received; `left` is what is still owed on the same trip after it."""

    body: MoneyBody
    payments: tuple[Paid, ...]
    received: Decimal
    left: Decimal
    invoice_number: str = ""


@dataclass(frozen=True, slots=True)
class CreditNote:
    """Money given back or taken off an invoice, and why; amounts are positive."""

    body: MoneyBody
    invoice_number: str
    invoice_on: date
    reason: str
    settled: str = ""
