"""What a feed costs, as a ratio to the calendar library writing the same events in the same run.

The library's bare serialisation starts from objects that are already built; ours starts from the
records. Absolute times drift on shared machines, ratios hardly; the bounds leave room for noise.

    .venv/bin/pytest tests/bench/test_bench_feed.py --benchmark-only
"""

from __future__ import annotations

import gc
import time
from collections.abc import Callable
from dataclasses import replace
from datetime import timedelta
from itertools import pairwise
from math import log10

import icalendar
import pytest
from pytest_benchmark.fixture import BenchmarkFixture

from guiding.calendars import feed as feeds
from guiding.calendars.feed import Feed, feed_ics
from guiding.calendars.records import Invite
from tests.calendars.made_invites import trip

COUNT = 5_000


def season(count: int) -> Feed:
    """So many trips over ten years, each with a place, a note and a reminder."""
    first = trip(method=None)
    events: list[Invite] = []
    for n in range(count):
        later = timedelta(days=n % 3650)
        events.append(
            replace(
                first,
                uid=f"trip-{n:05d}@marramhead.example",
                start=first.start + later,
                end=first.end + later,
                description=f"Trip {n}: bring waders, a warm layer; meet at the slip. " * 3,
            )
        )
    return Feed("Trips", tuple(events))


def fresh(feed: Feed) -> bytes:
    """The feed as after a restart: nothing kept."""
    feeds._kept_lines.cache_clear()
    return feed_ics(feed)


def best_s(*works: Callable[[], object], rounds: int = 3) -> list[float]:
    """The shortest run of each work, taken in turn so that a busy moment hits them all."""
    shortest = [float("inf")] * len(works)
    for _ in range(rounds):
        for i, work in enumerate(works):
            began = time.perf_counter()
            work()
            shortest[i] = min(shortest[i], time.perf_counter() - began)
    return shortest


@pytest.mark.slow
def test_a_feed_against_the_librarys_bare_writing(benchmark: BenchmarkFixture) -> None:
    feed = season(COUNT)
    bare = icalendar.Calendar.from_ical(feed_ics(feed).decode())
    library_s, fresh_s, kept_s = best_s(bare.to_ical, lambda: fresh(feed), lambda: feed_ics(feed))
    benchmark.extra_info["fresh_to_library"] = round(fresh_s / library_s, 3)
    benchmark.extra_info["kept_to_library"] = round(kept_s / library_s, 3)
    print(f"\nfresh {fresh_s / library_s:.3f} x, kept {kept_s / library_s:.3f} x the library's")
    assert fresh_s / library_s < 1.3
    assert kept_s / library_s < 0.3
    benchmark.pedantic(feed_ics, args=(feed,), rounds=3)


@pytest.mark.slow
def test_a_feed_grows_with_its_events_and_no_faster() -> None:
    """At 1 x, 10 x and 100 x the events; an exponent of one is in proportion.

    A hundred events take a millisecond and stay in the processor's own memory, thousands do not:
    on a busy machine that alone makes the first step look like 1.3. So all sizes are timed in
    turn without the collector, and growth is judged where it would show, on the last step.
    """
    feeds_of = [season(size) for size in (100, 1_000, 10_000)]
    gc.collect()
    gc.disable()
    try:
        took = best_s(*(lambda feed=feed: fresh(feed) for feed in feeds_of), rounds=7)
    finally:
        gc.enable()
    first, last = (log10(later / before) for before, later in pairwise(took))
    print(f"\nexponents {first:.2f}, {last:.2f}")
    assert last < 1.2
    assert first < 1.6
