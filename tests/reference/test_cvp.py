"""Break-even against an open textbook and two published exercises: exact, then rounded up."""

from decimal import Decimal

import pytest

from guiding.costing.break_even import break_even_units
from guiding.costing.vehicle import vehicle_allowance
from tests.reference import published


@pytest.mark.parametrize("row", published.rows("money_cvp_cases"), ids=lambda row: row["case"])
def test_break_even_units(row: dict[str, str]) -> None:
    found = break_even_units(
        Decimal(row["price"]),
        Decimal(row["variable_per_unit"]),
        Decimal(row["fixed"]),
        Decimal(row["target_profit"]),
    )
    assert found.contribution_per_unit == Decimal(row["contribution_per_unit"])
    assert found.contribution_share is not None
    assert round(found.contribution_share * 100, 4) == Decimal(row["contribution_ratio_pct"])
    assert found.units_exact is not None
    assert round(found.units_exact, 5) == Decimal(row["units_exact"])
    assert found.units == int(row["units_rounded_up"])
    assert found.sales_value == Decimal(row["sales_value_at_exact"])


def _rates(row: dict[str, str]) -> dict[str, str]:
    vehicle = {"UK HMRC": "car or van"}.get(row["authority"], "car")
    (found,) = [
        rate
        for rate in published.rows("money_vehicle_rates")
        if rate["authority"].startswith(row["authority"])
        and (rate["period"], rate["vehicle"]) == (row["period"], vehicle)
    ]
    return found


@pytest.mark.parametrize(
    "row",
    published.rows("money_vehicle_cases"),
    ids=lambda row: f"{row['authority']} {row['distance']} {row['unit']}",
)
def test_flat_rates_for_a_distance(row: dict[str, str]) -> None:
    rates = _rates(row)
    limit = rates["first_band_limit"].removesuffix(" (cap)")
    amount = vehicle_allowance(
        Decimal(row["distance"]),
        Decimal(rates["rate_first_band"]),
        Decimal(rates["rate_after"]),
        Decimal(limit) if limit else None,
    )
    assert (rates["unit"], rates["currency"]) == (row["unit"], row["currency"])
    assert amount == Decimal(row["amount"])
