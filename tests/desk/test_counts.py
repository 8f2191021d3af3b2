"""What a page asks of the database does not grow with what is on it."""

from __future__ import annotations

import datetime
from collections.abc import Callable
from typing import Any

import pytest
from django.db import connection
from django.test import Client as Browser
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from bookings.models import Offer, Trip
from equipment.models import Craft, FlightPack, Reel
from guiding.days.actions.plans import change_plan
from guiding.days.models import Spot
from tests.factories import BookingFactory, ParticipantFactory, PartyFactory, TripFactory
from tests.factories_days import DayPlanFactory, SpotFactory
from tests.factories_equipment import CraftFactory, PackCheckFactory, SpoolingFactory
from tests.season import NOON


def asked(browser: Browser, address: str) -> list[str]:
    """The statements that a page needs, after everything that is kept once is kept."""
    assert browser.get(address).status_code == 200, address
    with CaptureQueriesContext(
        connection,
    ) as captured:
        assert browser.get(address).status_code == 200
    return [query["sql"] for query in captured.captured_queries]


def add_trips(count: int) -> None:
    """More trips in the fortnight ahead, each with a plan, its gear, a party and its people."""
    offer = Offer.objects.get(name="Open day")
    spots, packs = list(Spot.objects.all()), list(FlightPack.objects.all()[:3])
    for number in range(count):
        start = NOON + datetime.timedelta(days=1 + number % 12, hours=-6)
        end = start + datetime.timedelta(hours=10)
        trip = TripFactory(offer=offer, starts_at=start, ends_at=end, places=6, places_taken=2)
        plan = DayPlanFactory(
            trip=trip,
            spot=spots[number % len(spots)],
            session_start=start + datetime.timedelta(hours=2),
            session_end=end - datetime.timedelta(hours=2),
        )
        change_plan(
            plan=plan,
            craft=Craft.objects.all()[0],
            packs=packs,
            reels=list(Reel.objects.all()[:2]),
        )
        party = PartyFactory(offer=offer, heads=2)
        grown = ParticipantFactory(party=party)
        ParticipantFactory(party=party, born_on=datetime.date(2015, 1, 1), guardian=grown)
        BookingFactory(party=party, trip=trip)


PAGES: dict[str, Callable[[], str]] = {
    "today": lambda: reverse("today"),
    "diary": lambda: reverse("diary"),
    "parties": lambda: reverse("party_list"),
    "spots": lambda: reverse("spot_list"),
    "tides": lambda: reverse("tide_list"),
    "safety": lambda: reverse("safety"),
    "gear": lambda: reverse("gear"),
    "due": lambda: reverse("gear_due"),
    "packs": lambda: reverse("pack_list"),
}


# Pages that gather a whole trip: the next one with its drops and its gear, the next one.
# Today also reads what its emergency cards lack, refused answers, the contact ashore, the rounds.
MOST = {"today": 114, "safety": 70}


@pytest.mark.parametrize("name", PAGES)
def test_four_times_the_trips_cost_no_statement_more(season_desk: Browser, name: str) -> None:
    add_trips(10)
    address = PAGES[name]()
    few = asked(season_desk, address)
    add_trips(30)
    many = asked(season_desk, address)
    more = [sql[:200] for sql in many if _shape(sql) not in set(map(_shape, few))]
    assert len(many) <= len(few), "\n".join(more or many)
    assert len(few) < MOST.get(name, 60)


def test_a_trip_with_many_people_costs_no_statement_more(season_desk: Browser) -> None:
    add_trips(1)
    trip = Trip.objects.filter(offer__name="Open day").latest("pk")
    few = asked(season_desk, reverse("trip", args=[trip.pk]))
    Trip.objects.filter(pk=trip.pk).update(places=20, places_taken=20)
    for _ in range(9):
        party = PartyFactory(offer=trip.offer, heads=2)
        ParticipantFactory(party=party)
        ParticipantFactory(party=party)
        BookingFactory(party=party, trip=trip)
    many = asked(season_desk, reverse("trip", args=[trip.pk]))
    assert len(many) <= len(few), "\n".join(sql[:200] for sql in many)


def test_more_spots_cost_no_statement_more(season_desk: Browser) -> None:
    few = asked(season_desk, reverse("spot_list"))
    for _ in range(20):
        SpotFactory()
    many = asked(season_desk, reverse("spot_list"))
    assert len(many) <= len(few)


def test_more_gear_costs_no_statement_more_on_what_to_take(season_desk: Browser) -> None:
    add_trips(1)
    trip = Trip.objects.filter(offer__name="Open day").latest("pk")
    few = asked(season_desk, reverse("trip_gear", args=[trip.pk]))
    for number in range(10):
        PackCheckFactory(pack__label=f"Pack {number}")
        SpoolingFactory(reel__label=f"Spare reel {number}")
        CraftFactory(label=f"Spare craft {number}")
    many = asked(season_desk, reverse("trip_gear", args=[trip.pk]))
    assert len(many) <= len(few), "\n".join(sql[:200] for sql in many)


def _shape(sql: str) -> str:
    """A statement without its numbers."""
    return "".join(" " if letter.isdigit() else letter for letter in sql)


def test_the_papers_of_a_large_party_cost_no_statement_more(season: Any) -> None:
    from bookings.models import Business
    from guiding.desk.sheets.files import make_trip_file, sheet_names, trip_file_names
    from guiding.desk.sheets.gather import gather

    add_trips(1)
    trip = Trip.objects.filter(offer__name="Open day").latest("pk")

    def count() -> int:
        with CaptureQueriesContext(connection) as captured:
            file = gather(trip.pk, business=Business.objects.get())
            assert file
            for name in (sheet_names(file)[0], *list(trip_file_names())[1:]):
                make_trip_file(name, file, printed_at=NOON)
        return len(captured.captured_queries)

    few = count()
    Trip.objects.filter(pk=trip.pk).update(places=20, places_taken=20)
    for _ in range(9):
        party = PartyFactory(offer=trip.offer, heads=2)
        ParticipantFactory(party=party)
        BookingFactory(party=party, trip=trip)
    assert count() <= few
