"""From an offer and a party to the lines of a quote, and from a total to what is due when.

The lines carry their unit price, so a quote stays what it was when the offer changes later.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal
from enum import StrEnum
from fractions import Fraction
from itertools import pairwise

from bookings.rules.money import checked_money, rounded_money


class PriceWay(StrEnum):
    """How an offer is priced."""

    PER_HEAD = "per_head"
    WHOLE_DAY = "whole_day"
    STEPS = "steps"


class ExtraPer(StrEnum):
    """What an extra is counted by."""

    PARTY = "party"
    HEAD = "head"


class LineKind(StrEnum):
    """What a line of a quote stands for."""

    ADULT = "adult"
    CHILD = "child"
    DAY = "day"
    MINIMUM = "minimum"
    EXTRA = "extra"


@dataclass(frozen=True, slots=True)
class PriceStep:
    """The price of the whole party from so many heads on, until the next step."""

    from_heads: int
    price: Decimal


@dataclass(frozen=True, slots=True)
class OfferPrice:
    """How one offer is priced; money in `currency`.

    PER_HEAD: `price` an adult, `child_price` a child (None: as an adult), never less in all than
    `minimum_charge`. WHOLE_DAY: `price` for the day, whoever comes. STEPS: `steps`, by heads of any
    age. `heads_max` is the most that can come.
    """

    way: PriceWay
    currency: str
    heads_max: int
    price: Decimal = Decimal(0)
    child_price: Decimal | None = None
    minimum_charge: Decimal = Decimal(0)
    steps: tuple[PriceStep, ...] = ()


@dataclass(frozen=True, slots=True)
class Heads:
    """Who comes, as the price counts them."""

    adults: int
    children: int = 0


@dataclass(frozen=True, slots=True)
class Extra:
    """Something added to a quote, or taken off it with an amount below 0."""

    label: str
    amount: Decimal
    per: ExtraPer = ExtraPer.PARTY


@dataclass(frozen=True, slots=True)
class QuoteLine:
    """A frozen line of a quote: quantity x unit price = amount."""

    kind: LineKind
    label: str
    quantity: int
    unit_price: Decimal
    amount: Decimal


@dataclass(frozen=True, slots=True)
class Instalment:
    """A part of a total and the day it is due, in the business's own zone."""

    label: str
    amount: Decimal
    due_on: date


def quote_lines(
    offer: OfferPrice, heads: Heads, extras: Sequence[Extra] = ()
) -> tuple[QuoteLine, ...]:
    """The lines of a quote for a party; their amounts add up to its total.

    Order: the price, the difference to a minimum charge, the extras. A larger party never pays less
    than a smaller one: steps and reductions that would make it so are refused, and so is a child's
    price above an adult's. Errors: nobody or too many, steps that leave the party out, amounts with
    more digits than the currency, reductions beyond the price. Source: house rules.
    """
    _check_party(offer, heads)
    base = _base_lines(offer, heads)
    counted = {ExtraPer.PARTY: 1, ExtraPer.HEAD: heads.adults + heads.children}
    for extra in extras:
        if extra.amount < 0 and extra.per is ExtraPer.HEAD:
            raise ValueError(
                f"'{extra.label}' takes {-extra.amount} off for each head, so a larger party could "
                "pay less; take it off for the party, or lower the price per head."
            )
    lines = (
        *base,
        *(_line(LineKind.EXTRA, x.label, counted[x.per], x.amount, offer.currency) for x in extras),
    )
    if quote_total(lines) < 0:
        raise ValueError("The reductions are larger than the price; lower them.")
    return lines


def quote_total(lines: Sequence[QuoteLine]) -> Decimal:
    """The sum of a quote's lines, in the currency of its offer; 0 without lines. House rule."""
    return sum((line.amount for line in lines), Decimal(0))


def deposit_due(total: Decimal, deposit_share: Decimal, currency: str) -> Decimal:
    """The deposit on a total: total x share, rounded half up to the minor unit.

    `total` in money, 0 or more; `deposit_share` 0 to 1. The balance is the rest, so both always add
    up. Errors: a share outside 0 to 1, a negative total. Source: 30 % is the house's default, from
    terms that guides publish (20 to 50 %).
    """
    if not 0 <= deposit_share <= 1:
        raise ValueError(f"Deposit share {deposit_share} is outside 0 to 1; write 30 % as 0.30.")
    if checked_money(total, currency) < 0:
        raise ValueError(f"Total {total} is below 0; a deposit needs a price of 0 or more.")
    return rounded_money(Fraction(total) * Fraction(deposit_share), currency)


def payment_plan(
    total: Decimal,
    deposit_share: Decimal,
    currency: str,
    agreed_on: date,
    trip_on: date,
    balance_days_before: int = 7,
) -> tuple[Instalment, ...]:
    """The deposit and the balance of a total with the days they are due; they add up to the total.

    The deposit is due on the day of agreement, the balance `balance_days_before` the trip. Agreed
    so late that the balance would be due at once, the whole is one payment. Parts of 0 are left
    out.
    Errors: a trip before the agreement, a share outside 0 to 1, a negative number of days.
    Source: house defaults.
    """
    deposit = deposit_due(total, deposit_share, currency)
    return instalment_plan(total, deposit, currency, agreed_on, trip_on, balance_days_before)


def instalment_plan(
    total: Decimal,
    deposit: Decimal,
    currency: str,
    agreed_on: date,
    trip_on: date,
    balance_days_before: int = 7,
) -> tuple[Instalment, ...]:
    """A total and an agreed deposit as instalments with the days they are due; they add up.

    As `payment_plan`, for a deposit that is agreed as a sum. Errors: a deposit below 0 or above the
    total, a trip before the agreement, a negative number of days. Source: house defaults.
    """
    if not 0 <= checked_money(deposit, currency) <= checked_money(total, currency):
        raise ValueError(f"The deposit {deposit} is outside 0 to {total}; check both.")
    if trip_on < agreed_on:
        raise ValueError(
            f"The trip on {trip_on:%-d %B %Y} lies before the agreement on {agreed_on:%-d %B %Y}."
        )
    if balance_days_before < 0:
        raise ValueError(f"Balance days {balance_days_before} is below 0; enter 0 or more.")
    balance_on = trip_on - timedelta(days=balance_days_before)
    if balance_on <= agreed_on:
        parts = [Instalment("Full payment", total, agreed_on)]
    else:
        parts = [
            Instalment("Deposit", deposit, agreed_on),
            Instalment("Balance", total - deposit, balance_on),
        ]
    return tuple(part for part in parts if part.amount)


def _check_party(offer: OfferPrice, heads: Heads) -> None:
    if heads.adults < 0 or heads.children < 0 or heads.adults + heads.children == 0:
        raise ValueError("The party has nobody in it; enter at least one head.")
    if heads.adults + heads.children > offer.heads_max:
        raise ValueError(
            f"{heads.adults + heads.children} heads are too many: this offer takes "
            f"{offer.heads_max}. Offer a second day or another offer."
        )


def _base_lines(offer: OfferPrice, heads: Heads) -> tuple[QuoteLine, ...]:
    if offer.way is PriceWay.PER_HEAD:
        return _per_head(offer, heads)
    if offer.way is PriceWay.WHOLE_DAY:
        return (_line(LineKind.DAY, "Private day", 1, _price(offer.price), offer.currency),)
    party = heads.adults + heads.children
    price = _step_price(offer, party)
    return (_line(LineKind.DAY, f"Day for a party of {party}", 1, price, offer.currency),)


def _per_head(offer: OfferPrice, heads: Heads) -> tuple[QuoteLine, ...]:
    adult = _price(offer.price)
    child = adult if offer.child_price is None else _price(offer.child_price)
    if child > adult:
        raise ValueError(
            f"The child's price {child} is above the adult's {adult}; swap them in the offer."
        )
    lines = [
        _line(kind, label, count, unit, offer.currency)
        for kind, label, count, unit in (
            (LineKind.ADULT, "Adult", heads.adults, adult),
            (LineKind.CHILD, "Child", heads.children, child),
        )
        if count
    ]
    short = checked_money(_price(offer.minimum_charge), offer.currency) - quote_total(lines)
    if short > 0:
        lines.append(_line(LineKind.MINIMUM, "Up to the minimum charge", 1, short, offer.currency))
    return tuple(lines)


def _step_price(offer: OfferPrice, party: int) -> Decimal:
    steps = sorted(offer.steps, key=lambda step: step.from_heads)
    for lower, upper in pairwise(steps):
        if lower.from_heads == upper.from_heads:
            raise ValueError(f"Two steps start at {upper.from_heads} heads; keep one of them.")
        if upper.price < lower.price:
            raise ValueError(
                f"From {upper.from_heads} heads the party pays {upper.price}, less than the "
                f"{lower.price} of a smaller one; a step gives the price of the whole party."
            )
    reached = [step.price for step in steps if step.from_heads <= party]
    if not reached:
        raise ValueError(f"No step of this offer covers a party of {party}; add one from 1 head.")
    return _price(reached[-1])


def _price(amount: Decimal) -> Decimal:
    if amount < 0:
        raise ValueError(f"A price of {amount} is below 0; enter 0 or more.")
    return amount


def _line(
    kind: LineKind, label: str, quantity: int, unit_price: Decimal, currency: str
) -> QuoteLine:
    unit = checked_money(unit_price, currency)
    return QuoteLine(kind, label, quantity, unit, quantity * unit)
