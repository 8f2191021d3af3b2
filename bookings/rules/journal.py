"""Double entry: what each paper does to the accounts of an accountant. Both sides are equal."""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from bookings.rules.tax import TaxLine

RECEIVABLE = "Receivable"
WRITTEN_OFF = "Written off"
_MONEY = {"bank": "Bank", "cash": "Cash", "card": "Card", "other": "Other money"}


@dataclass(frozen=True, slots=True)
class Posting:
    """One side of one account; the other of `debit` and `credit` is 0."""

    account: str
    debit: Decimal
    credit: Decimal


def journal_postings(
    kind: str, amount: Decimal, rates: Sequence[TaxLine] = (), way: str = "", back: bool = False
) -> tuple[Posting, ...]:
    """The postings of one paper; debits and credits come to the same sum.

    `kind`: invoice, credit_note, payment, refund, write_off or transfer; `rates` the net and tax of
    an invoice or credit note by rate; `way` how money moved; `back` for a paper that takes another
    out. Errors: an unknown kind or way, rates that do not make the amount.
    Source: double entry, common practice; accounts named in plain words.
    """
    if kind in {"invoice", "credit_note"}:
        moves = [(RECEIVABLE, amount), *_sales(rates)]
    elif kind in {"payment", "refund"}:
        if way not in _MONEY:
            raise ValueError(f"Money does not move by '{way}'; known are {', '.join(_MONEY)}.")
        moves = [(_MONEY[way], amount), (RECEIVABLE, -amount)]
    elif kind == "write_off":
        moves = [(WRITTEN_OFF, amount), (RECEIVABLE, -amount)]
    elif kind == "transfer":
        moves = [(RECEIVABLE, amount), (RECEIVABLE, -amount)]
    else:
        raise ValueError(f"'{kind}' is no kind of paper in the books.")
    if sum(moved for _account, moved in moves):
        raise ValueError(f"Net and tax of this {kind} do not make its amount {amount}.")
    sign = -1 if back != (kind in {"credit_note", "refund"}) else 1
    return tuple(_posting(account, sign * moved) for account, moved in moves if moved)


def _sales(rates: Sequence[TaxLine]) -> list[tuple[str, Decimal]]:
    found = []
    for line in rates:
        name = "no tax" if line.rate_pct is None else f"{line.rate_pct.normalize() + 0:f} %"
        found.append((f"Sales, {name}", -line.net))
        found.append((f"Tax {name}", -line.tax))
    return found


def _posting(account: str, moved: Decimal) -> Posting:
    return Posting(account, max(moved, Decimal(0)), max(-moved, Decimal(0)))
