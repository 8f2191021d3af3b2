"""The cost of a planned trip."""

import itertools
from decimal import Decimal

from guiding.days.sheets.cost import TripCost, trip_cost
from tests.days.worked_example import worked_example
from tests.factories_days import DayPlanFactory


def test_worked_example_comes_out_to_the_cent(business):
    # Invented figures, worked by hand; rates are rounded to the cent before use.
    plan = worked_example()
    cost = trip_cost(trip=plan.trip, plan=plan, business=business)
    assert isinstance(cost, TripCost)
    sheet, parties = cost.sheet, cost.per_head
    assert sheet.trip_direct == Decimal("346.10")
    assert sheet.guide_time == Decimal("374.00")
    assert sheet.overhead == Decimal("152.08")
    assert sheet.before_heads == Decimal("872.18")
    assert parties.contribution_per_head == Decimal("269.20")
    assert round(parties.paying_yourself.units_exact, 2) == Decimal("3.24")
    assert parties.paying_yourself.units == 4
    assert round(parties.cash_only.units_exact, 2) == Decimal("1.85")
    assert parties.cash_only.units == 2
    assert [(r.heads, r.income, r.after_all_costs, r.earned_per_guide_h) for r in cost.rows] == [
        (2, Decimal(580), Decimal("-333.78"), Decimal("2.37")),
        (3, Decimal(870), Decimal("-64.58"), Decimal("18.20")),
        (4, Decimal(1160), Decimal("204.62"), Decimal("34.04")),
    ]
    assert round(cost.rows[2].margin_share, 3) == Decimal("0.176")
    assert cost.private.price == Decimal(1087)


def test_a_day_without_a_cost_basis_says_what_to_enter(business):
    plan = DayPlanFactory()
    answer = trip_cost(trip=plan.trip, plan=plan, business=business)
    assert answer == (
        "There is no cost basis for 13 June 2026: enter what your hour is worth and what a season "
        "carries in Setup."
    )


def test_a_day_priced_as_a_whole_brings_the_same_whoever_comes(business):
    plan = worked_example()
    offer = plan.trip.offer
    offer.basis, offer.price = "whole_day", Decimal(1160)
    offer.save()
    cost = trip_cost(trip=plan.trip, plan=plan, business=business)
    assert cost.per_head is None
    assert [row.income for row in cost.rows] == [Decimal(1160)] * 3
    # each head more costs its lunch and licence
    left = [row.after_all_costs for row in cost.rows]
    assert [a - b for a, b in itertools.pairwise(left)] == [Decimal(15), Decimal(15)]


def test_a_minimum_charge_is_what_a_small_party_pays(business):
    plan = worked_example()
    plan.trip.offer.minimum_charge = Decimal(800)
    cost = trip_cost(trip=plan.trip, plan=plan, business=business)
    assert [row.income for row in cost.rows] == [Decimal(800), Decimal(870), Decimal(1160)]
