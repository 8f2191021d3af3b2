"""The gear list and the due list over 200 things with 100,000 entries, against a plain list.

The bare list is the same page with the 200 things alone, fetched by one query and with nothing
worked out; the plain list fetches by Django's own prefetching the rows that the gear page reads
beside them. All are timed in one run, in turn; absolute times drift, ratios hardly.

    .venv/bin/pytest tests/bench/test_bench_gear.py -s
"""

from __future__ import annotations

import datetime
import time
import uuid
from math import log

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from bookings.models import Booking, Trip
from equipment.actions.service import adopt_default_rules
from equipment.actions.sums import rebuild_lines, rebuild_tallies
from equipment.models import (
    Craft,
    FlightPack,
    Line,
    PackCheck,
    Reel,
    ServiceRecord,
    Spooling,
    Thing,
    UseEntry,
    UseTally,
)
from equipment.queries.booked import booked_days
from equipment.queries.due import due_list
from tests.factories import BookingFactory, TripFactory

pytestmark = [pytest.mark.django_db, pytest.mark.slow]
TODAY = datetime.date(2026, 6, 14)
BOUGHT = datetime.date(2025, 3, 1)
START = datetime.datetime(2025, 4, 1, 8, tzinfo=datetime.UTC)
ROUNDS = 15
BOOKED_TRIPS = 30  # a summer: each service is forecast against all of them


def build(things: int, entries: int) -> None:
    """Things of every kind in turn, and a log that is spread evenly over them."""
    kinds = ["pack", "reel", "craft", "rod", "clip", "vehicle", "safety", "beacon"]
    common = {"bought_on": BOUGHT, "model_note": "maker and model"}
    for number in range(things):
        kind = kinds[number % len(kinds)]
        label = f"{kind} {number}"
        if kind == "pack":
            pack = FlightPack.objects.create(
                kind=kind, label=label, cells_series=4, rated_ah=5, **common
            )
            PackCheck.objects.bulk_create(
                PackCheck(
                    pack=pack, at=START + datetime.timedelta(days=40 * n), cycles=10 * n,
                    cells_v=[3.8] * 4, cell_low_v=3.8, cell_high_v=3.8, cells_mohm=[4.0] * 4,
                    capacity_ah=4.9 - 0.02 * n,
                )
                for n in range(10)
            )  # fmt: skip
        elif kind == "reel":
            reel = Reel.objects.create(kind=kind, label=label, **common)
            line = Line.objects.create(strength_kgf=23, diameter_mm=0.3, spooled_m=2000)
            Spooling.objects.create(reel=reel, line=line, on_from=BOUGHT)
        elif kind == "craft":
            Craft.objects.create(
                kind=kind, label=label, mass_kg=2, max_takeoff_kg=4, rotor_diameter_m=0.25,
                wind_limit_ms=12, **common,
            )  # fmt: skip
        else:
            Thing.objects.create(kind=kind, label=label, **common)
    for kind in kinds:
        adopt_default_rules(kind=kind)
    rows = list(Thing.objects.order_by("pk"))
    lines = dict(Spooling.objects.values_list("reel_id", "line_id"))
    own = {"pack": "cycle", "reel": "cut_back_m", "craft": "flight", "vehicle": "km"}
    UseEntry.objects.bulk_create(
        (
            UseEntry(
                thing=(thing := rows[number % things]),
                kind=own.get(thing.kind, "hours") if number // things % 2 else "trip",
                line_id=lines.get(thing.pk) if thing.kind == "reel" else None,
                at=START + datetime.timedelta(minutes=5 * number),
                trip_uid=uuid.UUID(int=number // things // 6 + 1),
            )
            for number in range(entries)
        ),
        batch_size=2000,
    )
    ServiceRecord.objects.bulk_create(
        ServiceRecord(thing=thing, rule_name=name, done_at=START + datetime.timedelta(days=30 * n))
        for thing in rows
        for n, name in enumerate(("Rinse", "Motors, service", "Ring test for cracks") * 3)
    )
    for number in range(BOOKED_TRIPS):
        starts = datetime.datetime.combine(TODAY, datetime.time(6), datetime.UTC)
        starts += datetime.timedelta(days=3 * number)
        ends = starts + datetime.timedelta(hours=9)
        BookingFactory(trip=TripFactory(starts_at=starts, ends_at=ends))
    rebuild_tallies(thing_ids=[thing.pk for thing in rows])
    rebuild_lines(line_ids=sorted(lines.values()))


def seconds(work) -> float:
    """Processor time: the embedded database works in this process, and on a busy machine a long
    page is interrupted more often than a short one."""
    began = time.process_time()
    work()
    return time.process_time() - began


def compared(desk) -> dict[str, float]:
    """The shortest time of each page, taken in turn so that a busy moment hits them all."""
    due = len(due_list(on=TODAY, booked=booked_days(on=TODAY)))
    works = {
        "bare list of things": lambda: desk.get(reverse("bare_things")),
        "plain list of things": lambda: desk.get(reverse("plain_things")),
        "gear page": lambda: desk.get(reverse("gear"), {"on": "2026-06-14"}),
        "plain list of records": lambda: desk.get(reverse("plain_records", args=[due])),
        "due page": lambda: desk.get(reverse("gear_due"), {"on": "2026-06-14"}),
    }
    for work in works.values():
        work()
    times: dict[str, list[float]] = {name: [] for name in works}
    for _ in range(ROUNDS):
        for name, work in works.items():
            times[name].append(seconds(work))
    return {name: min(taken) for name, taken in times.items()}


def queries(work) -> int:
    with CaptureQueriesContext(connection) as seen:
        work()
    return len(seen)


def asked(desk) -> dict[str, int]:
    """How often each page asks the database."""
    return {
        name: queries(lambda name=name: desk.get(reverse(name), {"on": "2026-06-14"}))
        for name in ("gear", "gear_due", "pack_list")
    }


def clear() -> None:
    UseEntry.objects.all().delete()
    UseTally.objects.all().delete()
    sold = (Booking, Trip)
    for table in (*sold, ServiceRecord, Spooling, PackCheck, Line, FlightPack, Reel, Craft, Thing):
        table.objects.all().delete()


@pytest.mark.urls("tests.bench.plain_urls")
def test_lists_of_200_things_with_100000_entries(desk, capsys):
    """The same number of queries at any size, and under three times a bare list of as many rows.

    The two sizes also give the exponent of growth: 12 times the things, 62 times the entries.
    """
    build(16, 1_600)
    few, small = asked(desk), compared(desk)
    clear()
    build(200, 100_000)
    many, large = asked(desk), compared(desk)
    # The stricter of the two lists: one query for the rows of the page, and nothing beside them.
    ratios = {
        "gear page": large["gear page"] / large["bare list of things"],
        "due page": large["due page"] / large["plain list of records"],
    }
    with capsys.disabled():
        print("\n200 things, 100,000 entries against 16 things, 1,600 entries: shortest ms")
        for name, taken in large.items():
            growth = log(taken / small[name]) / log(100_000 / 1_600)
            ratio = f"  x {ratios[name]:.2f} of the bare list" if name in ratios else ""
            print(
                f"  {name:<22}{small[name] * 1000:8.1f}{taken * 1000:8.1f}"
                f"  entries^{growth:.2f}{ratio}"
            )
        same = large["gear page"] / large["plain list of things"]
        print(f"  gear page: x {same:.2f} of a list that fetches the same rows; queries: {many}")
    assert few == many
    assert max(ratios.values()) < 3
