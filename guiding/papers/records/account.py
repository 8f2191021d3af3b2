"""A client's account: what was billed and paid, line by line, and what is left."""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from guiding.papers.records.letterhead import Letterhead
from guiding.papers.records.money import BankDetails, Recipient


@dataclass(frozen=True, slots=True)
class AccountRow:
    """One paper of the account: what it added to the bill or paid off it, and what stood then."""

    on: date
    text: str
    balance: Decimal
    billed: Decimal | None = None
    paid: Decimal | None = None


@dataclass(frozen=True, slots=True)
class AccountStatement:
    """Everything billed and paid until a day.

    `balance` above nothing is left to pay, below nothing is held for the client.
    """

    letterhead: Letterhead
    recipient: Recipient
    until: date
    rows: tuple[AccountRow, ...]
    balance: Decimal
    currency: str = ""
    bank: BankDetails | None = None
    notes: tuple[str, ...] = ()
