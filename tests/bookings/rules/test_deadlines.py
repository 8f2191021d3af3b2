"""Holds, quotes, decisions and reminders."""

from datetime import UTC, date, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bookings.rules.deadlines import (
    decision_times,
    has_lapsed,
    hold_lapses_at,
    quote_lapses_at,
    reminder_days,
)

instants = st.datetimes(datetime(2020, 1, 1), datetime(2030, 1, 1), timezones=st.just(UTC))  # noqa: DTZ001


def test_a_hold_lapses_after_two_days() -> None:
    held_at = datetime(2026, 3, 2, 9, 30, tzinfo=UTC)
    assert hold_lapses_at(held_at) == datetime(2026, 3, 4, 9, 30, tzinfo=UTC)


def test_a_hold_never_outlives_the_start_of_the_trip() -> None:
    held_at = datetime(2026, 5, 15, 20, tzinfo=UTC)
    start = datetime(2026, 5, 16, 4, tzinfo=UTC)
    assert hold_lapses_at(held_at, trip_starts_at=start) == start


def test_a_quote_holds_to_the_end_of_a_local_day() -> None:
    # late on 1 March in Dublin it is winter time; the seventh day after is 8 March
    sent = datetime(2026, 3, 1, 23, 30, tzinfo=UTC)
    assert quote_lapses_at(sent, 7, "Europe/Dublin") == datetime(2026, 3, 9, 0, tzinfo=UTC)
    # over the change of the clocks on 29 March the local midnight is an hour earlier in UTC
    assert quote_lapses_at(sent, 28, "Europe/Dublin") == datetime(2026, 3, 29, 23, tzinfo=UTC)


def test_lapsed_begins_at_the_instant_itself() -> None:
    at = datetime(2026, 3, 4, 9, tzinfo=UTC)
    assert has_lapsed(at, at)
    assert not has_lapsed(at, at - timedelta(microseconds=1))


def test_decisions_fall_before_leaving_in_order() -> None:
    leave = datetime(2026, 5, 16, 4, tzinfo=UTC)
    assert [(leave - t).total_seconds() / 3600 for t in decision_times(leave)] == [72, 48, 24, 2]


def test_a_late_booking_gets_the_reminders_still_ahead() -> None:
    trip = date(2026, 5, 16)
    assert reminder_days(trip, date(2026, 3, 1)) == (
        date(2026, 5, 2),
        date(2026, 5, 9),
        date(2026, 5, 13),
    )
    assert reminder_days(trip, date(2026, 5, 9)) == (date(2026, 5, 13),)


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: hold_lapses_at(datetime(2026, 3, 2, tzinfo=UTC), 0), "hold of 0 hours"),
        (lambda: hold_lapses_at(datetime(2026, 3, 2)), "no zone"),  # noqa: DTZ001
        (lambda: quote_lapses_at(datetime(2026, 3, 2, tzinfo=UTC), 0, "UTC"), "Valid for 0"),
        (lambda: quote_lapses_at(datetime(2026, 3, 2, tzinfo=UTC), 7, "Mars/Base"), "not known"),
        (lambda: decision_times(datetime(2026, 3, 2, tzinfo=UTC), [0]), "before leaving"),
        (lambda: reminder_days(date(2026, 3, 2), date(2026, 3, 1), [-1]), "too late"),
    ],
)
def test_what_makes_no_deadline_is_refused(call, words: str) -> None:  # type: ignore[no-untyped-def]
    with pytest.raises(ValueError, match=words):
        call()


@given(instants, st.integers(1, 60), st.sampled_from(["Europe/Dublin", "Pacific/Auckland", "UTC"]))
def test_a_quote_is_valid_for_its_days_and_less_than_one_more(
    sent: datetime, days: int, zone: str
) -> None:
    span = quote_lapses_at(sent, days, zone) - sent
    hour = timedelta(hours=1)  # a change of the clocks on the way
    assert timedelta(days=days) - hour <= span <= timedelta(days=days + 1) + hour
