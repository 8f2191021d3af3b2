"""The demo season: as many of each as a season has, the same each time, never beside real data."""

from __future__ import annotations

import datetime
from collections import Counter
from typing import Any

import pytest
import time_machine
from django.db import connection

from bookings.models import Business, Client, Participant, Trip
from equipment.models import Craft, FlightPack, Reel
from guiding.days.models import DayPlan, Spot
from guiding.desk.queries.books import broken
from tests.commands import manage
from tests.factories import BusinessFactory
from tests.season import DAY, row_counts, season_rows


def test_a_season_holds_about_forty_trips_and_what_they_need(season: object) -> None:
    assert 36 <= Trip.objects.count() <= 44
    assert Client.objects.count() == 25
    assert Spot.objects.count() == 3
    assert Craft.objects.count() == 2
    assert FlightPack.objects.count() == 8
    assert Reel.objects.count() == 6
    day = datetime.date(2026, 6, 1)
    young = Participant.objects.filter(born_on__gt=day.replace(year=day.year - 18))
    assert young.count() >= 5
    assert not young.filter(guardian=None).exists()


def test_trips_lie_on_both_sides_of_the_day_in_every_state(season: object) -> None:
    noon = datetime.datetime(2026, 6, 1, 12, tzinfo=datetime.UTC)
    past = Counter(Trip.objects.filter(ends_at__lt=noon).values_list("status", flat=True))
    ahead = Counter(Trip.objects.filter(starts_at__gt=noon).values_list("status", flat=True))
    assert past["fished"] > 10
    assert past["cancelled"] >= 1
    assert set(past) == {"fished", "cancelled"}
    assert ahead["confirmed"] >= 5
    assert ahead["tentative"] >= 3
    assert set(ahead) == {"confirmed", "tentative"}
    assert DayPlan.objects.count() == Trip.objects.count()


def test_flight_packs_are_of_different_health(season: object) -> None:
    packs = manage("packs", "--json").facts
    states = Counter(pack["state"] for pack in packs)
    assert len(packs) == 8
    assert {"fit", "watch", "grounded"} <= set(states)
    assert len({pack["health_share"] for pack in packs}) >= 6


def test_a_season_keeps_every_invariant(season: object) -> None:
    assert broken() == []


def test_nobody_in_a_season_can_be_reached(season: object) -> None:
    mails = [*Client.objects.values_list("email", flat=True), Business.objects.get().email]
    assert all(mail.endswith((".example", "@example.org")) for mail in mails)


def test_loading_twice_changes_nothing(season: object) -> None:
    before = _everything()
    again = manage("demo", "--today", "2027-03-01", "--json")
    assert again.code == 0
    assert again.facts["new"] is False
    assert again.facts["day"] == "2026-06-01"
    assert _everything() == before


def test_a_season_goes_into_no_real_books(db: None) -> None:
    BusinessFactory(name="Sallow Point Angling")
    before = row_counts()
    done = manage("demo", "--today", "2026-06-01")
    assert done.refused, done.err
    assert "holds the books of Sallow Point Angling" in done.err
    assert row_counts() == before


@pytest.mark.once
@pytest.mark.parametrize(
    "day",
    [
        "2024-02-29",  # a leap day
        "2026-03-29",  # clocks go forward in Dublin
        "2026-10-25",  # and back
        "2027-12-31",
    ],
)
def test_a_season_lies_around_any_day(db: None, settings: Any, day: str) -> None:
    done = manage("demo", "--today", day, "--json")
    assert done.code == 0, done.err
    assert done.facts["day"] == day
    assert 36 <= done.facts["trips"] <= 44
    middle = datetime.date.fromisoformat(day)
    days = [at.date() for at in Trip.objects.values_list("starts_at", flat=True)]
    assert min(days) < middle - datetime.timedelta(days=100)
    assert max(days) > middle + datetime.timedelta(days=60)
    soonest = min(at for at in days if at > middle)
    assert soonest <= middle + datetime.timedelta(days=14)
    assert broken() == []
    assert done.facts["statement"] == str(settings.DATA_DIR / "demo-bank.csv")
    with time_machine.travel(f"{day}T12:00Z"):
        read = manage("import_bank", done.facts["statement"], "--json").facts
    found = {match["certainty"] for each in read["proposals"] for match in each["matches"]}
    assert found == {"sure", "likely", "guess"}
    assert any(not each["matches"] for each in read["proposals"])


ALIKE = {
    "bookings_trip": ("uid", "starts_at", "ends_at", "status", "places_taken"),
    "bookings_participant": ("given_name", "family_name", "born_on", "swims"),
    "equipment_packcheck": ("at", "cycles", "cells_v", "capacity_ah"),
    "equipment_useentry": ("kind", "amount", "at"),
}


def test_the_same_day_gives_the_same_season(db: None) -> None:
    _, once = season_rows(DAY)
    assert manage("demo", "--today", DAY.isoformat()).code == 0
    with connection.cursor() as cursor:
        for table, names in ALIKE.items():
            columns, rows = once[connection.ops.quote_name(table)]
            places = [columns.index(name) for name in names]
            first = sorted(tuple(str(row[n]) for n in places) for row in rows)
            cursor.execute(f"SELECT {', '.join(names)} FROM {table}")  # noqa: S608
            second = sorted(tuple(map(str, row)) for row in cursor.fetchall())
            assert len(first) > 20
            assert first == second, table


def _everything() -> dict[str, list[tuple[object, ...]]]:
    """Every row of every table, but for sessions and the like that come with looking."""
    found = {}
    with connection.cursor() as cursor:
        for table in connection.introspection.table_names(cursor):
            cursor.execute(f"SELECT * FROM {connection.ops.quote_name(table)}")  # noqa: S608
            found[table] = sorted(cursor.fetchall(), key=repr)
    return found
