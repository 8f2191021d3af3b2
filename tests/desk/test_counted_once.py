"""A drop logged and its whole day logged: the same flight, cycle and trip counts once."""

from __future__ import annotations

import datetime
from typing import Any

import pytest
import time_machine
from django.test import Client as Browser
from django.urls import reverse

from equipment.models import Thing
from equipment.queries.use import counts
from guiding.days.actions.flights import reverse_drop
from guiding.days.models import DayPlan, Drop
from guiding.desk.queries.books import broken
from tests import factories_flights as flights
from tests.factories import TripFactory
from tests.factories_days import DayPlanFactory
from tests.factories_equipment import CraftFactory, ThingFactory
from tests.visit import Page, Visitor

FLOWN = datetime.datetime(2026, 6, 13, 8, 0, tzinfo=datetime.UTC)
EVENING = FLOWN + datetime.timedelta(hours=10)


class Day:
    """A trip that was fished, its gear, and the desk in the evening."""

    def __init__(self, visitor: Visitor) -> None:
        self.visitor = visitor
        self.craft = CraftFactory(label="Gannet")
        self.plan: DayPlan = DayPlanFactory(trip=TripFactory(status="confirmed"), craft=self.craft)
        self.pack = flights.pack(self.craft)
        self.clip = ThingFactory(kind=Thing.Kind.CLIP, label="Clip 1")

    def drop(self, minute: int = 0) -> Drop:
        return flights.logged(
            self.craft, self.pack, plan=self.plan, clip=self.clip, new_charge=True,
            at=FLOWN + datetime.timedelta(minutes=minute),
        )  # fmt: skip

    def whole_day(self, count: int) -> Page:
        self.visitor.go(reverse("use_day"))
        told = {
            f"{self.craft.pk}-flight": str(count),
            f"{self.pack.pk}-cycle": str(count),
            f"{self.clip.pk}-drop": str(count),
        }
        return self.visitor.send("on", on="2026-06-13", **told)

    def told(self) -> tuple[int, ...]:
        """Flights of the craft, cycles of the pack, drops of the clip, and the trips of each."""
        sums = counts(on=EVENING.date())
        craft, pack, clip = (sums[thing.pk] for thing in (self.craft, self.pack, self.clip))
        return (craft.flights, pack.cycles, clip.drops, craft.trips, pack.trips, clip.trips)


@pytest.fixture
def day(desk: Browser) -> Any:
    with time_machine.travel(EVENING, tick=False):
        yield Day(Visitor(desk))


def test_a_day_logged_after_its_drop_counts_it_once_and_says_so(day: Day) -> None:
    day.drop()
    page = day.whole_day(1)
    assert day.told() == (1, 1, 1, 1, 1, 1)
    assert "counted once" in page.told
    assert broken() == []


def test_a_drop_logged_after_its_day_counts_it_once_and_says_so(day: Day) -> None:
    assert "counted once" not in day.whole_day(1).told
    day.visitor.go(reverse("drop_new"))
    page = day.visitor.send(
        "from_percent", plan=str(day.plan.pk), craft=str(day.craft.pk), pack=str(day.pack.pk),
        clip=str(day.clip.pk), at="2026-06-13T09:00", from_percent="100", to_percent="78",
        new_charge=["on"], distance_m="300", wind_ms="4", payload_g="350", line_mm="0.3",
        height_m="15",
    )  # fmt: skip
    assert "counted once" in page.told, page.problems
    assert day.told() == (1, 1, 1, 1, 1, 1)


def test_what_a_day_tells_beyond_its_drops_counts_and_stays_when_a_drop_is_struck(
    day: Day,
) -> None:
    day.whole_day(3)
    first, _second = day.drop(), day.drop(20)
    assert day.told() == (3, 3, 3, 1, 1, 1)
    reverse_drop(drop=first, reason="Entered for the wrong day.")
    assert day.told() == (3, 3, 3, 1, 1, 1)
    for minute in (40, 60, 80):
        day.drop(minute)
    assert day.told()[:3] == (4, 4, 4), "more drops than the day told: the drops are right"
    assert broken() == []
