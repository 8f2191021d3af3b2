"""How many must come before a day pays."""

from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from math import ceil

from guiding.costing.rounding import _exact, _rounded


@dataclass(frozen=True, slots=True)
class BreakEven:
    """The break-even point; `units` is `units_exact` rounded up; None with a reason if none."""

    contribution_per_unit: Decimal
    contribution_share: Decimal | None
    units_exact: Decimal | None
    units: int | None
    sales_value: Decimal | None
    reason: str = ""


def break_even_units(
    price: Decimal,
    variable_per_unit: Decimal,
    fixed: Decimal,
    target_profit: Decimal = Decimal(0),
    minor_digits: int = 2,
) -> BreakEven:
    """The units to sell before fixed cost and a wished profit are covered, exact and rounded up.

    units = (fixed + target profit) / (price - variable per unit). All in money, 0 or more;
    `units_exact` to 28 figures, rounded up on exact fractions so that a hair above a whole number
    is never lost; `sales_value` is the sales at the exact point. Where a unit contributes nothing,
    or the price is 0, there is no point: None with the reason. Source: the textbook formula of
    contribution margin, as in an open textbook, Acctg 211.
    """
    contribution = _exact(price, "Price") - _exact(variable_per_unit, "Variable cost per unit")
    to_cover = _exact(fixed, "Fixed cost") + _exact(target_profit, "Target profit")
    share = contribution / price if price else None
    if price == 0:
        return BreakEven(contribution, None, None, None, None, "The price is 0: nothing is earned.")
    if contribution <= 0:
        why = "Each one costs as much as it brings, or more: no number of them covers the rest."
        return BreakEven(contribution, share, None, None, None, why)
    units = Fraction(to_cover) / Fraction(contribution)
    return BreakEven(
        contribution_per_unit=contribution,
        contribution_share=share,
        units_exact=Decimal(units.numerator) / Decimal(units.denominator),
        units=ceil(units),
        sales_value=_rounded(units * Fraction(price), minor_digits),
    )
