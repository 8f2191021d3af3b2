"""What a year of tides costs, as a ratio to plain NumPy over the same constants in the same run.

The plain evaluation is how one finds highs and lows without further thought: the sum of cosines
at every sixth minute of the year, and a look at the neighbours. Absolute times drift on shared
machines, ratios hardly; the bounds leave room for noise.

    .venv/bin/pytest tests/bench/test_bench_tide.py --benchmark-only
"""

from __future__ import annotations

import time
from collections.abc import Callable
from datetime import UTC, date, datetime

import numpy as np
import pytest
from pytest_benchmark.fixture import BenchmarkFixture

from guiding.almanac.day import Almanac
from guiding.almanac.light import light_days
from guiding.almanac.tide import HarmonicTide, read_tide_constants
from guiding.almanac.tide.schureman import constituent_speed_deg_per_h, tide_year_factors
from tests.reference import published

YEAR = 2026
START, END = datetime(YEAR, 1, 1, tzinfo=UTC), datetime(YEAR + 1, 1, 1, tzinfo=UTC)
STEP_H = 0.1


@pytest.fixture(scope="module")
def stations() -> tuple[HarmonicTide, ...]:
    return read_tide_constants(
        published.path("tide_harmonics").read_text(), published.path("tide_stations").read_text()
    ).stations


def plain_turns(tide: HarmonicTide) -> int:
    """Highs and lows of the year by a bare sum of cosines and its neighbours."""
    factors = tide_year_factors(YEAR)
    hours = np.arange(0, 365 * 24, STEP_H)
    heights = np.full(len(hours), tide.z0_m)
    for each in tide.constituents:
        of = factors[each.name]
        speed = np.radians(constituent_speed_deg_per_h(each.name))
        phase = np.radians(of.argument_deg - each.phase_deg)
        heights += each.amplitude_m * of.node_factor * np.cos(speed * hours + phase)
    rises = np.diff(heights) > 0
    return int(np.count_nonzero(rises[1:] != rises[:-1]))


def best_s(*works: Callable[[], object], rounds: int = 5) -> list[float]:
    """The shortest run of each work, taken in turn so that a busy moment hits them all."""
    shortest = [float("inf")] * len(works)
    for _ in range(rounds):
        for i, work in enumerate(works):
            began = time.perf_counter()
            work()
            shortest[i] = min(shortest[i], time.perf_counter() - began)
    return shortest


def ratio_to(
    plain: Callable[[], object], benchmark: BenchmarkFixture, work: Callable[[], object]
) -> float:
    """How much longer the work takes than the plain evaluation; kept beside the benchmark."""
    plain_s, work_s = best_s(plain, work)
    benchmark.extra_info["ratio_to_plain_numpy"] = round(work_s / plain_s, 2)
    benchmark.pedantic(work, rounds=3, iterations=1)
    return work_s / plain_s


def test_a_year_of_turns_at_one_station(
    benchmark: BenchmarkFixture, stations: tuple[HarmonicTide, ...]
) -> None:
    tide = stations[0]
    # the plain way keeps the pairs closer than two hours
    assert 0 <= plain_turns(tide) - len(tide.turns(START, END)) <= 20
    assert ratio_to(lambda: plain_turns(tide), benchmark, lambda: tide.turns(START, END)) <= 1.5


def test_a_year_of_almanac_at_ten_spots(
    benchmark: BenchmarkFixture, stations: tuple[HarmonicTide, ...]
) -> None:
    """Light, moon and turns of every date of the year; the plain side sums the tides alone."""
    tides = (stations * 2)[:10]
    spots = [Almanac(40.0 + i, -6.0 - i, "Europe/Dublin", tide) for i, tide in enumerate(tides)]
    for spot in spots:
        spot.year(YEAR)  # the sky's nodes are shared and stay: a guide asks more than once
    ratio = ratio_to(
        lambda: [plain_turns(tide) for tide in tides],
        benchmark,
        lambda: [spot.year(YEAR) for spot in spots],
    )
    assert ratio <= 4


def test_the_cost_grows_in_step_with_the_days(
    benchmark: BenchmarkFixture, stations: tuple[HarmonicTide, ...]
) -> None:
    """Ten times the days cost no more than about ten times as much; the exponent is printed."""
    spot = Almanac(53.3, -6.1, "Europe/Dublin", stations[0])

    def days(count: int) -> None:
        spot.days(date(YEAR, 1, 1), date.fromordinal(date(YEAR, 1, 1).toordinal() + count - 1))

    days(1000)
    few_s, many_s = best_s(lambda: days(100), lambda: days(1000))
    exponent = float(np.log10(many_s / few_s))
    benchmark.extra_info["exponent"] = round(exponent, 2)
    benchmark.pedantic(lambda: days(100), rounds=3, iterations=1)
    assert exponent < 1.3


def test_a_year_of_light(benchmark: BenchmarkFixture) -> None:
    """365 days and six events each."""
    found = benchmark.pedantic(
        lambda: light_days(53.3, -6.1, "Europe/Dublin", date(YEAR, 1, 1), date(YEAR, 12, 31)),
        rounds=3,
        iterations=1,
        warmup_rounds=1,
    )
    assert len(found) == 365
