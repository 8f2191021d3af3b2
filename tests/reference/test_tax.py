"""Tax inside prices, on top of them, and how countries let it be rounded; all exact."""

from decimal import Decimal
from fractions import Fraction

import pytest

from bookings.rules.money import Rounding
from bookings.rules.tax import (
    RoundedPer,
    TaxBasis,
    TaxItem,
    TaxRule,
    checked_tax_rule,
    tax_inside,
    tax_rules,
    tax_sheet,
)
from tests.reference import published

CURRENCY = {"AU": "AUD", "NZ": "NZD", "UK": "GBP", "contrast": "NZD"}
COUNTRY = {"AU": "AU", "NZ": "NZ", "UK": "GB", "contrast": "NZ"}
RATE = {"AU": Decimal(10), "NZ": Decimal(15), "UK": Decimal(20), "contrast": Decimal(15)}
# which of its allowed ways each case takes, from the case's own words
WAY = {
    "AU three equal lines, total-invoice rule": TaxRule(RoundedPer.DOCUMENT),
    "AU same lines, taxable-supply rule with a 2-decimal system": TaxRule(RoundedPer.LINE),
    "AU exact half cent goes up": TaxRule(RoundedPer.DOCUMENT),
    "NZ exact half cent may be dropped": TaxRule(RoundedPer.DOCUMENT, Rounding.HALF_DOWN),
    "same amount with half-up (for contrast)": TaxRule(RoundedPer.DOCUMENT),
    "UK invoice trader, total rounded down": TaxRule(RoundedPer.DOCUMENT, Rounding.DOWN),
    "UK same, nearest penny": TaxRule(RoundedPer.DOCUMENT),
}


@pytest.mark.parametrize(
    "row",
    published.rows("money_tax_inclusive_cases"),
    ids=lambda row: f"{row['jurisdiction']} {row['rate_pct']} {row['inclusive']}",
)
def test_tax_inside_a_price(row: dict[str, str]) -> None:
    currency = CURRENCY[row["jurisdiction"][:2]]
    gross, rate = Decimal(row["inclusive"]), Decimal(row["rate_pct"])
    assert tax_inside(gross, rate, currency) == Decimal(row["tax"])
    sheet = tax_sheet([TaxItem("Day", gross, rate)], TaxBasis.INCLUSIVE, currency)
    assert (sheet.net, sheet.tax) == (Decimal(row["exclusive"]), Decimal(row["tax"]))


@pytest.mark.parametrize("row", published.rows("money_rounding_cases"), ids=lambda row: row["case"])
def test_rounding_as_each_country_has_it(row: dict[str, str]) -> None:
    where = row["jurisdiction_rule"]
    basis = TaxBasis(row["basis_of_amounts"].removeprefix("tax-"))
    rule = checked_tax_rule(WAY[row["case"]], COUNTRY[where], basis)
    items = [TaxItem("Line", Decimal(x), RATE[where]) for x in row["amounts"].split(" + ")]
    sheet = tax_sheet(items, basis, CURRENCY[where], rule)
    assert sheet.tax == Decimal(row["result_tax"])
    assert sum(line.tax for line in sheet.lines) == sheet.tax


@pytest.mark.parametrize(
    "row",
    [row for row in published.rows("money_tax_rules") if row["rate_pct"] != "r"],
    ids=lambda row: row["jurisdiction"],
)
def test_the_tax_fraction_of_a_rate(row: dict[str, str]) -> None:
    fraction = Fraction(row["inclusive_to_tax_fraction"])
    gross = Decimal(fraction.denominator * 100)
    expected = Decimal(fraction.numerator * 100)
    assert tax_inside(gross, Decimal(row["rate_pct"]), "EUR") == expected


def test_rounding_down_is_for_invoices_priced_before_tax() -> None:
    # HMRC VATREC12010: prices that hold the tax may not be rounded down
    down = TaxRule(RoundedPer.DOCUMENT, Rounding.DOWN)
    assert down in tax_rules("GB", TaxBasis.EXCLUSIVE)
    with pytest.raises(ValueError, match="not rounded down per document"):
        checked_tax_rule(down, "GB", TaxBasis.INCLUSIVE)
    with pytest.raises(ValueError, match="allowed: half up per document"):
        checked_tax_rule(down, "AU", TaxBasis.EXCLUSIVE)
