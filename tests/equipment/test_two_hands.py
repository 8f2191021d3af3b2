"""Two hands at once, and one hand pressing twice: one outcome, and a sentence for the other."""

from __future__ import annotations

import datetime
import threading
import uuid

import pytest
from django.core.exceptions import ValidationError
from django.db import connection, connections

from equipment.actions.checks import record_check
from equipment.actions.defects import ground
from equipment.actions.lines import spool_line
from equipment.actions.service import record_service
from equipment.actions.things import add_thing
from equipment.actions.use import record_use
from equipment.models import Defect, Line, PackCheck, ServiceRecord, Spooling, Thing, UseEntry
from tests.factories_equipment import (
    FlightPackFactory,
    LineFactory,
    ReelFactory,
    SpoolingFactory,
    ThingFactory,
)

AT = datetime.datetime(2026, 6, 1, 8, 0, tzinfo=datetime.UTC)
HANDS = 6


def together(work):
    """The same work by several hands at once: what came of each."""
    gate = threading.Barrier(HANDS)
    outcomes: list[object] = []

    def hand() -> None:
        try:
            gate.wait()
            outcomes.append(work())
        except Exception as error:
            outcomes.append(error)
        finally:
            connections.close_all()

    hands = [threading.Thread(target=hand) for _ in range(HANDS)]
    for one in hands:
        one.start()
    for one in hands:
        one.join()
    return outcomes


@pytest.fixture
def side_by_side(transactional_db):
    """Writers that really meet; in memory the embedded database has one connection for all."""
    if connection.vendor != "postgresql":
        pytest.skip("needs a PostgreSQL: set DATABASE_URL")


@pytest.mark.django_db(transaction=True)
def test_the_last_metres_are_taken_once(side_by_side):
    spooling = SpoolingFactory(line=LineFactory(spooled_m=100))
    reel = spooling.reel
    outcomes = together(lambda: record_use(thing=reel, kind="lost_m", amount=60, at=AT))
    refused = [one for one in outcomes if isinstance(one, ValidationError)]
    assert len(refused) == HANDS - 1, outcomes
    assert "40 m left" in str(refused[0])
    assert Line.objects.get().left_m == 40
    assert UseEntry.objects.count() == 1


@pytest.mark.django_db(transaction=True)
def test_one_key_is_one_entry_from_several_phones(side_by_side):
    rod = ThingFactory()
    key = uuid.uuid4()
    outcomes = together(lambda: record_use(thing=rod, kind="fish", at=AT, key=key))
    assert {getattr(one, "pk", one) for one in outcomes} == {UseEntry.objects.get().pk}


@pytest.mark.django_db(transaction=True)
def test_one_label_is_one_thing(side_by_side):
    outcomes = together(lambda: add_thing(kind="rod", label="Rod 9"))
    refused = [one for one in outcomes if isinstance(one, ValidationError)]
    assert len(refused) == HANDS - 1, outcomes
    assert Thing.objects.count() == 1


@pytest.mark.django_db
def test_what_is_sent_twice_is_entered_once():
    reel, pack, rod = ReelFactory(), FlightPackFactory(), ThingFactory()
    for _ in range(2):
        spool_line(reel=reel, spooled_m=500, diameter_mm=0.3, strength_kgf=23, on=AT.date())
        record_check(pack=pack, at=AT, capacity_ah=4.6)
        record_service(thing=rod, rule_name="Ring test", done_at=AT)
        ground(thing=rod, what="ring cracked", found_at=AT)
    counted = [table.objects.count() for table in (Spooling, PackCheck, ServiceRecord, Defect)]
    assert counted == [1, 1, 1, 1]
