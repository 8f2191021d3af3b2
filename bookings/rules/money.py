"""Money: the one place that rounds.

An amount is a Decimal with a currency code of ISO 4217. It is rounded half up, away from zero, to
the minor unit of its currency, and a sum that is split adds up again to the last unit.
"""

from collections.abc import Sequence
from decimal import ROUND_HALF_UP, Decimal
from enum import StrEnum
from fractions import Fraction
from math import ceil, floor

from babel.numbers import list_currencies

# ISO 4217, list of 2026-01-01. Kept here and not read from the locale data, which follows what is
# handed over a counter: there a Serbian dinar and an Iraqi dinar have no minor unit at all.
_ZERO = "BIF CLP DJF GNF ISK JPY KMF KRW PYG RWF UGX UYI VND VUV XAF XOF XPF"
_THREE = "BHD IQD JOD KWD LYD OMR TND"
_FOUR = "CLF UYW"
_DIGITS = (
    dict.fromkeys(_ZERO.split(), 0)
    | dict.fromkeys(_THREE.split(), 3)
    | dict.fromkeys(_FOUR.split(), 4)
)
_USUAL_DIGITS = 2
_NO_MONEY = frozenset({"XAG", "XAU", "XBA", "XBB", "XBC", "XBD", "XDR", "XPD", "XPT", "XSU"}) | {
    "XTS",
    "XUA",
    "XXX",
}
_KNOWN = frozenset(list_currencies())
_STEPS = tuple(Decimal(1).scaleb(-digits) for digits in range(5))
_ZERO_UNITS = tuple(Decimal(0).scaleb(-digits) for digits in range(5))


class Rounding(StrEnum):
    """What becomes of half a minor unit: the house rounds it up, some tax laws let it drop."""

    HALF_UP = "half_up"
    HALF_DOWN = "half_down"
    DOWN = "down"


def minor_units(currency: str) -> int:
    """The number of digits after the decimal mark of a currency, 0 to 4.

    `currency`: three capital letters of ISO 4217. Errors: an unknown code, or one that is no money
    (metals, test codes). Source: ISO 4217.
    """
    if currency not in _KNOWN or currency in _NO_MONEY:
        raise ValueError(
            f"Currency '{currency}' is not known; give three capital letters of ISO 4217, as EUR."
        )
    return _DIGITS.get(currency, _USUAL_DIGITS)


def smallest_amount(currency: str) -> Decimal:
    """The smallest amount of a currency: 0.01 for EUR, 1 for JPY. Source: ISO 4217."""
    return Decimal(1).scaleb(-minor_units(currency))


def rounded_money(
    amount: Decimal | Fraction, currency: str, rounding: Rounding = Rounding.HALF_UP
) -> Decimal:
    """An amount rounded to the minor unit of its currency, half up and away from zero.

    `amount`: Decimal, whole number or exact Fraction, of either sign; `rounding`: another way only
    where a tax law allows it. Errors: a float, because it has lost its last digit before it comes
    here; an amount that is no number; an unknown currency.
    Source: rounding half up is the house's rule [common practice]; digits from ISO 4217.
    """
    digits = minor_units(currency)
    if type(amount) is Decimal and rounding is Rounding.HALF_UP and _is_ordinary(amount):
        # The zero takes the sign off a rounded nothing.
        return amount.quantize(_STEPS[digits], ROUND_HALF_UP) + _ZERO_UNITS[digits]
    return _in_units(_whole_units(_fraction(amount), digits, rounding), digits)


def checked_money(amount: Decimal, currency: str) -> Decimal:
    """The same amount, refused when it has more digits than its currency: nothing is dropped.

    For amounts that come from outside (a payment, a price). Errors: a float, an amount that is no
    number, digits below the minor unit. Source: ISO 4217.
    """
    rounded = rounded_money(amount, currency)
    if rounded != amount:
        raise ValueError(
            f"{amount} {currency} has more digits than the currency; "
            f"the smallest amount is {smallest_amount(currency)}."
        )
    return rounded


def allocate_money(
    total: Decimal, weights: Sequence[Decimal], currency: str
) -> tuple[Decimal, ...]:
    """The parts of a total by weight, each in whole minor units, that add up to the total exactly.

    Each part is rounded half up; what is over or short goes to the part with the largest weight
    (the first of equals), as far as it does not change sign, then to the next largest. `total` in
    money of either sign, `weights` 0 or more and not all 0. A weight of 0 gets 0.
    Errors: no weights, a negative weight, a float. Source: the house's rule [common practice].
    """
    exact = [_fraction(weight) for weight in weights]
    whole = sum(exact, Fraction(0))
    if any(weight < 0 for weight in exact) or whole == 0:
        raise ValueError(
            "The weights must be 0 or more and one of them above 0; check the amounts to share by."
        )
    return settle_to_total([Fraction(total) * x / whole for x in exact], total, currency)


def settle_to_total(
    parts: Sequence[Decimal | Fraction], total: Decimal, currency: str
) -> tuple[Decimal, ...]:
    """The parts rounded half up and made to add up to a total: the difference goes to the largest.

    Largest by size before rounding, the first of equals. It takes the difference as far as it keeps
    its sign, then the next largest does; a part of 0 stays 0. What no part can take goes to the
    largest after all. `total` in money, rounded on its own. Errors: a difference and no part to put
    it on, digits below the minor unit in the total. Source: the house's rule [common practice].
    """
    digits = minor_units(currency)
    exact = [_fraction(part) for part in parts]
    units = [_whole_units(part, digits, Rounding.HALF_UP) for part in exact]
    short = int(checked_money(total, currency).scaleb(digits)) - sum(units)
    order = sorted(range(len(exact)), key=lambda place: -abs(exact[place]))
    for place in order:
        moved = _bearable(short, units[place], exact[place])
        units[place] += moved
        short -= moved
    if short and not order:
        raise ValueError(f"There is no line to carry {_in_units(short, digits)} {currency}.")
    if short:
        units[order[0]] += short
    return tuple(_in_units(part, digits) for part in units)


def _bearable(short: int, units: int, exact: Fraction) -> int:
    """How much of a difference a part takes without changing its sign."""
    if exact > 0:
        return max(short, -units)
    if exact < 0:
        return min(short, -units)
    return 0


def _is_ordinary(amount: Decimal) -> bool:
    """Whether the decimal arithmetic of the language rounds it without running out of digits."""
    return amount.is_finite() and amount.adjusted() < 20


def _whole_units(exact: Fraction, digits: int, rounding: Rounding) -> int:
    scaled = abs(exact) * Fraction(10) ** digits
    if rounding is Rounding.DOWN:
        units = floor(scaled)
    elif rounding is Rounding.HALF_DOWN:
        units = ceil(scaled - Fraction(1, 2))
    else:
        units = floor(scaled + Fraction(1, 2))
    return -units if exact < 0 else units


def _in_units(units: int, digits: int) -> Decimal:
    return Decimal(units).scaleb(-digits)


def _fraction(amount: Decimal | Fraction) -> Fraction:
    if isinstance(amount, bool | float) or not isinstance(amount, Decimal | int | Fraction):
        raise ValueError(
            f"{amount!r} is not a decimal amount; write it like 12.50, not as a float."
        )
    if isinstance(amount, Decimal) and not amount.is_finite():
        raise ValueError(f"{amount} is not a number; give a finite amount.")
    return Fraction(amount)
