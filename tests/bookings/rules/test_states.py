"""The moves of trips, bookings, enquiries and quotes; every other is refused with a sentence."""

from itertools import product

import pytest

from bookings.rules.states import (
    BookingState,
    EnquiryState,
    QuoteState,
    TripState,
    calendar_status,
    checked_booking_move,
    checked_enquiry_move,
    checked_quote_move,
    checked_trip_move,
)

CASES = [
    (
        checked_trip_move,
        TripState,
        {
            "tentative confirmed",
            "tentative cancelled",
            "confirmed tentative",
            "confirmed fished",
            "confirmed cancelled",
        },
    ),
    (
        checked_booking_move,
        BookingState,
        {"tentative confirmed", "tentative cancelled", "confirmed cancelled"},
    ),
    (checked_enquiry_move, EnquiryState, {"open closed", "closed open"}),
    (
        checked_quote_move,
        QuoteState,
        {"draft sent", "draft lapsed", "sent accepted", "sent lapsed"},
    ),
]


@pytest.mark.parametrize(("check", "states", "allowed"), CASES)
def test_exactly_these_moves_are_allowed(check, states, allowed) -> None:  # type: ignore[no-untyped-def]
    for before, after in product(states, states):
        if f"{before} {after}" in allowed:
            assert check(before, after) is after
            continue
        with pytest.raises(ValueError, match=rf"is (already )?{before}.*\.$"):
            check(before, after)


def test_the_refusal_says_what_can_be_done() -> None:
    with pytest.raises(ValueError, match="can only become cancelled or confirmed"):
        checked_trip_move(TripState.TENTATIVE, TripState.FISHED)
    with pytest.raises(ValueError, match="final; write a new quote"):
        checked_quote_move(QuoteState.LAPSED, QuoteState.SENT)
    with pytest.raises(ValueError, match="already cancelled"):
        checked_booking_move(BookingState.CANCELLED, BookingState.CANCELLED)


def test_the_calendar_knows_three_words() -> None:
    # RFC 5545 section 3.8.1.11: the STATUS values of a VEVENT
    assert {calendar_status(state) for state in TripState} == {
        "TENTATIVE",
        "CONFIRMED",
        "CANCELLED",
    }
    assert calendar_status(TripState.FISHED) == "CONFIRMED"
