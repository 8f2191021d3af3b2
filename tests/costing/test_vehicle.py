"""Flat rates in bands: below, across and above the limit."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from guiding.costing.vehicle import vehicle_allowance

D = Decimal
LIMIT = D(10000)
distances = st.decimals(0, 30000, places=1)


@pytest.mark.parametrize(
    ("distance", "amount"), [("0", "0"), ("5000", "2250"), ("10001", "4500.25")]
)
def test_the_first_band_holds_to_its_limit(distance: str, amount: str) -> None:
    # 0.45 to 10,000, then 0.25: plain arithmetic
    assert vehicle_allowance(D(distance), D("0.45"), D("0.25"), LIMIT) == D(amount)


@given(distances, distances)
def test_driving_more_never_allows_less(first: Decimal, more: Decimal) -> None:
    def allowed(distance: Decimal) -> Decimal:
        return vehicle_allowance(distance, D("0.45"), D(0), LIMIT)

    assert allowed(first) <= allowed(first + more) <= D(4500)


def test_a_negative_distance_is_refused() -> None:
    with pytest.raises(ValueError, match="Distance: -1 is below 0"):
        vehicle_allowance(D(-1), D("0.45"), D("0.25"))
