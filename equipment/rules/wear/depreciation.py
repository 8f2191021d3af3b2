"""Depreciation for the books, year by year, rounded to the currency's minor unit."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal
from enum import StrEnum

_YEARS_MAX = 100


class DepreciationMethod(StrEnum):
    """How a price is spread over the years."""

    STRAIGHT_LINE = "straight_line"
    DECLINING_BALANCE = "declining_balance"
    DECLINING_TO_STRAIGHT = "declining_to_straight"
    YEARS_DIGITS = "years_digits"


_DECLINING = frozenset(
    {DepreciationMethod.DECLINING_BALANCE, DepreciationMethod.DECLINING_TO_STRAIGHT}
)


@dataclass(frozen=True, slots=True)
class DepreciationYear:
    """One year of a schedule: what is written off and the book value that remains."""

    year: int
    depreciation: Decimal
    closing: Decimal


def depreciation_schedule(
    *,
    method: DepreciationMethod,
    cost: Decimal,
    salvage: Decimal,
    life_years: int,
    rate_factor: Decimal = Decimal(2),
    first_year_share: Decimal = Decimal(1),
    years: int | None = None,
    minor_digits: int = 2,
) -> tuple[DepreciationYear, ...]:
    """Depreciation of each year and the book value after it.

    Straight line: (cost - salvage) / life a year. Declining balance: book value x rate_factor /
    life (2 is 200 % or 'double'), never below salvage; what is left at the end stays on the books.
    Declining to straight: the same, but the rest spread evenly as soon as that writes off more.
    Years-digits: shares n, n-1 ... 1 of their sum. `first_year_share` is the part of the first year
    the thing was held (184 / 365, or half a year by convention); straight line, declining to
    straight and years-digits then run into one more year. `years` cuts or lengthens the table.

    Each year is rounded half up to `minor_digits` and carried on from the rounded book value. The
    last year of a method that ends at salvage takes the remainder. Sources: 26 CFR 1.167(b)-1 to
    -3, IRS Publication 946, Australian Taxation Office. Whether a method is allowed is for your
    own tax authority. Raises ValueError for values out of range.
    """
    terms = _Terms(method, cost, salvage, life_years, rate_factor, first_year_share)
    _check_terms(terms)
    _check_table(years, minor_digits)
    unit = Decimal(1).scaleb(-minor_digits)
    table: list[DepreciationYear] = []
    book = cost
    for year in range(1, (years or terms.last_year) + 1):
        off = book - salvage
        if year < terms.last_year or not terms.ends_at_salvage:
            off = min(_year_off(terms, year, book).quantize(unit, rounding=ROUND_HALF_UP), off)
        book -= off
        table.append(DepreciationYear(year, off.quantize(unit), book.quantize(unit)))
    return tuple(table)


@dataclass(frozen=True, slots=True)
class _Terms:
    """The terms of one schedule, and where it ends."""

    method: DepreciationMethod
    cost: Decimal
    salvage: Decimal
    life_years: int
    rate_factor: Decimal
    first_year_share: Decimal

    @property
    def ends_at_salvage(self) -> bool:
        return self.method is not DepreciationMethod.DECLINING_BALANCE

    @property
    def last_year(self) -> int:
        """A part first year pushes the end of a life into one more book year."""
        straddles = self.ends_at_salvage and self.first_year_share < 1
        return self.life_years + 1 if straddles else self.life_years


def _year_off(terms: _Terms, year: int, book: Decimal) -> Decimal:
    """What a year writes off before rounding."""
    part = terms.first_year_share if year == 1 else Decimal(1)
    spread = terms.cost - terms.salvage
    if terms.method is DepreciationMethod.STRAIGHT_LINE:
        return spread / terms.life_years * part
    if terms.method is DepreciationMethod.YEARS_DIGITS:
        return spread * _digits_share(terms, year)
    declining = book * terms.rate_factor / terms.life_years * part
    if terms.method is DepreciationMethod.DECLINING_BALANCE:
        return declining
    years_gone = year - 2 + terms.first_year_share if year > 1 else Decimal(0)
    straight = (book - terms.salvage) / (terms.life_years - years_gone) * part
    return max(declining, straight)


def _digits_share(terms: _Terms, year: int) -> Decimal:
    """The share of the years' digits in a book year that may straddle two years of life."""
    digits = Decimal(terms.life_years * (terms.life_years + 1)) / 2
    begun = Decimal(max(terms.life_years - year + 1, 0)) * terms.first_year_share
    before = Decimal(terms.life_years - year + 2) if year > 1 else Decimal(0)
    return (begun + before * (1 - terms.first_year_share)) / digits


def _check_terms(terms: _Terms) -> None:
    cost, salvage = terms.cost, terms.salvage
    if not (cost.is_finite() and salvage.is_finite() and 0 <= salvage <= cost):
        raise ValueError(
            f"A cost of {cost} with {salvage} left at the end: "
            "give a cost that is not below the worth at the end, both zero or more."
        )
    if not 1 <= terms.life_years <= _YEARS_MAX:
        raise ValueError(f"A life of {terms.life_years} years: give 1 to {_YEARS_MAX}.")
    if not 0 < terms.rate_factor <= terms.life_years and terms.method in _DECLINING:
        raise ValueError(
            f"A rate factor of {terms.rate_factor} over {terms.life_years} years: "
            "give one above zero that writes off at most the whole in a year."
        )
    if not 0 < terms.first_year_share <= 1:
        raise ValueError(f"first_year_share is {terms.first_year_share}: give above 0 and up to 1.")


def _check_table(years: int | None, minor_digits: int) -> None:
    if years is not None and not 1 <= years <= _YEARS_MAX:
        raise ValueError(f"A table of {years} years: give 1 to {_YEARS_MAX}.")
    if not 0 <= minor_digits <= 4:
        raise ValueError(f"minor_digits is {minor_digits}: a currency has 0 to 4 decimals.")
