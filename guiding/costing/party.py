"""What a party of a given size leaves over, and the price that leaves what is wished."""

from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from math import ceil

from guiding.costing.break_even import BreakEven, break_even_units
from guiding.costing.rounding import _exact, _rounded, _share
from guiding.costing.sheet import CostSheet

_SHARE_DIGITS = 4


@dataclass(frozen=True, slots=True)
class Terms:
    """What is taken off a payment: card fee (a share, a fixed sum) and the tax inside it in %."""

    fee_share: Decimal = Decimal(0)
    fee_fixed: Decimal = Decimal(0)
    tax_pct: Decimal = Decimal(0)


@dataclass(frozen=True, slots=True)
class PartyRow:
    """One size of party: what it pays and what stays; None where a figure is undefined."""

    heads: int
    income: Decimal
    after_all_costs: Decimal
    margin_share: Decimal | None
    earned_per_guide_h: Decimal | None


@dataclass(frozen=True, slots=True)
class PartySheet:
    """A price per head set against a cost sheet."""

    price_per_head: Decimal
    tax_per_head: Decimal
    fee_per_head: Decimal
    cost_per_head: Decimal
    contribution_per_head: Decimal
    paying_yourself: BreakEven
    cash_only: BreakEven
    rows: tuple[PartyRow, ...]


@dataclass(frozen=True, slots=True)
class PrivatePrice:
    """The price of a private day: exact, rounded up to a handy step, and what it leaves."""

    price_exact: Decimal | None
    price: Decimal | None
    row: PartyRow | None
    reason: str = ""


def party_sheet(
    costs: CostSheet,
    price_per_head: Decimal,
    terms: Terms,
    heads_from: int = 1,
    heads_to: int = 6,
) -> PartySheet:
    """Contribution per head, both break-even parties and a row for each size of party.

    `price_per_head` in money, tax included; each head pays on its own, so fee and tax are rounded
    per head; `heads_from` to `heads_to` inclusive, 1 or more. 'Paying yourself' covers the guide's
    time, 'cash only' leaves it out. Where a head contributes nothing the break-even is None with a
    reason. Errors: a range that runs backwards, negative or float figures.
    Source: common practice, no source.
    """
    if not 1 <= heads_from <= heads_to:
        raise ValueError(
            f"Heads {heads_from} to {heads_to}: start at 1 or more; a range runs upwards."
        )
    fee, tax = _taken_off(_exact(price_per_head, "Price per head"), terms, costs.minor_digits)
    variable = costs.per_head + fee + tax
    contribution = price_per_head - variable
    cash_cost = costs.before_heads - costs.guide_time
    digits = costs.minor_digits
    return PartySheet(
        price_per_head=price_per_head,
        tax_per_head=tax,
        fee_per_head=fee,
        cost_per_head=costs.per_head,
        contribution_per_head=contribution,
        paying_yourself=break_even_units(
            price_per_head, variable, costs.before_heads, minor_digits=digits
        ),
        cash_only=break_even_units(price_per_head, variable, cash_cost, minor_digits=digits),
        rows=tuple(
            _row(costs, heads, price_per_head * heads, tax * heads, contribution * heads)
            for heads in range(heads_from, heads_to + 1)
        ),
    )


def party_row(costs: CostSheet, heads: int, income: Decimal, terms: Terms) -> PartyRow:
    """What one party leaves that pays `income` in one payment (whole day, steps, minimum charge).

    `heads` 1 or more; `income` in money, tax included, 0 or more; fee and tax are taken once off
    the whole. Margin is a share of the income without tax; None when there is none.
    Errors: no heads, negative or float figures. Source: common practice, no source.
    """
    if heads < 1:
        raise ValueError(f"Heads: {heads} is no party; enter 1 or more.")
    fee, tax = _taken_off(_exact(income, "Income"), terms, costs.minor_digits)
    return _row(costs, heads, income, tax, income - fee - tax - costs.per_head * heads)


def private_day_price(
    costs: CostSheet,
    heads: int,
    margin_share: Decimal,
    terms: Terms,
    step: Decimal = Decimal(1),
) -> PrivatePrice:
    """The price of a private day that leaves a wished margin after the card fee and tax.

    price = (cost before heads + heads x cost per head + fixed fee)
            / ((1 - margin) / (1 + tax) - fee share), then rounded up to the next `step`.
    `margin_share` 0 to below 1, of the price without tax; `heads` 1 or more; `step` in money,
    above 0. Where fee and margin together eat the whole price the answer is None with the reason.
    Errors: margin of 1 or more, no heads, step of 0. Source: common practice, no source.
    """
    margin = _share(margin_share, "Margin")
    if heads < 1:
        raise ValueError(f"Heads: {heads} is no party; enter 1 or more.")
    if _exact(step, "Step") == 0:
        raise ValueError("Step: nothing can be rounded up to 0; enter 1 for whole units.")
    untaxed = 1 + Fraction(_exact(terms.tax_pct, "Tax")) / 100
    left = (1 - Fraction(margin)) / untaxed - Fraction(_share(terms.fee_share, "Card fee"))
    if left <= 0:
        return PrivatePrice(
            None,
            None,
            None,
            "Fee and tax take too much: no price leaves that margin.",
        )
    to_cover = costs.before_heads + costs.per_head * heads + _exact(terms.fee_fixed, "Fixed fee")
    exact = Fraction(to_cover) / left
    price = ceil(exact / Fraction(step)) * step
    return PrivatePrice(
        price_exact=_rounded(exact, costs.minor_digits),
        price=price,
        row=party_row(costs, heads, price, terms),
    )


def _taken_off(payment: Decimal, terms: Terms, minor_digits: int) -> tuple[Decimal, Decimal]:
    """Fee and tax inside one payment; a payment of nothing costs no fee."""
    fee = payment * _share(terms.fee_share, "Card fee") + (
        _exact(terms.fee_fixed, "Fixed fee") if payment else 0
    )
    tax_pct = Fraction(_exact(terms.tax_pct, "Tax"))
    return (
        _rounded(fee, minor_digits),
        _rounded(Fraction(payment) * tax_pct / (100 + tax_pct), minor_digits),
    )


def _row(
    costs: CostSheet, heads: int, income: Decimal, tax: Decimal, contribution: Decimal
) -> PartyRow:
    after = contribution - costs.before_heads
    earned = after + costs.guide_time
    untaxed = Fraction(income - tax)
    margin = Fraction(after) / untaxed if untaxed else None
    return PartyRow(
        heads=heads,
        income=_rounded(income, costs.minor_digits),
        after_all_costs=_rounded(after, costs.minor_digits),
        margin_share=None if margin is None else _rounded(margin, _SHARE_DIGITS),
        earned_per_guide_h=(
            _rounded(Fraction(earned) / Fraction(costs.guide_h), costs.minor_digits)
            if costs.guide_h
            else None
        ),
    )
