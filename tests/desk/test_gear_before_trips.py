"""What is due before which booked trip: the gear house asks, the bookings answer."""

from __future__ import annotations

import datetime

import pytest
import time_machine
from django.test import Client
from django.urls import reverse

from bookings.actions.trips import cancel_booking
from bookings.models import Booking, Business, Trip
from equipment.actions.service import record_service, save_rule
from equipment.models import Craft
from equipment.queries.booked import booked_days
from tests.commands import manage
from tests.factories import BookingFactory, TripFactory
from tests.factories_equipment import CraftFactory
from tests.visit import Visitor

pytestmark = pytest.mark.django_db
NOW = datetime.datetime(2026, 6, 1, 12, 0, tzinfo=datetime.UTC)


@pytest.fixture(autouse=True)
def june() -> object:
    with time_machine.travel(NOW, tick=False):
        yield


def on_day(day: int, *, hour: int = 4, month: int = 6, **trip: object) -> Trip:
    starts = datetime.datetime(2026, month, day, hour, tzinfo=datetime.UTC)
    return TripFactory(starts_at=starts, ends_at=starts + datetime.timedelta(hours=10), **trip)


@pytest.fixture
def craft() -> Craft:
    """Looked over this morning; the next look is due by 11 June."""
    craft: Craft = CraftFactory(label="Gannet")
    save_rule(kind="craft", name="Look over", every_days=10, lead_days=1)
    record_service(thing=craft, rule_name="Look over", done_at=NOW)
    return craft


def test_the_due_page_names_the_booked_trip(desk: Client, craft: Craft) -> None:
    BookingFactory(trip=on_day(9))
    booking: Booking = BookingFactory(trip=on_day(14, places_taken=2))
    visitor = Visitor(desk)
    page = visitor.go(reverse("gear_due"))
    assert "the next booked trip is on Tue 9 Jun 2026" in page.text
    assert "Good to 11 June 2026; due before the trip of 14 June." in page.text
    [row] = [item for item in manage("due", "--json").facts if item["rule"] == "Look over"]
    assert row["before_trip_on"] == "2026-06-14"
    assert "Look over by" not in visitor.go(reverse("gear")).text
    assert "Look over before the trip of Sun 14 Jun" in visitor.page.text

    cancel_booking(booking=booking, at=NOW)
    assert "before the trip of 14 June" not in visitor.go(reverse("gear_due")).text
    assert "Look over by" in visitor.go(reverse("gear")).text


def test_only_a_day_that_somebody_has_a_place_on_is_booked(business: Business) -> None:
    on_day(10)  # planned, nobody on it yet
    BookingFactory(trip=on_day(11, status="cancelled"))
    BookingFactory(trip=on_day(12), status="cancelled", cancelled_at=NOW)
    BookingFactory(trip=on_day(13, status="tentative"), status="tentative", hold_until=NOW)
    BookingFactory(trip=(full := on_day(14, status="confirmed")))
    BookingFactory(trip=full)  # two parties, one day
    on = datetime.date(2026, 6, 2)
    assert [day.day for day in booked_days(on=on)] == [13, 14]
    assert [day.day for day in booked_days(on=datetime.date(2026, 6, 14))] == [14]
    assert booked_days(on=datetime.date(2026, 6, 15)) == ()


def test_days_are_those_of_the_desk_in_pages_and_commands(desk: Client, craft: Craft) -> None:
    """At 22:30 UTC of the 13th it is the 14th where this desk is: both have to say so."""
    Business.objects.update(zone="Pacific/Auckland")
    BookingFactory(trip=on_day(13, hour=22))
    [row] = [item for item in manage("due", "--json").facts if item["rule"] == "Look over"]
    assert row["before_trip_on"] == "2026-06-14"
    page = Visitor(desk).go(reverse("gear_due"))
    assert "the next booked trip is on Sun 14 Jun 2026" in page.text
