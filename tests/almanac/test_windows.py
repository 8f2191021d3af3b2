"""Sets of time: their algebra against a brute-force grid of minutes."""

from datetime import UTC, datetime, timedelta, timezone

import pytest
from hypothesis import given
from hypothesis import strategies as st

from guiding.almanac.windows import Span, Windows

START = datetime(2026, 3, 28, 20, tzinfo=UTC)
MINUTES = 180


def at(minute: int) -> datetime:
    return START + timedelta(minutes=minute)


pairs = st.tuples(st.integers(0, MINUTES - 1), st.integers(1, 60)).map(
    lambda pair: (pair[0], min(pair[0] + pair[1], MINUTES))
)
sets = st.lists(pairs, max_size=8).map(
    lambda found: Windows.of(*((at(first), at(last)) for first, last in found))
)


def minutes_of(windows: Windows) -> set[int]:
    """The whole minutes that lie in it, asked one by one."""
    return {minute for minute in range(MINUTES) if windows.contains(at(minute))}


@given(sets, sets)
def test_union_is_that_of_the_minutes(a: Windows, b: Windows) -> None:
    assert minutes_of(a | b) == minutes_of(a) | minutes_of(b)


@given(sets, sets)
def test_intersection_is_that_of_the_minutes(a: Windows, b: Windows) -> None:
    assert minutes_of(a & b) == minutes_of(a) & minutes_of(b)


@given(sets, sets)
def test_difference_is_that_of_the_minutes(a: Windows, b: Windows) -> None:
    assert minutes_of(a - b) == minutes_of(a) - minutes_of(b)


@given(sets, sets, sets)
def test_the_parts_of_a_set_make_it_whole(a: Windows, b: Windows, c: Windows) -> None:
    assert (a & b) | (a - b) == a
    assert (a - b) & b == Windows()
    assert a & (b | c) == (a & b) | (a & c)


@given(sets)
def test_minutes_in_total_and_order_of_spans(a: Windows) -> None:
    assert a.total_min == len(minutes_of(a))
    for before, after in zip(a.spans, a.spans[1:], strict=False):
        assert before.end < after.start


@given(sets, pairs)
def test_clip_keeps_what_lies_between(a: Windows, pair: tuple[int, int]) -> None:
    first, last = pair
    assert minutes_of(a.clip(at(first), at(last))) == minutes_of(a) & set(range(first, last))


@given(sets)
def test_crossings_rebuild_the_set(a: Windows) -> None:
    edges = [(span.start, True) for span in a if span.start > START]
    edges += [(span.end, False) for span in a if span.end < at(MINUTES)]
    rebuilt = Windows.from_crossings(
        START, at(MINUTES), sorted(edges), inside_at_start=a.contains(START)
    )
    assert rebuilt == a


def test_spans_that_touch_become_one() -> None:
    assert Windows.of((at(0), at(10)), (at(10), at(20))).spans == (Span(at(0), at(20)),)


def test_the_end_does_not_belong_to_a_span() -> None:
    one = Windows.of((at(0), at(10)))
    assert one.contains(at(0))
    assert not one.contains(at(10))


def test_the_longest_span_and_none() -> None:
    found = Windows.of((at(0), at(10)), (at(20), at(50)), (at(60), at(90))).longest
    assert found == Span(at(20), at(50))
    assert Windows().longest is None
    assert not Windows()


def test_times_of_any_zone_are_kept_in_utc() -> None:
    zone = timezone(timedelta(hours=2))
    span = Span(datetime(2026, 5, 1, 3, tzinfo=zone), datetime(2026, 5, 1, 4, tzinfo=zone))
    assert span.start == datetime(2026, 5, 1, 1, tzinfo=UTC)
    assert span.start.tzinfo is UTC


def test_refuses_naive_times_and_spans_turned_round() -> None:
    with pytest.raises(ValueError, match="no time zone"):
        Span(datetime(2026, 5, 1, 3), at(0))  # noqa: DTZ001
    with pytest.raises(ValueError, match="must end after it starts"):
        Span(at(5), at(5))
    with pytest.raises(ValueError, match="exchange the two"):
        Windows.of((at(5), at(4)))
