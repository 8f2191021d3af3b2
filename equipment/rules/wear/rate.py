"""What one more use of a thing costs, from its price, its worth at the end and what is left."""

from __future__ import annotations

import math
from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum


class WearUnit(StrEnum):
    """The use that wears a thing out."""

    CYCLE = "cycle"
    FLIGHT = "flight"
    METRE = "metre"
    TRIP = "trip"
    HOUR = "hour"
    KM = "km"


@dataclass(frozen=True, slots=True)
class WearRate:
    """Cost of one unit of use, unrounded, with the band that the band of what is left gives.

    `low` is the cheap end (the thing lasts long), `high` the dear end; None where what is left has
    no such end. `basis` says what the life was taken from.
    """

    unit: WearUnit
    per_unit: Decimal
    low: Decimal | None
    high: Decimal | None
    life: Decimal
    basis: str


def wear_rate(
    *,
    unit: WearUnit,
    price: Decimal,
    salvage: Decimal,
    used: float,
    left: float | None,
    left_low: float | None = None,
    left_high: float | None = None,
    expected_life: float | None = None,
) -> WearRate:
    """Cost of wear of one unit of use: (price - salvage) / (used + left).

    `left` is the forecast (cycles, flights, metres, trips); without one the life is the expected
    one, or what is used already if that is more. The whole of a life counts, so a thing that lasts
    longer than thought gets cheaper for every use, past ones too. Money in the currency of the
    price, unrounded: the cost sheet rounds. Raises ValueError for salvage above price, negative
    use, or no life at all.
    """
    _check_worth(price, salvage)
    for name, value in (("used", used), ("left", left), ("left_low", left_low)):
        _check_use(name, value)
    _check_use("left_high", left_high)
    if left is None:
        if expected_life is None or not 0 < expected_life < math.inf:
            raise ValueError(
                "Neither a forecast nor an expected life: give one of them above zero."
            )
        life, basis = max(expected_life, used), "expected life"
        left_low = left_high = None
    else:
        life, basis = used + left, "forecast"
    if life <= 0:
        raise ValueError("Nothing used and nothing left: a thing without a life has no wear rate.")
    spread = price - salvage
    return WearRate(
        unit=unit,
        per_unit=spread / _exact(life),
        low=_over(spread, used, left_high),
        high=_over(spread, used, left_low),
        life=_exact(life),
        basis=f"{basis} of {life:g} {unit.value}s",
    )


def wear_cost(*, rate: WearRate, amount: float) -> Decimal:
    """Cost of an amount of use at a wear rate, unrounded. Raises ValueError for negative use."""
    _check_use("amount", amount)
    return rate.per_unit * _exact(amount)


def _over(spread: Decimal, used: float, left: float | None) -> Decimal | None:
    if left is None or used + left <= 0:
        return None
    return spread / _exact(used + left)


def _exact(value: float) -> Decimal:
    # By way of the shortest text, so that 0.1 is a tenth.
    return Decimal(repr(value))


def _check_worth(price: Decimal, salvage: Decimal) -> None:
    if not (price.is_finite() and salvage.is_finite() and 0 <= salvage <= price):
        raise ValueError(
            f"A price of {price} with {salvage} left at the end: "
            "give a price that is not below the worth at the end, both zero or more."
        )


def _check_use(name: str, value: float | None) -> None:
    if value is not None and not 0 <= value < math.inf:
        raise ValueError(f"{name} is {value}: give zero or more.")
