"""Prices that cannot work, taxes and fees, and what must hold for any figures."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from guiding.costing.break_even import break_even_units
from guiding.costing.lines import Driver, Rate, call_off_line, cost_line, loss_line, rate_per_use
from guiding.costing.party import Terms, party_row, party_sheet, private_day_price
from guiding.costing.sheet import CostSheet, SeasonPlan, TripUse, cost_sheet

D = Decimal
NO_TERMS = Terms()
money = st.decimals(min_value=0, max_value=5000, places=2)


def _costs(trip: str | Decimal = "400", head: str | Decimal = "20", guide_h: int = 10) -> CostSheet:
    rates = (Rate(Driver.TRIP, "Day", D(trip)), Rate(Driver.HEAD, "Lunch", D(head)))
    return cost_sheet(rates, TripUse(guide_h=D(guide_h)), SeasonPlan(days_run=1), D(20))


def test_a_price_of_nothing_has_no_break_even_and_no_margin() -> None:
    sheet = party_sheet(_costs(), D(0), NO_TERMS)
    assert sheet.paying_yourself.units is None
    assert "price is 0" in sheet.paying_yourself.reason
    assert sheet.rows[0].margin_share is None
    assert sheet.rows[0].after_all_costs == D("-620.00")


def test_a_head_that_costs_what_it_pays_never_breaks_even() -> None:
    sheet = party_sheet(_costs(), D(20), NO_TERMS)
    assert sheet.contribution_per_head == 0
    assert sheet.cash_only.units is None
    assert "no number of them" in sheet.cash_only.reason


def test_a_guide_without_hours_earns_no_hourly_figure() -> None:
    row = party_row(_costs(guide_h=0), 2, D(900), NO_TERMS)
    assert row.earned_per_guide_h is None
    assert row.after_all_costs == D("460.00")


@pytest.mark.parametrize("margin", ["1", "1.5"])
def test_a_margin_of_the_whole_price_is_refused(margin: str) -> None:
    with pytest.raises(ValueError, match="not below 1"):
        private_day_price(_costs(), 2, D(margin), NO_TERMS)


def test_margin_and_fee_that_eat_the_price_give_a_reason_and_no_price() -> None:
    found = private_day_price(_costs(), 2, D("0.9"), Terms(fee_share=D("0.1")))
    assert found.price is None
    assert "no price leaves that margin" in found.reason


def test_tax_inside_the_price_is_not_income() -> None:
    sheet = party_sheet(_costs(), D(123), Terms(tax_pct=D(23)))
    assert sheet.tax_per_head == D("23.00")
    assert sheet.contribution_per_head == D("80.00")


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: rate_per_use(D(190), D(0)), "Uses"),
        (lambda: loss_line("Craft", D(3), D(1300), D(0)), "Flights per loss"),
        (lambda: call_off_line(3, D(70), 0), "Days run"),
        (lambda: cost_line(Rate(Driver.TRIP, "Day", D(-1)), D(1)), "Rate of Day"),
        (
            lambda: cost_line(Rate(Driver.OVERHEAD, "Insurance", D(1)), D(1)),
            "yearly sum",
        ),
        (lambda: cost_line(Rate(Driver.TRIP, "Day", 0.42), D(1)), "not a decimal"),  # type: ignore[arg-type]
        (lambda: cost_line(Rate(Driver.TRIP, "Day", D("NaN")), D(1)), "not a number"),
        (lambda: party_sheet(_costs(), D(100), NO_TERMS, 4, 2), "runs upwards"),
        (lambda: party_row(_costs(), 0, D(100), NO_TERMS), "no party"),
        (lambda: private_day_price(_costs(), 2, D("0.1"), NO_TERMS, D(0)), "Step"),
    ],
)
def test_bad_figures_are_refused_with_the_field_named(call, words: str) -> None:  # type: ignore[no-untyped-def]
    with pytest.raises(ValueError, match=words):
        call()


@given(trip=money, head=money, share=st.decimals("0", "0.5", places=3), heads=st.integers(1, 12))
def test_the_private_price_leaves_at_least_the_wished_margin(
    trip: Decimal, head: Decimal, share: Decimal, heads: int
) -> None:
    costs = _costs(trip, head)
    found = private_day_price(costs, heads, share, Terms(fee_share=D("0.02")))
    assert found.price is not None
    assert found.row is not None
    # half a cent: the fee is rounded to the cent
    assert found.row.after_all_costs + D("0.005") >= share * found.price
    assert found.price_exact is not None
    assert found.price - found.price_exact < 1 + D("0.005")


@given(price=st.decimals("0.01", "900", places=2), variable=money, fixed=money)
def test_break_even_is_the_first_party_that_covers_the_cost(
    price: Decimal, variable: Decimal, fixed: Decimal
) -> None:
    found = break_even_units(price, variable, fixed)
    if price <= variable:
        assert found.units is None
        assert found.reason
        return
    assert found.units is not None
    assert found.units * (price - variable) >= fixed
    assert found.units == 0 or (found.units - 1) * (price - variable) < fixed


@given(price=st.decimals("1", "900", places=2), trip=money)
def test_the_break_even_row_is_the_first_that_is_not_in_the_red(
    price: Decimal, trip: Decimal
) -> None:
    sheet = party_sheet(_costs(trip, D(0)), price, Terms(fee_share=D("0.02")), 1, 60)
    black = [row.heads for row in sheet.rows if row.after_all_costs >= 0]
    units = sheet.paying_yourself.units
    assert units is not None
    assert (black[0] if black else 61) == max(1, min(units, 61))
