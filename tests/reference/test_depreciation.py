"""Depreciation against the tax offices' own figures, to the cent."""

from decimal import Decimal

import pytest

from equipment.rules.wear import DepreciationMethod, depreciation_schedule
from tests.reference import published

_DAYS_A_YEAR = Decimal(365)  # the Australian formula divides by 365


def _year(row, **terms):
    table = depreciation_schedule(
        cost=Decimal(row["cost"]),
        life_years=int(row["life_years"]),
        years=int(row["year"]),
        **terms,
    )
    return table[-1]


def _known_as(row, year):
    assert year.depreciation == Decimal(row["depreciation"])
    if row["published"]:
        assert year.depreciation == Decimal(row["published"])


@pytest.mark.parametrize(
    "row",
    published.rows("money_depreciation_cases"),
    ids=lambda row: f"{row['case']}, {row['method']}, year {row['year']}",
)
def test_australian_formulas_and_us_fragment(row):
    same_case = [
        r
        for r in published.rows("money_depreciation_cases")
        if (r["case"], r["method"]) == (row["case"], row["method"]) and r["year"] == "1"
    ]
    if row["method"] == "200DB table":
        # IRS Publication 946, half-year convention.
        terms = {
            "method": DepreciationMethod.DECLINING_TO_STRAIGHT,
            "first_year_share": Decimal("0.5"),
        }
    else:
        method = {
            "prime cost": DepreciationMethod.STRAIGHT_LINE,
            "diminishing value 200 %": DepreciationMethod.DECLINING_BALANCE,
        }[row["method"]]
        share = Decimal(same_case[0]["days_held"]) / _DAYS_A_YEAR
        terms = {"method": method, "first_year_share": share}
    year = _year(row, salvage=Decimal(0), **terms)
    _known_as(row, year)
    assert year.closing == Decimal(row["closing"])


@pytest.mark.parametrize(
    "row",
    published.rows("money_depreciation_salvage_cases"),
    ids=lambda row: f"{row['case']}, year {row['year']}",
)
def test_us_regulation_illustrations(row):
    # 26 CFR 1.167(b)-1 to -3.
    terms = {
        "straight line": {"method": DepreciationMethod.STRAIGHT_LINE},
        "declining balance 10 % a year": {
            "method": DepreciationMethod.DECLINING_BALANCE,
            "rate_factor": Decimal(2),
        },
        "sum of the years-digits": {"method": DepreciationMethod.YEARS_DIGITS},
    }[row["method"]]
    year = _year(
        row,
        salvage=Decimal(row["salvage"]),
        first_year_share=Decimal(row["fraction_of_first_year"]),
        **terms,
    )
    _known_as(row, year)
    assert year.closing == Decimal(row["closing_book_value"])


@pytest.mark.parametrize(
    "row",
    published.rows("money_depreciation_us_tables"),
    ids=lambda row: f"{row['table']}, {row['convention']}, year {row['year']}",
)
def test_us_percentage_tables(row):
    # IRS Publication 946. Half-year: half of the first year. Mid-quarter, fourth: a month and a
    # half of twelve.
    share = {"half-year": Decimal("0.5"), "mid-q4": Decimal("0.125")}[row["convention"]]
    table = depreciation_schedule(
        method=DepreciationMethod.DECLINING_TO_STRAIGHT,
        cost=Decimal(100_000),
        salvage=Decimal(0),
        life_years=int(row["table"].split("-")[0]),
        first_year_share=share,
    )
    percent = table[int(row["year"]) - 1].depreciation / 1000
    assert percent == pytest.approx(Decimal(row["percent_recomputed"]), abs=Decimal("0.01"))
    # The published column is rounded so that a table adds up to 100: one unit of its last digit.
    assert percent == pytest.approx(Decimal(row["percent_published"]), abs=Decimal("0.0101"))
