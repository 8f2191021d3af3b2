"""Rows of spots, plans and rates for tests: valid by default and invented."""

from __future__ import annotations

import datetime
from decimal import Decimal

import factory
from factory.django import DjangoModelFactory

from guiding.days import models as days
from tests.factories import TripFactory

# The shape of a semidiurnal tide; the figures are invented.
CONSTANTS = {"M2": (1.25, 150.0), "S2": (0.42, 190.0), "N2": (0.24, 130.0), "K1": (0.1, 60.0)}


class TideSourceFactory(DjangoModelFactory):
    class Meta:
        model = days.TideSource
        skip_postgeneration_save = True

    kind = "constants"
    name = factory.Sequence(lambda n: f"Marram Head {n}")
    source = "invented constants"
    mean_level_m = 2.3
    mean_range_m = 2.5

    @factory.post_generation
    def constants(self, create: bool, given: dict[str, tuple[float, float]] | None) -> None:
        if not create or self.kind != "constants":
            return
        for name, (amplitude_m, phase_deg) in (CONSTANTS if given is None else given).items():
            days.TideConstant.objects.create(
                source=self, name=name, amplitude_m=amplitude_m, phase_deg=phase_deg
            )


class SpotFactory(DjangoModelFactory):
    class Meta:
        model = days.Spot

    name = factory.Sequence(lambda n: f"North Strand {n}")
    latitude = 53.42
    longitude = -9.95
    seaward_deg = 285.0
    tide_source = factory.SubFactory(TideSourceFactory)
    sill_m = 3.6
    meeting_place = "Car park above the slip, Marram Head"
    meeting_latitude = 53.41
    meeting_longitude = -9.9
    drive_km = 150.0
    drive_min = 120
    sand_km = 10.0


class DayPlanFactory(DjangoModelFactory):
    class Meta:
        model = days.DayPlan

    trip = factory.SubFactory(TripFactory)
    spot = factory.SubFactory(SpotFactory)
    session_start = datetime.datetime(2026, 6, 13, 6, 30, tzinfo=datetime.UTC)
    session_end = datetime.datetime(2026, 6, 13, 12, 30, tzinfo=datetime.UTC)


class CostRateFactory(DjangoModelFactory):
    class Meta:
        model = days.CostRate

    driver = "trip"
    label = "Access"
    amount = Decimal(12)
    valid_from = datetime.date(2026, 1, 1)


class CostBasisFactory(DjangoModelFactory):
    class Meta:
        model = days.CostBasis

    valid_from = datetime.date(2026, 1, 1)
    guide_rate = Decimal(22)
    overhead = Decimal(7300)
    days_run = 48
    days_called_off = 12
    call_off_cost = Decimal(70)
    fee_percent = Decimal(2)


class SpeciesRuleFactory(DjangoModelFactory):
    class Meta:
        model = days.SpeciesRule

    name_en = factory.Sequence(lambda n: f"Bass {n}")
    source = "Invented for tests"
    checked_on = datetime.date(2026, 5, 1)


class CatchFactory(DjangoModelFactory):
    class Meta:
        model = days.Catch

    trip = factory.SubFactory(TripFactory)
    at = datetime.datetime(2026, 6, 13, 8, 0, tzinfo=datetime.UTC)
    species = factory.SubFactory(SpeciesRuleFactory)
