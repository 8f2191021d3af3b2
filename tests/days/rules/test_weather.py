"""Which issue of a forecast speaks for an hour, and until when."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from guiding.days.rules.weather import FIGURES, Issue, WeatherHour, outlook

DAY = datetime(2026, 6, 13, tzinfo=UTC)


def at(hour: float) -> datetime:
    return DAY + timedelta(hours=hour)


def issue(key: int, *hours: WeatherHour, issued: float = 0) -> Issue:
    return Issue(key, at(issued), hours)


def test_the_newest_issue_speaks_and_older_ones_fill_what_it_leaves_open() -> None:
    newer = issue(2, WeatherHour(at(6), wind_ms=9.0), WeatherHour(at(7), wind_ms=10.0))
    older = issue(1, *(WeatherHour(at(h), wind_ms=3.0, wave_m=0.5) for h in range(4, 10)))
    found = outlook((newer, older), at(5), at(9))
    assert [hour.wind_ms for hour in found.hours] == [3.0, 9.0, 10.0, 3.0]
    assert [hour.wave_m for hour in found.hours] == [0.5] * 4
    assert found.used == (2, 1)


def test_an_issue_that_gives_nothing_is_not_named() -> None:
    empty = issue(2, WeatherHour(at(6)), WeatherHour(at(7)))
    older = issue(1, WeatherHour(at(6), wind_ms=3.0), WeatherHour(at(7), wind_ms=3.0))
    assert outlook((empty, older), at(6), at(7)).used == (1,)


def test_three_hourly_readings_hold_until_the_next_and_the_last_as_long_as_its_step() -> None:
    typed = issue(1, *(WeatherHour(at(h), wind_ms=float(h)) for h in (6, 9, 12)))
    found = {hour.at: hour.wind_ms for hour in outlook((typed,), at(5), at(17)).hours}
    assert found[at(8)] == 6.0
    assert found[at(14)] == 12.0
    assert found[at(5)] is None
    assert found[at(15)] is None


def test_a_reading_never_holds_longer_than_six_hours() -> None:
    far_apart = issue(1, WeatherHour(at(0), wind_ms=1.0), WeatherHour(at(20), wind_ms=2.0))
    found = {hour.at: hour.wind_ms for hour in outlook((far_apart,), at(0), at(24)).hours}
    assert found[at(5)] == 1.0
    assert found[at(6)] is None


def test_a_single_reading_holds_three_hours() -> None:
    found = outlook((issue(1, WeatherHour(at(6), wind_ms=1.0)),), at(6), at(12)).hours
    assert [hour.wind_ms for hour in found] == [1.0, 1.0, 1.0, None, None, None]


def test_half_past_the_hour_is_asked_at_its_start_and_then_on_the_hour() -> None:
    found = outlook((), at(6.5), at(9))
    assert [hour.at for hour in found.hours] == [at(6.5), at(7), at(8)]
    assert all(hour.is_empty for hour in found.hours)


def test_readings_out_of_order_and_a_span_turned_round_are_refused() -> None:
    with pytest.raises(ValueError, match="sort them"):
        outlook((issue(1, WeatherHour(at(7)), WeatherHour(at(6))),), at(5), at(9))
    with pytest.raises(ValueError, match="exchange them"):
        outlook((), at(9), at(5))


_FIGURE = st.one_of(st.none(), st.floats(0, 30))


@given(
    newer=st.lists(_FIGURE, min_size=6, max_size=6), older=st.lists(_FIGURE, min_size=6, max_size=6)
)
def test_each_hour_is_that_of_the_first_issue_that_knows_it(
    newer: list[float | None], older: list[float | None]
) -> None:
    issues = tuple(
        issue(key, *(WeatherHour(at(h), wave_m=value) for h, value in enumerate(values)))
        for key, values in ((2, newer), (1, older))
    )
    found = outlook(issues, at(0), at(6)).hours
    expected = [a if a is not None else b for a, b in zip(newer, older, strict=True)]
    assert [hour.wave_m for hour in found] == expected


def test_every_figure_has_a_range_or_is_a_yes_or_no() -> None:
    from guiding.days.rules.forecasts.reading import RANGES

    assert set(FIGURES) - set(RANGES) == {"thunder"}
