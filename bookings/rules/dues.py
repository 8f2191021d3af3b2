"""What is due when, and what a payment pays: the oldest first, the rest stays on account."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from bookings.rules.money import checked_money, rounded_money
from bookings.rules.prices import Instalment


@dataclass(frozen=True, slots=True)
class Debt:
    """Something still to be paid: a name to know it by, when it is due, and how much is open."""

    name: str
    due_on: date
    amount: Decimal


@dataclass(frozen=True, slots=True)
class PaymentSplit:
    """What a payment paid: `parts` beside the debts in the order given, the rest `on_account`."""

    parts: tuple[Decimal, ...]
    on_account: Decimal


@dataclass(frozen=True, slots=True)
class DueNow:
    """An instalment with what has been paid of it and what is left."""

    label: str
    amount: Decimal
    due_on: date
    paid: Decimal
    left: Decimal


def split_payment(amount: Decimal, debts: Sequence[Debt], currency: str) -> PaymentSplit:
    """What a payment pays: the debt due first, in full, then the next; what is over stays.

    `amount` above 0 and `debts` 0 or more, in `currency`; of debts due on one day the first given
    comes first. Parts and rest add up to the amount. Errors: an amount of 0 or less, a debt below
    0, digits below the minor unit. Source: house rule, oldest first [common practice].
    """
    left = checked_money(amount, currency)
    if left <= 0:
        raise ValueError(f"A payment of {amount} {currency} is none; enter more than 0.")
    parts = [rounded_money(Decimal(0), currency)] * len(debts)
    for place in sorted(range(len(debts)), key=lambda n: debts[n].due_on):
        open_amount = checked_money(debts[place].amount, currency)
        if open_amount < 0:
            raise ValueError(f"{debts[place].name}: a debt of {open_amount} is below 0.")
        parts[place] = min(open_amount, left)
        left -= parts[place]
    return PaymentSplit(tuple(parts), left)


def instalments_left(
    plan: Sequence[Instalment], paid: Decimal, currency: str
) -> tuple[DueNow, ...]:
    """The instalments of a plan with what is paid and left of each, in the order they are due.

    `paid` in all, 0 or more; what was paid beyond the plan shows nowhere here. Errors: below 0,
    digits below the minor unit. Source: house rule, oldest first.
    """
    over = checked_money(paid, currency)
    if over < 0:
        raise ValueError(f"Paid: {paid} is below 0; enter 0 or more.")
    found = []
    for part in sorted(plan, key=lambda each: each.due_on):
        covered = min(part.amount, over)
        over -= covered
        found.append(DueNow(part.label, part.amount, part.due_on, covered, part.amount - covered))
    return tuple(found)


def overdue_amount(instalments: Sequence[DueNow], on: date) -> Decimal:
    """What should have been paid before a day and was not: due on the day itself is not yet late.

    Source: house rule.
    """
    return sum((part.left for part in instalments if part.due_on < on), Decimal(0))
