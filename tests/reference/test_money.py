"""Rounding and minor units against published rules."""

from decimal import Decimal

import pytest
from babel.numbers import get_currency_precision

from bookings.rules.money import minor_units, rounded_money, smallest_amount
from tests.reference import published


@pytest.mark.parametrize(
    "row", published.rows("money_iso4217_minor_units"), ids=lambda row: row["currency"]
)
def test_minor_units_are_those_of_iso_4217(row: dict[str, str]) -> None:
    digits = int(row["iso4217_minor_units"])
    assert minor_units(row["currency"]) == digits
    assert smallest_amount(row["currency"]) == Decimal(1).scaleb(-digits)
    assert rounded_money(Decimal("1.23456"), row["currency"]).as_tuple().exponent == -digits
    assert get_currency_precision(row["currency"]) == int(row["cldr_digits"])
