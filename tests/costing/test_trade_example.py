"""A whole costing worked by hand, to the cent.

Figures invented for this project (60 days sold, 48 run); the arithmetic beside each line is the
check, no outside source.
"""

from decimal import Decimal

import pytest

from guiding.costing.lines import Driver, Rate, rate_per_use
from guiding.costing.party import Terms, party_sheet, private_day_price
from guiding.costing.sheet import CostSheet, LossRisk, SeasonPlan, TripUse, cost_sheet

D = Decimal
TERMS = Terms(fee_share=D("0.02"))


@pytest.fixture(scope="module")
def costs() -> CostSheet:
    rates = (
        Rate(Driver.KM_ROAD, "Road", D("0.42")),
        Rate(Driver.KM_SAND, "Sand", D("0.90")),
        Rate(Driver.TRIP, "Access", D(12)),
        Rate(Driver.KG_BAIT, "Bait", D(9)),
        Rate(Driver.TRIP, "Ice and sundries", D(8)),
        Rate(Driver.RIG, "Rigs", D("3.20")),
        Rate(Driver.METRE_LINE, "Line", D("0.09")),
        Rate(Driver.PACK_CYCLE, "Flight packs", D(190) / D(180)),  # not rounded by the caller
        Rate(Driver.FLIGHT, "Wear in flight", D("0.45")),
        Rate(Driver.HEAD, "Lunch and licence", D(15)),
    )
    use = TripUse(
        road_km=D(300),
        sand_km=D(20),
        flights=D(30),
        pack_cycles=D(10),
        line_m=D(40),
        bait_kg=D("5.5"),
        rigs=D(7),
        guide_h=D(17),
    )
    season = SeasonPlan(days_run=48, days_called_off=12, call_off_cost=D(70), overhead=D(7300))
    return cost_sheet(rates, use, season, D(22), (LossRisk("Lost craft", D(1300), D(600)),))


def test_every_line_comes_out_to_the_cent(costs: CostSheet) -> None:
    assert [(line.label, str(line.amount)) for line in costs.lines] == [
        ("Road", "126.00"),  # 300 x 0.42
        ("Sand", "18.00"),  # 20 x 0.90
        ("Access", "12.00"),
        ("Bait", "49.50"),  # 5.5 x 9
        ("Ice and sundries", "8.00"),
        ("Rigs", "22.40"),  # 7 x 3.20
        ("Line", "3.60"),  # 40 x 0.09
        ("Flight packs", "10.60"),  # 190 / 180 -> 1.06, x 10
        ("Wear in flight", "13.50"),  # 30 x 0.45
        ("Lost craft", "65.00"),  # 30 x 1300 / 600, one rounding at the end
        ("Provision for called-off days", "17.50"),  # 12 x 70 / 48
        ("Guide's time", "374.00"),  # 17 x 22
        ("Share of overhead", "152.08"),  # 7300 / 48
    ]


def test_the_sums_a_price_is_built_on(costs: CostSheet) -> None:
    assert costs.trip_direct == D("346.10")
    assert costs.guide_time == D("374.00")
    assert costs.overhead == D("152.08")
    assert costs.before_heads == D("872.18")
    assert costs.per_head == D("15.00")


def test_a_pack_cycle_is_rounded_before_use() -> None:
    assert rate_per_use(D(190), D(180)) == D("1.06")


def test_both_break_even_parties(costs: CostSheet) -> None:
    sheet = party_sheet(costs, D(290), TERMS)
    assert sheet.fee_per_head == D("5.80")
    assert sheet.contribution_per_head == D("269.20")
    paying, cash = sheet.paying_yourself, sheet.cash_only
    assert paying.units_exact is not None
    assert cash.units_exact is not None
    assert (round(paying.units_exact, 2), paying.units) == (D("3.24"), 4)  # 872.18 / 269.20
    assert (round(cash.units_exact, 2), cash.units) == (D("1.85"), 2)  # 498.18 / 269.20


def test_the_rows_of_a_range_of_parties(costs: CostSheet) -> None:
    rows = party_sheet(costs, D(290), TERMS, heads_from=2, heads_to=4).rows
    assert [(r.heads, r.income, r.after_all_costs, r.earned_per_guide_h) for r in rows] == [
        (2, D(580), D("-333.78"), D("2.37")),
        (3, D(870), D("-64.58"), D("18.20")),
        (4, D(1160), D("204.62"), D("34.04")),
    ]
    share = rows[-1].margin_share
    assert share is not None
    assert round(share * 100, 1) == D("17.6")


def test_the_private_day_for_two_at_fifteen_per_cent(costs: CostSheet) -> None:
    found = private_day_price(costs, 2, D("0.15"), TERMS)
    assert found.price == D(1087)
    assert found.price_exact == D("1086.96")  # 902.18 / 0.83
    assert found.row is not None
    assert found.row.margin_share is not None
    assert found.row.margin_share >= D("0.15")
