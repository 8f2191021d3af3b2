"""How a client can pay: the account as their bank asks for it, a link, cash, and the reference.

The one place that says so; invoice, statement, trip sheet, reminder and client's page all ask it.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from bookings.models import MoneyEntry
from bookings.rules.accounts import ACCOUNT_WORDS, SCHEMES
from bookings.rules.money import rounded_money
from bookings.rules.references import grouped_by_four, iban_is_valid, payment_qr_text
from bookings.rules.statement import short_reference


@dataclass(frozen=True, slots=True)
class WaysToPay:
    """`numbers` are what is typed into a transfer, each with its name; `lines` the same in free
    words. `account_name` is empty where there is neither: no paper names an account without one.
    """

    account_name: str
    numbers: tuple[tuple[str, str], ...]
    lines: tuple[str, ...]
    link: str
    cash: bool
    reference: str
    qr_text: str = ""

    @property
    def any(self) -> bool:
        return bool(self.account_name or self.link or self.cash)


def ways_to_pay(
    ours: Mapping[str, Any],
    *,
    language: str,
    invoice: MoneyEntry | None = None,
    amount: Decimal | None = None,
) -> WaysToPay:
    """How to pay us, from our side of a paper (`our_side`), which may be years old.

    With an invoice its reference, and with an amount the payment code of it where there is one.
    """
    numbers = _numbers(ours, ACCOUNT_WORDS.get(language, ACCOUNT_WORDS["en"]))
    text = ours.get("account_lines", "")
    lines = tuple(line.strip() for line in text.splitlines() if line.strip())
    return WaysToPay(
        account_name=ours["name"] if numbers or lines else "",
        numbers=numbers,
        lines=lines,
        link=ours.get("pay_link", ""),
        cash=bool(ours.get("cash_on_the_day")),
        reference=printed_reference(ours, invoice) if invoice else "",
        qr_text=_qr_text(ours, invoice, amount) if invoice and amount else "",
    )


def printed_reference(ours: Mapping[str, Any], invoice: MoneyEntry) -> str:
    """What the client writes on the payment: a bank knows a creditor reference with an IBAN and
    euros alone; anywhere else the number of the invoice is shorter and says more.
    """
    if _is_sepa(ours, invoice.currency):
        return grouped_by_four(invoice.reference)
    return short_reference(invoice.label)


def _is_sepa(ours: Mapping[str, Any], currency: str) -> bool:
    return currency == "EUR" and iban_is_valid(ours["iban"])


def _numbers(ours: Mapping[str, Any], words: Mapping[str, str]) -> tuple[tuple[str, str], ...]:
    scheme = SCHEMES.get(ours.get("country", ""))
    found = []
    if scheme and ours.get("account_number"):
        if scheme.code:
            found.append((words[scheme.code], scheme.shown_code(ours["bank_code"])))
        found.append((words["number"], ours["account_number"]))
    if ours["iban"]:
        found.append(("IBAN", grouped_by_four(ours["iban"])))
        found.append(("BIC", ours["bic"]))
    return tuple(pair for pair in found if pair[1])


def _qr_text(ours: Mapping[str, Any], invoice: MoneyEntry, amount: Decimal) -> str:
    """The text of the payment code, where the money is euros and the account has an IBAN."""
    if not _is_sepa(ours, invoice.currency):
        return ""
    try:
        return payment_qr_text(
            name=ours["name"][:70],
            iban=ours["iban"],
            amount=rounded_money(amount, invoice.currency),
            reference=invoice.reference,
            bic=ours["bic"],
        )
    except ValueError:  # an odd name or BIC: the words beside it still tell how to pay
        return ""
