"""Things for tests: valid by default, invented, one factory a noun."""

from __future__ import annotations

import datetime
from decimal import Decimal

import factory
from factory.django import DjangoModelFactory

from equipment import models as equipment

BOUGHT = datetime.date(2025, 3, 1)
MORNING = datetime.datetime(2026, 6, 1, 8, 0, tzinfo=datetime.UTC)


class ThingFactory(DjangoModelFactory):
    class Meta:
        model = equipment.Thing

    kind = "rod"
    label = factory.Sequence(lambda n: f"Rod {n}")
    bought_on = BOUGHT
    price = Decimal(120)


class CraftFactory(ThingFactory):
    class Meta:
        model = equipment.Craft

    kind = "craft"
    label = factory.Sequence(lambda n: f"Craft {n}")
    price = Decimal(1300)
    mass_kg = 2.2
    max_takeoff_kg = 4.0
    rotors = 4
    rotor_diameter_m = 0.254
    wind_limit_ms = 12.0


class FlightPackFactory(ThingFactory):
    class Meta:
        model = equipment.FlightPack

    kind = "pack"
    label = factory.Sequence(lambda n: f"P{n}")
    price = Decimal(190)
    chemistry = "lipo"
    cells_series = 4
    rated_ah = 5.0


class ReelFactory(ThingFactory):
    class Meta:
        model = equipment.Reel

    kind = "reel"
    label = factory.Sequence(lambda n: f"Reel {n}")


class LineFactory(DjangoModelFactory):
    class Meta:
        model = equipment.Line

    strength_kgf = 23.0
    diameter_mm = 0.3
    spooled_m = 600.0
    price_per_m = Decimal("0.09")
    bought_on = BOUGHT


class SpoolingFactory(DjangoModelFactory):
    class Meta:
        model = equipment.Spooling

    reel = factory.SubFactory(ReelFactory)
    line = factory.SubFactory(LineFactory)
    on_from = BOUGHT


class PackCheckFactory(DjangoModelFactory):
    class Meta:
        model = equipment.PackCheck

    pack = factory.SubFactory(FlightPackFactory)
    at = MORNING
    cycles = 40
    cells_v = factory.LazyAttribute(lambda check: [3.80] * check.pack.cells_series)
    cell_low_v = factory.LazyAttribute(lambda check: min(check.cells_v, default=None))
    cell_high_v = factory.LazyAttribute(lambda check: max(check.cells_v, default=None))
    cells_mohm = factory.LazyAttribute(lambda check: [4.0] * check.pack.cells_series)
    capacity_ah = factory.LazyAttribute(lambda check: check.pack.rated_ah * 0.95)
