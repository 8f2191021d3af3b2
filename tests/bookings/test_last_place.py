"""Twenty people press at once for the last place: one gets it, nineteen get a clear sentence."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from bookings.actions.trips import hold_places
from tests.factories import (
    FAR_AHEAD,
    NOON,
    BusinessFactory,
    OfferFactory,
    PartyFactory,
    TripFactory,
    UserFactory,
)

ROOT = Path(__file__).resolve().parents[2]
MANY = 20
COUNTED = """
import django, json
django.setup()
from django.db.models import Sum
from bookings.models import Booking, Trip
print(json.dumps(list(Trip.objects.values_list("places", "places_taken")) + [
    Booking.objects.exclude(status="cancelled").aggregate(Sum("heads"))["heads__sum"]]))
"""


def run(code: list[str], database: str, tmp_path: Path) -> Any:
    """A process of its own on a database; what it prints, read as JSON."""
    env = os.environ | {
        "DATABASE_URL": database,
        "DJANGO_SETTINGS_MODULE": "guiding.settings",
        "SANDSPIKE_DATA": str(tmp_path / "data"),
    }
    done = subprocess.run(
        [sys.executable, *code], cwd=ROOT, env=env, capture_output=True, text=True, timeout=240
    )
    assert done.returncode == 0, done.stderr
    return json.loads(done.stdout)


@pytest.mark.slow
@pytest.mark.parametrize("shared", [True, False], ids=["shared day", "one party a day"])
def test_the_last_place_is_sold_once(
    shared: bool, shared_database: Callable[[], str], tmp_path: Path
) -> None:
    BusinessFactory()
    UserFactory(is_superuser=True)
    offer = OfferFactory(shared=shared, places=4)
    trip = TripFactory(offer=offer, places=4, **FAR_AHEAD)
    if shared:
        hold_places(party=PartyFactory(offer=offer), trip=trip, heads=3, at=NOON.replace(year=2090))
    parties = [PartyFactory(offer=offer, heads=1).pk for _ in range(MANY)]
    database = shared_database()

    answers = run(
        ["-m", "tests.bookings.crowd", str(trip.pk), *map(str, parties)], database, tmp_path
    )

    assert sorted(answer["status"] for answer in answers) == [302] + [422] * (MANY - 1)
    wanted = "All 4 places of this trip are taken." if shared else "is for one party a day"
    for answer in answers:
        if answer["status"] == 422:
            assert wanted in answer["problems"]
    counted = run(["-c", COUNTED], database, tmp_path)
    assert counted == [[4, 4], 4] if shared else counted == [[4, 1], 1]


def test_two_crowds_in_two_processes(shared_database: Callable[[], str], tmp_path: Path) -> None:
    BusinessFactory()
    UserFactory(is_superuser=True)
    offer = OfferFactory(shared=True, places=5)
    trip = TripFactory(offer=offer, places=5, **FAR_AHEAD)
    parties = [PartyFactory(offer=offer, heads=1).pk for _ in range(MANY)]
    database = shared_database()
    env = os.environ | {
        "DATABASE_URL": database,
        "DJANGO_SETTINGS_MODULE": "guiding.settings",
        "SANDSPIKE_DATA": str(tmp_path / "data"),
    }
    crowds = [
        subprocess.Popen(
            [sys.executable, "-m", "tests.bookings.crowd", str(trip.pk), *map(str, half)],
            cwd=ROOT,
            env=env,
            stdout=subprocess.PIPE,
            text=True,
        )
        for half in (parties[:10], parties[10:])
    ]
    answers = [each for crowd in crowds for each in json.loads(crowd.communicate(timeout=240)[0])]

    assert sorted(answer["status"] for answer in answers) == [302] * 5 + [422] * 15
    assert run(["-c", COUNTED], database, tmp_path) == [[5, 5], 5]
