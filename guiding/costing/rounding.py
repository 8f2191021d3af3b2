"""How this room rounds: once, half up, to the minor unit of the currency; and what it refuses.

The room may not know the booking house, so the rule of `bookings.rules.money` stands here a second
time; `tests/costing/test_rounding.py` holds the two to the same answers.
"""

from decimal import Decimal
from fractions import Fraction


def _rounded(amount: Decimal | Fraction, minor_digits: int) -> Decimal:
    """Half up, away from zero: exact, because a Fraction has no last digit that could mislead."""
    if not 0 <= minor_digits <= 4:
        raise ValueError(f"Minor digits {minor_digits}: give a whole number from 0 to 4.")
    scaled = abs(Fraction(amount)) * 10**minor_digits
    units = int(scaled + Fraction(1, 2))
    return Decimal(-units if amount < 0 else units).scaleb(-minor_digits)


def _exact(value: Decimal, what: str, *, least: Decimal | None = Decimal(0)) -> Decimal:
    """The value itself, when it is a finite Decimal (or a whole number) not below `least`."""
    if isinstance(value, bool | float) or not isinstance(value, Decimal | int):
        raise ValueError(f"{what}: {value!r} is not a decimal number; write it like 12.50.")
    number = Decimal(value)
    if not number.is_finite():
        raise ValueError(f"{what}: {value} is not a number; give a finite amount.")
    if least is not None and number < least:
        raise ValueError(f"{what}: {value} is below {least}; give {least} or more.")
    return number


def _share(value: Decimal, what: str) -> Decimal:
    """The value itself, when it is a share of at least 0 and below 1."""
    number = _exact(value, what)
    if number >= 1:
        raise ValueError(f"{what}: {value} is not below 1; write 15 per cent as 0.15.")
    return number
