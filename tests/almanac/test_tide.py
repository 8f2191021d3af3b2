"""The three tide sources behind one face: heights, turns, levels, coverage."""

import itertools
from dataclasses import replace
from datetime import UTC, datetime, timedelta

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from guiding.almanac.tide import (
    Constituent,
    HarmonicTide,
    HeightRule,
    SecondaryTide,
    TableTide,
    TideDifferences,
    TideSource,
    TideStrength,
    Turn,
    TurnKind,
    cosine_law_height_m,
    tide_range_m,
    tide_strength,
)
from guiding.almanac.tide.schureman import constituent_speed_deg_per_h, tide_year_factors

# an invented place: a semidiurnal tide of about four metres with a double one here and there
MARRAM = HarmonicTide(
    "Invented constants of Marram Head",
    (
        Constituent("M2", 1.34, 318.0),
        Constituent("S2", 0.40, 357.0),
        Constituent("N2", 0.27, 295.0),
        Constituent("K1", 0.11, 172.0),
        Constituent("O1", 0.09, 31.0),
        Constituent("M4", 0.05, 210.0),
    ),
    z0_m=2.4,
    datum="chart datum",
)
START = datetime(2026, 3, 1, tzinfo=UTC)
DAY = timedelta(days=1)


def table_of(tide: TideSource, start: datetime, end: datetime) -> TableTide:
    return TableTide("Table of Marram Head", tide.turns(start, end), tide.datum)


TABLE = table_of(MARRAM, START, START + 40 * DAY)
SECONDARY = SecondaryTide(
    "Differences of the strand",
    TABLE,
    TideDifferences(25, 40, HeightRule.DIFFERENCE_M, -0.3, -0.1),
    "chart datum",
)
SOURCES = {"constants": MARRAM, "table": TABLE, "secondary": SECONDARY}

sources = st.sampled_from(list(SOURCES.values()))
hours = st.floats(0, 30 * 24)
levels = st.floats(0.3, 4.5)


@given(sources, hours, levels)
def test_the_tide_stands_at_the_level_where_it_crosses_it(
    tide: TideSource, hour: float, level: float
) -> None:
    start = START + DAY + timedelta(hours=hour)
    for crossing in tide.crossings(level, start, start + DAY):
        # half a second of a tide that runs a metre an hour is a seventh of a millimetre
        assert tide.height_m(crossing.at) == pytest.approx(level, abs=0.002)
        later = tide.height_m(crossing.at + timedelta(minutes=1))
        earlier = tide.height_m(crossing.at - timedelta(minutes=1))
        assert (later > earlier) is crossing.rising


@given(sources, hours, levels)
def test_time_above_a_level_is_that_of_the_minutes(
    tide: TideSource, hour: float, level: float
) -> None:
    start = START + DAY + timedelta(hours=int(hour))
    windows = tide.above(level, start, start + DAY)
    minutes = [start + timedelta(minutes=minute) for minute in range(24 * 60)]
    times = np.array([np.datetime64(at.replace(tzinfo=None)) for at in minutes])
    heights = tide.heights_m(times)
    for at, height in zip(minutes, heights, strict=True):
        if abs(height - level) > 0.002:
            assert windows.contains(at) is bool(height > level)


@given(sources, hours)
def test_turns_alternate_and_are_the_extremes_between_them(tide: TideSource, hour: float) -> None:
    start = START + DAY + timedelta(hours=hour)
    turns = tide.turns(start, start + 2 * DAY)
    assert 7 <= len(turns) <= 9
    for before, after in itertools.pairwise(turns):
        assert before.kind is not after.kind
        inside = before.at + (after.at - before.at) * 0.5
        low, high = sorted((before.height_m, after.height_m))
        assert low < tide.height_m(inside) < high
    for turn in turns:
        assert start <= turn.at < start + 2 * DAY
        assert tide.height_m(turn.at) == pytest.approx(turn.height_m, abs=0.001)


@pytest.mark.parametrize("tide", SOURCES.values(), ids=SOURCES)
def test_posix_seconds_and_datetime64_say_the_same(tide: TideSource) -> None:
    seconds = (START + 2 * DAY).timestamp() + np.arange(0, 86400, 900)
    stamps = seconds.astype("datetime64[s]")
    assert np.array_equal(tide.heights_m(seconds), tide.heights_m(stamps))
    one = tide.height_m(datetime.fromtimestamp(seconds[5], UTC))
    assert one == pytest.approx(tide.heights_m(seconds)[5], abs=1e-9)


@pytest.mark.parametrize("tide", SOURCES.values(), ids=SOURCES)
def test_outside_its_coverage_a_source_says_so(tide: TideSource) -> None:
    for outside in (tide.valid_from - DAY, tide.valid_until + DAY):
        with pytest.raises(ValueError, match=r"covers .* and has no tide for"):
            tide.height_m(outside)
    with pytest.raises(ValueError, match="load a source for that time"):
        tide.turns(tide.valid_until - DAY, tide.valid_until + timedelta(hours=1))
    with pytest.raises(ValueError, match="load a source"):
        tide.above(1.0, tide.valid_from - timedelta(hours=1), tide.valid_from + DAY)
    with pytest.raises(ValueError, match="before it starts"):
        tide.turns(START + 3 * DAY, START + 2 * DAY)


def test_many_even_times_and_the_same_times_apart_agree() -> None:
    """Evenly spaced times are summed by a matrix product, others one by one."""
    times = START.timestamp() + 360.0 * np.arange(5000)
    shuffled = np.random.default_rng(7).permutation(5000)
    apart = np.empty(5000)
    apart[shuffled] = MARRAM.heights_m(times[shuffled])
    assert np.abs(MARRAM.heights_m(times) - apart).max() < 1e-9


def test_a_plain_sum_of_cosines_gives_the_same_heights() -> None:
    factors = tide_year_factors(2026)
    hour = 24 * 120 + 7.25
    plain = MARRAM.z0_m + sum(
        each.amplitude_m
        * factors[each.name].node_factor
        * np.cos(
            np.radians(
                constituent_speed_deg_per_h(each.name) * hour
                + factors[each.name].argument_deg
                - each.phase_deg
            )
        )
        for each in MARRAM.constituents
    )
    at = datetime(2026, 1, 1, tzinfo=UTC) + timedelta(hours=hour)
    assert MARRAM.height_m(at) == pytest.approx(plain, abs=1e-9)


def test_turns_run_on_over_new_year() -> None:
    """The factors change with the year; no turn is lost, doubled or out of order there."""
    for year in range(2020, 2031):
        around = datetime(year, 1, 1, tzinfo=UTC)
        turns = MARRAM.turns(around - 2 * DAY, around + 2 * DAY)
        gaps = [b.at - a.at for a, b in itertools.pairwise(turns)]
        assert all(timedelta(hours=4) < gap < timedelta(hours=9) for gap in gaps)
        assert all(a.kind is not b.kind for a, b in itertools.pairwise(turns))


def test_days_with_three_turns_come_about_once_a_week() -> None:
    counts = [len(MARRAM.turns(START + i * DAY, START + (i + 1) * DAY)) for i in range(28)]
    assert set(counts) == {3, 4}
    assert 3 <= counts.count(3) <= 5


def test_a_turn_belongs_to_the_span_it_starts() -> None:
    turn = MARRAM.turns(START, START + DAY)[1]
    assert turn in MARRAM.turns(turn.at, turn.at + timedelta(seconds=1))
    assert TABLE.turns(TABLE.table[3].at, TABLE.table[4].at) == (TABLE.table[3],)
    assert MARRAM.turns(START, START) == ()


def test_double_tides_closer_than_two_hours_are_left_out() -> None:
    """A strong quarter-diurnal part makes the low water stand double."""
    double = replace(
        MARRAM,
        constituents=(Constituent("M2", 0.5, 0.0), Constituent("M4", 0.14, 180.0)),
    )
    weak = replace(double, constituents=double.constituents[:1])
    week = START, START + 7 * DAY
    assert len(double.turns(*week)) == len(weak.turns(*week)) == 27
    stronger = replace(
        double, constituents=(Constituent("M2", 0.5, 0.0), Constituent("M4", 0.45, 180.0))
    )
    assert len(stronger.turns(*week)) > 45


@given(hours)
def test_the_table_follows_the_cosine_law(hour: float) -> None:
    at = START + DAY + timedelta(hours=hour)
    after = next(i for i, turn in enumerate(TABLE.table) if turn.at > at)
    low, high = sorted(TABLE.table[after - 1 : after + 1], key=lambda turn: turn.height_m)
    duration = abs((high.at - low.at).total_seconds()) / 60
    since_low = abs((at - low.at).total_seconds()) / 60
    law = cosine_law_height_m(low.height_m, high.height_m, duration, since_low)
    assert TABLE.height_m(at) == pytest.approx(law, abs=1e-6)


def test_a_table_close_to_the_curve_it_was_made_from() -> None:
    times = (START + 2 * DAY).timestamp() + np.arange(0, 30 * 86400, 600.0)
    assert np.abs(TABLE.heights_m(times) - MARRAM.heights_m(times)).max() < 0.25


def test_the_secondary_place_has_the_differences_at_its_turns() -> None:
    span = START + 3 * DAY, START + 5 * DAY
    shifted = {turn.at: turn for turn in SECONDARY.turns(*span)}
    checked = 0
    for turn in TABLE.turns(*span):
        high = turn.kind is TurnKind.HIGH
        at = turn.at + timedelta(minutes=25 if high else 40)
        if at < span[1]:
            found = shifted[at]
            assert found.kind is turn.kind
            difference = found.height_m - turn.height_m
            assert difference == pytest.approx(-0.3 if high else -0.1, abs=1e-3)
            checked += 1
    assert checked >= 7


def test_a_secondary_place_of_constants_works_near_the_end_of_its_reference() -> None:
    short = replace(MARRAM, valid_from=START, valid_until=START + 10 * DAY)
    tide = SecondaryTide("x", short, TideDifferences(-30, 90, HeightRule.RATIO, 1.1, 0.9))
    assert tide.valid_from < START + timedelta(hours=15)
    assert tide.valid_until > START + timedelta(days=9, hours=12)
    inside = (tide.valid_until - timedelta(minutes=2)).timestamp()
    assert 0 < tide.heights_m(np.array([inside]))[0] < 5


def test_a_secondary_place_whose_low_would_overtake_its_high_drops_both() -> None:
    at = START
    turns = tuple(
        Turn(at + timedelta(hours=h), height, kind)
        for h, height, kind in (
            (0, 1.0, TurnKind.LOW),
            (6, 3.0, TurnKind.HIGH),
            (8, 2.5, TurnKind.LOW),
            (10, 2.9, TurnKind.HIGH),
            (16, 0.8, TurnKind.LOW),
            (22, 3.1, TurnKind.HIGH),
        )
    )
    differences = TideDifferences(150, 0, HeightRule.DIFFERENCE_M, 0, 0)
    tide = SecondaryTide("x", TableTide("t", turns), differences)
    kinds = [turn.kind for turn in tide.turns(tide.valid_from, tide.valid_until)]
    assert kinds == ["low", "high", "low", "high"]


def test_a_table_that_cannot_be_is_refused() -> None:
    low, high = TABLE.table[:2] if TABLE.table[0].kind is TurnKind.LOW else TABLE.table[1:3]
    with pytest.raises(ValueError, match="at least two"):
        TableTide("t", (low,))
    with pytest.raises(ValueError, match="not in order of time"):
        TableTide("t", (high, low))
    with pytest.raises(ValueError, match="missing or wrong"):
        TableTide("t", (low, replace(high, kind=TurnKind.LOW)))
    with pytest.raises(ValueError, match="is under the low"):
        TableTide("t", (low, replace(high, height_m=low.height_m - 0.1)))


def test_springs_and_neaps_against_the_mean_range() -> None:
    month = [tide_range_m(MARRAM.turns(START + i * DAY, START + (i + 1) * DAY)) for i in range(30)]
    mean_m = sum(month) / len(month)
    strengths = [tide_strength(range_m, mean_m) for range_m in month]
    assert strengths[month.index(max(month))] is TideStrength.SPRINGS
    assert strengths[month.index(min(month))] is TideStrength.NEAPS
    assert tide_strength(mean_m, mean_m) is TideStrength.BETWEEN
    # springs come a day or two after new and full moon: 3 and 19 March 2026
    top = [i + 1 for i, strength in enumerate(strengths) if strength is TideStrength.SPRINGS]
    assert {5, 21} & set(top)


def test_ranges_and_strengths_refuse_what_cannot_be() -> None:
    with pytest.raises(ValueError, match="at least two turns"):
        tide_range_m(TABLE.table[:1])
    with pytest.raises(ValueError, match="cannot be judged"):
        tide_strength(1.0, 0.0)
    with pytest.raises(ValueError, match="lie around 1"):
        tide_strength(1.0, 1.0, springs_share=0.8)
    with pytest.raises(ValueError, match="is not within"):
        cosine_law_height_m(1, 3, 360, 361)


@pytest.mark.parametrize("year", [1899, 2101])
def test_node_factors_end_with_their_years(year: int) -> None:
    with pytest.raises(ValueError, match="1900 to 2100"):
        tide_year_factors(year)
