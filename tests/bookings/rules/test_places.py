"""Places taken, held and left."""

from datetime import UTC, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bookings.rules.places import Claim, checked_claim, count_places
from bookings.rules.states import BookingState

NOW = datetime(2026, 3, 2, 9, tzinfo=UTC)
HELD = BookingState.TENTATIVE
FIRM = BookingState.CONFIRMED


def test_confirmed_held_and_left() -> None:
    claims = [
        Claim(2, FIRM),
        Claim(1, HELD, NOW + timedelta(hours=1)),
        Claim(3, BookingState.CANCELLED),
    ]
    count = count_places(6, claims, NOW)
    assert (count.confirmed, count.held, count.left) == (2, 1, 3)


def test_a_hold_gives_its_places_back_at_the_instant_it_lapses() -> None:
    claims = [Claim(4, HELD, NOW)]
    assert count_places(4, claims, NOW - timedelta(seconds=1)).left == 0
    assert count_places(4, claims, NOW).left == 4


def test_a_confirmed_booking_never_lapses() -> None:
    assert count_places(4, [Claim(4, FIRM, NOW - timedelta(days=9))], NOW).left == 0


def test_the_last_place_goes_to_one() -> None:
    claims = [Claim(3, FIRM)]
    first = checked_claim(4, claims, Claim(1, HELD), NOW)
    assert first.left == 0
    with pytest.raises(ValueError, match="0 of 4 are left"):
        checked_claim(4, [*claims, Claim(1, HELD)], Claim(1, HELD), NOW)


def test_a_private_day_takes_the_whole_trip_or_nothing() -> None:
    assert checked_claim(6, [], Claim(2, HELD, whole_trip=True), NOW).left == 0
    with pytest.raises(ValueError, match="1 of its places are taken"):
        checked_claim(6, [Claim(1, FIRM)], Claim(2, HELD, whole_trip=True), NOW)
    with pytest.raises(ValueError, match="0 of 6 are left"):
        checked_claim(6, [Claim(2, FIRM, whole_trip=True)], Claim(1, HELD), NOW)


@pytest.mark.parametrize("heads", [0, -1])
def test_nobody_needs_no_place(heads: int) -> None:
    with pytest.raises(ValueError, match="needs no place"):
        checked_claim(6, [], Claim(heads, HELD), NOW)


def test_a_naive_instant_is_refused() -> None:
    with pytest.raises(ValueError, match="no zone"):
        count_places(4, [Claim(1, HELD, NOW)], NOW.replace(tzinfo=None))


@given(
    st.integers(0, 8),
    st.lists(
        st.builds(
            Claim,
            st.integers(1, 5),
            st.sampled_from(BookingState),
            st.none() | st.datetimes(timezones=st.just(UTC)),
            st.booleans(),
        ),
        max_size=12,
    ),
)
def test_claims_taken_one_by_one_never_oversell(places: int, wishes: list[Claim]) -> None:
    accepted: list[Claim] = []
    for wish in wishes:
        try:
            checked_claim(places, accepted, wish, NOW)
        except ValueError:
            continue
        accepted.append(wish)
    count = count_places(places, accepted, NOW)
    assert count.confirmed + count.held + count.left == places
