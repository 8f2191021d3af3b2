"""Which hours of a day are fished: the tide wanted, the light, the way out."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from guiding.almanac.tide import Turn, TurnKind
from guiding.almanac.windows import Span, Windows
from guiding.days.rules.session import (
    kept_clear,
    propose_session,
    tide_share,
    wanted_tide,
)


def at(hour: float) -> datetime:
    return datetime(2026, 6, 13, tzinfo=UTC) + timedelta(hours=hour)


LIGHT = Windows.of((at(4), at(21)))
TURNS = tuple(
    Turn(at(hour), 4.0 if kind == "high" else 1.0, TurnKind(kind))
    for hour, kind in ((-4, "high"), (2, "low"), (8, "high"), (14, "low"), (20, "high"))
)


def propose(wanted: str = "any", hours: float = 6, shut: Windows | None = None, **more):  # type: ignore[no-untyped-def]
    return propose_session(
        light=LIGHT, shut=shut or Windows(), turns=TURNS, tide_wanted=wanted, hours=hours, **more
    )


@pytest.mark.parametrize(
    ("wanted", "start"), [("any", 4), ("rising", 14), ("falling", 8), ("high", 5), ("low", 11)]
)
def test_the_session_lies_on_the_tide_that_is_wanted(wanted: str, start: float) -> None:
    assert propose(wanted).span == Span(at(start), at(start + 6))


def test_a_session_stays_clear_of_the_way_out() -> None:
    shut = kept_clear(Windows.of((at(9), at(12))), before_min=75, after_min=50)
    assert shut == Windows.of((at(7.75), at(12 + 50 / 60)))
    found = propose("any", hours=3, shut=shut).span
    assert found == Span(at(4), at(7))
    assert propose("any", hours=4, shut=shut).span == Span(at(13), at(17))


def test_no_stretch_long_enough_says_how_long_the_longest_is() -> None:
    shut = Windows.of((at(6), at(19)))
    refused = propose(hours=6, shut=shut)
    assert refused.span is None
    assert "the longest is 2.0 h" in refused.why
    assert "there is none" in propose(shut=Windows.of((at(0), at(24)))).why


def test_a_session_across_midnight_begins_on_its_day() -> None:
    night = Windows.of((at(21), at(30)))
    found = propose_session(
        light=night, shut=Windows(), turns=(), tide_wanted="any", hours=6, start_before=at(24)
    )
    assert found.span == Span(at(21), at(27))
    late = Windows.of((at(24), at(30)))
    assert (
        propose_session(
            light=late, shut=Windows(), turns=(), tide_wanted="any", hours=6, start_before=at(24)
        ).span
        is None
    )


@pytest.mark.parametrize("hours", [0.4, 24.5])
def test_hours_that_cannot_be_are_refused(hours: float) -> None:
    with pytest.raises(ValueError, match=r"give 0\.5 to 24"):
        propose(hours=hours)


def test_minutes_below_nothing_are_refused() -> None:
    with pytest.raises(ValueError, match="0 or more"):
        kept_clear(Windows(), -1, 0)


_HOUR = st.floats(0, 24).map(lambda h: round(h * 60) / 60)
_WINDOWS = st.lists(st.tuples(_HOUR, _HOUR), max_size=4).map(
    lambda pairs: Windows.of(*((at(min(p)), at(max(p))) for p in pairs))
)


@given(
    light=_WINDOWS,
    shut=_WINDOWS,
    hours=st.sampled_from([0.5, 1.0, 2.5, 4.0]),
    wanted=st.sampled_from(["any", "rising", "falling", "high", "low"]),
)
def test_the_proposal_is_the_best_of_all_quarters_of_an_hour(
    light: Windows, shut: Windows, hours: float, wanted: str
) -> None:
    """Against every start there is, tried one by one."""
    free, length = light - shut, timedelta(hours=hours)
    middles = {
        "rising": [5.0, 17.0], "falling": [-1.0, 11.0], "high": [-4, 8, 20], "low": [2, 14],
        "any": [],
    }[wanted]  # fmt: skip
    starts = [
        start
        for n in range(4 * 24)
        if any(span.start <= (start := at(n / 4)) and start + length <= span.end for span in free)
    ]
    found = propose_session(
        light=light, shut=shut, turns=TURNS, tide_wanted=wanted, hours=hours
    ).span
    if not starts:
        assert found is None
        return

    def off(start: datetime) -> timedelta:
        middle = start + length / 2
        return min((abs(middle - at(hour)) for hour in middles), default=timedelta())

    best = min(starts, key=lambda start: (off(start), start))
    assert found == Span(best, best + length)


def test_a_tide_that_is_wanted_has_its_windows() -> None:
    assert wanted_tide(TURNS, "rising") == Windows.of((at(2), at(8)), (at(14), at(20)))
    assert wanted_tide(TURNS[1:3], "high") == Windows.of((at(6), at(10)))
    assert not wanted_tide((), "low")
    assert not wanted_tide(TURNS, "any")


@pytest.mark.parametrize(
    ("wanted", "start", "end", "share"),
    [
        ("any", 0, 6, 1.0),
        ("rising", 2, 8, 1.0),
        ("rising", 5, 11, 0.5),
        ("rising", 8, 14, 0.0),
        ("high", 5, 11, 1.0),
        ("high", 8, 10, 1.0),
        ("high", 10, 14, 0.0),
        ("rising", 2, 10, 1.0),
    ],
)
def test_how_much_of_a_session_has_the_tide_that_is_wanted(
    wanted: str, start: float, end: float, share: float
) -> None:
    assert tide_share(Span(at(start), at(end)), TURNS, wanted) == share
