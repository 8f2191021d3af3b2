"""Six people in the same trips at once: nobody is ended by the database, and the books agree."""

from __future__ import annotations

import datetime
from collections.abc import Callable
from pathlib import Path

import pytest
from django.db import connection
from django.utils import timezone

from tests.bookings.test_last_place import run
from tests.factories import (
    BusinessFactory,
    ClientFactory,
    OfferFactory,
    PartyFactory,
    TripFactory,
)

CLERKS, DECKS = 6, 1
# What must have been done, or the test has tried nothing; the rest depends on who was first.
DONE = {"hold", "accept", "heads", "cancel", "call_off", "pay", "merge", "change_trip"}


def fill() -> None:
    """Three shared days and eight parties of four clients, so that everybody is in the way."""
    BusinessFactory()
    offer = OfferFactory(shared=True, places=40)
    soon = timezone.now().replace(hour=6, minute=0, second=0, microsecond=0)
    for days in (9, 20, 45):
        starts = soon + datetime.timedelta(days=days)
        ends = starts + datetime.timedelta(hours=10)
        TripFactory(offer=offer, places=30, starts_at=starts, ends_at=ends)
    for client in [ClientFactory() for _ in range(4)]:
        for _ in range(2):
            PartyFactory(client=client, offer=offer)


@pytest.mark.slow
@pytest.mark.postgres
def test_nobody_waits_in_a_ring(shared_database: Callable[[], str], tmp_path: Path) -> None:
    if connection.vendor != "postgresql":
        pytest.skip("SQLite has one writer at a time: nobody waits in a ring there")
    fill()
    found = run(
        ["-m", "tests.bookings.jostle", "1", str(CLERKS), str(DECKS)],
        shared_database(),
        tmp_path,
    )
    assert found["ended"] == []
    assert found["deadlocks"] == 0  # nor one that was only written to the log
    assert found["broken"] == []
    assert found["done"].keys() >= DONE
    assert sum(found["done"].values()) - found["done"]["refused"] > 40
