"""Documents with several rates, reductions and exemptions: every column adds up."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bookings.rules.money import Rounding
from bookings.rules.tax import (
    RoundedPer,
    TaxBasis,
    TaxItem,
    TaxRule,
    tax_inside,
    tax_on_top,
    tax_sheet,
)

D = Decimal
INCLUSIVE, EXCLUSIVE = TaxBasis.INCLUSIVE, TaxBasis.EXCLUSIVE
rates = st.sampled_from([None, D(0), D("9"), D("13.5"), D(23)])
items = st.lists(
    st.builds(TaxItem, st.just("Line"), st.decimals(-300, 900, places=2), rates), max_size=9
)
rules = st.builds(TaxRule, st.sampled_from(RoundedPer), st.sampled_from(Rounding))


def test_two_rates_and_an_exempt_line_on_one_invoice() -> None:
    sheet = tax_sheet(
        [
            TaxItem("Day", D("580"), D("13.5")),
            TaxItem("Waders", D("25"), D(23)),
            TaxItem("Licence, passed on", D("20"), None),
        ],
        INCLUSIVE,
        "EUR",
        exempt_reason="Outlay on the client's behalf",
    )
    # 580 x 13.5 / 113.5 = 68.986..., 25 x 23 / 123 = 4.674...
    assert [(x.rate_pct, x.net, x.tax, x.gross) for x in sheet.by_rate] == [
        (D(23), D("20.33"), D("4.67"), D("25.00")),
        (D("13.5"), D("511.01"), D("68.99"), D("580.00")),
        (None, D("20.00"), D("0.00"), D("20.00")),
    ]
    assert (sheet.net, sheet.tax, sheet.gross) == (D("551.34"), D("73.66"), D("625.00"))
    assert sheet.note == "Outlay on the client's behalf"


def test_a_small_business_without_tax_says_why() -> None:
    lines = [TaxItem("Day", D("580"), None)]
    sheet = tax_sheet(lines, EXCLUSIVE, "EUR", exempt_reason="Small business, not registered")
    assert (sheet.tax, sheet.gross, sheet.note) == (0, D(580), "Small business, not registered")
    with pytest.raises(ValueError, match="needs its reason"):
        tax_sheet(lines, EXCLUSIVE, "EUR")


def test_a_zero_rate_is_not_an_exemption() -> None:
    sheet = tax_sheet([TaxItem("Day", D(580), D(0))], EXCLUSIVE, "EUR", exempt_reason="Unused")
    assert sheet.by_rate[0].rate_pct == 0
    assert sheet.note == ""


def test_line_and_document_rounding_part_ways() -> None:
    lines = [TaxItem("Line", D("0.02"), D(23))] * 10  # 0.0046 each
    by_line = tax_sheet(lines, EXCLUSIVE, "EUR", TaxRule(RoundedPer.LINE))
    by_document = tax_sheet(lines, EXCLUSIVE, "EUR", TaxRule(RoundedPer.DOCUMENT))
    assert (by_line.tax, by_document.tax) == (D("0.00"), D("0.05"))


def test_a_reduction_takes_its_tax_back() -> None:
    lines = [TaxItem("Day", D(100), D(23)), TaxItem("Reduction", D(-10), D(23))]
    assert tax_sheet(lines, EXCLUSIVE, "EUR").tax == D("20.70")


def test_yen_have_no_part_to_tax() -> None:
    assert tax_on_top(D(105), D(10), "JPY") == D(11)
    assert tax_inside(D(105), D(10), "JPY") == D(10)


@pytest.mark.parametrize("rate", [D(-1), 13.5])
def test_what_is_no_rate_is_refused(rate: Decimal) -> None:
    with pytest.raises(ValueError, match="is no rate"):
        tax_on_top(D(100), rate, "EUR")


@given(items, st.sampled_from(TaxBasis), rules)
def test_every_column_adds_up(found: list[TaxItem], basis: TaxBasis, rule: TaxRule) -> None:
    sheet = tax_sheet(found, basis, "EUR", rule, exempt_reason="Not registered")
    for line, item in zip(sheet.lines, found, strict=True):
        assert line.net + line.tax == line.gross
        assert item.amount == (line.gross if basis is INCLUSIVE else line.net)
        assert item.rate_pct or line.tax == 0
    for column in ("net", "tax", "gross"):
        whole = getattr(sheet, column)
        assert sum(getattr(x, column) for x in sheet.lines) == whole
        assert sum(getattr(x, column) for x in sheet.by_rate) == whole
    assert sheet.net + sheet.tax == sheet.gross


@given(st.decimals(0, 5000, places=2), st.sampled_from([D(9), D("13.5"), D(23)]))
def test_tax_taken_out_can_be_put_back_within_a_cent(net: Decimal, rate: Decimal) -> None:
    gross = net + tax_on_top(net, rate, "EUR")
    assert abs(gross - tax_inside(gross, rate, "EUR") - net) <= D("0.01")
