"""States of a trip, a booking, an enquiry and a quote, and the moves between them.

Trip and booking speak the words of RFC 5545 (STATUS of a VEVENT), so that the calendar and the desk
say the same; 'fished' is a trip that has taken place.
"""

from collections.abc import Mapping
from enum import StrEnum
from typing import TypeVar


class TripState(StrEnum):
    """A day on sale."""

    TENTATIVE = "tentative"
    CONFIRMED = "confirmed"
    CANCELLED = "cancelled"
    FISHED = "fished"


class BookingState(StrEnum):
    """A party's place on a trip."""

    TENTATIVE = "tentative"
    CONFIRMED = "confirmed"
    CANCELLED = "cancelled"


class EnquiryState(StrEnum):
    """A question from somebody who may become a client."""

    OPEN = "open"
    CLOSED = "closed"


class QuoteState(StrEnum):
    """A price in writing."""

    DRAFT = "draft"
    SENT = "sent"
    ACCEPTED = "accepted"
    LAPSED = "lapsed"


TRIP_MOVES: Mapping[TripState, frozenset[TripState]] = {
    TripState.TENTATIVE: frozenset({TripState.CONFIRMED, TripState.CANCELLED}),
    # back to tentative when the party that made it worth going drops out and the day stays on sale
    TripState.CONFIRMED: frozenset(
        {TripState.TENTATIVE, TripState.FISHED, TripState.CANCELLED},
    ),
    TripState.CANCELLED: frozenset(),
    TripState.FISHED: frozenset(),
}
BOOKING_MOVES: Mapping[BookingState, frozenset[BookingState]] = {
    BookingState.TENTATIVE: frozenset({BookingState.CONFIRMED, BookingState.CANCELLED}),
    BookingState.CONFIRMED: frozenset({BookingState.CANCELLED}),
    BookingState.CANCELLED: frozenset(),
}
ENQUIRY_MOVES: Mapping[EnquiryState, frozenset[EnquiryState]] = {
    EnquiryState.OPEN: frozenset({EnquiryState.CLOSED}),
    EnquiryState.CLOSED: frozenset({EnquiryState.OPEN}),
}
QUOTE_MOVES: Mapping[QuoteState, frozenset[QuoteState]] = {
    QuoteState.DRAFT: frozenset({QuoteState.SENT, QuoteState.LAPSED}),
    QuoteState.SENT: frozenset({QuoteState.ACCEPTED, QuoteState.LAPSED}),
    QuoteState.ACCEPTED: frozenset(),
    QuoteState.LAPSED: frozenset(),
}

_State = TypeVar("_State", TripState, BookingState, EnquiryState, QuoteState)


def checked_trip_move(before: TripState, after: TripState) -> TripState:
    """The new state of a trip, or a ValueError with the moves there are. Source: RFC 5545."""
    return _checked("trip", before, after, TRIP_MOVES, "plan a new day instead")


def checked_booking_move(before: BookingState, after: BookingState) -> BookingState:
    """The new state of a booking, or a ValueError with the moves there are. Source: RFC 5545."""
    return _checked("booking", before, after, BOOKING_MOVES, "make a new booking instead")


def checked_enquiry_move(before: EnquiryState, after: EnquiryState) -> EnquiryState:
    """The new state of an enquiry, or a ValueError with the moves there are. House rule."""
    return _checked("enquiry", before, after, ENQUIRY_MOVES, "")


def checked_quote_move(before: QuoteState, after: QuoteState) -> QuoteState:
    """The new state of a quote, or a ValueError with the moves there are. House rule."""
    return _checked("quote", before, after, QUOTE_MOVES, "write a new quote instead")


def calendar_status(state: TripState) -> str:
    """The STATUS that a calendar shows for a trip: TENTATIVE, CONFIRMED or CANCELLED.

    A fished trip stays CONFIRMED in the calendar. Source: RFC 5545 section 3.8.1.11.
    """
    return "CONFIRMED" if state is TripState.FISHED else state.value.upper()


def _checked(
    noun: str,
    before: _State,
    after: _State,
    moves: Mapping[_State, frozenset[_State]],
    way_out: str,
) -> _State:
    if after in moves[before]:
        return after
    if after is before:
        raise ValueError(f"The {noun} is already {before}; nothing was changed.")
    article = "An" if noun[0] in "aeiou" else "A"
    onward = " or ".join(sorted(moves[before]))
    rest = f"it can only become {onward}" if onward else f"that state is final; {way_out}"
    raise ValueError(f"{article} {noun} that is {before} cannot become {after}: {rest}.")
