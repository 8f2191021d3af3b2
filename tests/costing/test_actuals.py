"""Actual against estimate."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from guiding.costing.actuals import actuals_sheet, measured_rate
from guiding.costing.lines import CostLine, Driver, Rate, cost_line

D = Decimal
drivers = st.sampled_from([Driver.KM_ROAD, Driver.KG_BAIT, Driver.FLIGHT])
lines = st.lists(
    st.builds(
        lambda driver, rate, quantity: cost_line(Rate(driver, str(driver), rate), quantity),
        drivers,
        st.decimals(0, 50, places=2),
        st.decimals(0, 400, places=1),
    ),
    max_size=5,
)


def _line(driver: Driver, rate: str, quantity: str) -> CostLine:
    return cost_line(Rate(driver, "Bait", D(rate)), D(quantity))


def test_more_bait_at_a_dearer_rate_is_told_apart() -> None:
    sheet = actuals_sheet([_line(Driver.KG_BAIT, "9", "5.5")], [_line(Driver.KG_BAIT, "10", "7")])
    (found,) = sheet.deviations
    assert (found.estimated, found.actual, found.difference) == (D("49.50"), D("70.00"), D("20.50"))
    assert found.by_quantity == D("13.50")  # 1.5 kg more at 9
    assert found.by_rate == D("7.00")  # 7 kg at 1 more


def test_what_nobody_foresaw_says_so() -> None:
    sheet = actuals_sheet([_line(Driver.KG_BAIT, "9", "5")], [_line(Driver.TRIP, "35", "1")])
    assert [(x.driver, x.difference, x.note) for x in sheet.deviations] == [
        (Driver.KG_BAIT, D("-45.00"), "not used"),
        (Driver.TRIP, D("35.00"), "not foreseen"),
    ]


@given(lines, lines)
def test_the_parts_add_up(estimate: list[CostLine], actual: list[CostLine]) -> None:
    sheet = actuals_sheet(estimate, actual)
    assert sheet.estimated == sum(x.amount for x in estimate)
    assert sheet.actual == sum(x.amount for x in actual)
    assert sheet.difference == sum(x.difference for x in sheet.deviations)
    assert all(x.by_quantity + x.by_rate == x.difference for x in sheet.deviations)


def test_the_next_rate_is_what_was_spent_over_what_was_used() -> None:
    assert measured_rate([D(20), D(31)], [D(2), D(3)]) == D("10.20")
    assert measured_rate([], []) is None
    with pytest.raises(ValueError, match="do not pair"):
        measured_rate([D(1)], [])
