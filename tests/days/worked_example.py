"""The worked example of a party day, entered as rows. The figures are invented."""

from __future__ import annotations

from decimal import Decimal

from guiding.days.models import DayPlan
from tests.factories import OfferFactory, TripFactory
from tests.factories_days import CostBasisFactory, CostRateFactory, DayPlanFactory

RATES = (
    ("km_road", "Road", "0.42", "1"),
    ("km_sand", "Sand", "0.90", "1"),
    ("trip", "Access", "12", "1"),
    ("kg_bait", "Bait", "9", "1"),
    ("trip", "Ice and sundries", "8", "1"),
    ("rig", "Rigs", "3.20", "1"),
    ("metre_line", "Line", "0.09", "1"),
    ("pack_cycle", "Flight packs", "190", "180"),
    ("flight", "Flight wear", "0.45", "1"),
    ("loss", "Provision for a lost craft", "1300", "600"),
    ("head", "Lunch and licence", "15", "1"),
)


def worked_example() -> DayPlan:
    """A party day at 290 a head, as a trip with its plan."""
    for driver, label, amount, per in RATES:
        CostRateFactory(driver=driver, label=label, amount=Decimal(amount), per=Decimal(per))
    CostBasisFactory()
    trip = TripFactory(offer=OfferFactory(price=Decimal(290)), places=4)
    return DayPlanFactory(
        trip=trip,
        road_km=300,
        sand_km=20,
        drops=30,
        pack_cycles=10,
        line_m=40,
        bait_kg=Decimal("5.5"),
        rigs=7,
        guide_hours=Decimal(17),
    )
