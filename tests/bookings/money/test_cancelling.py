"""Cancelled bookings: what is kept, refunded and moved, by the ladder that was agreed."""

from __future__ import annotations

import datetime
from decimal import Decimal

import pytest
from django.core.exceptions import ValidationError

from bookings.actions.money.payments import record_payment, record_refund
from bookings.actions.money.settlements import choose
from bookings.actions.trips import cancel_booking, move_trip_state
from bookings.models import Booking, CancellationLadder, LadderStep, Settlement
from bookings.queries.books import broken_money
from bookings.queries.money import booking_account, on_account
from bookings.rules.states import TripState
from tests.factories import NOON, OfferFactory
from tests.factories_bookings import agreed, another

pytestmark = pytest.mark.usefixtures("business")
DAY = datetime.timedelta(days=1)
TODAY = datetime.date(2026, 6, 1)
TRIP = NOON + 60 * DAY


def paid_booking(amount: str = "580", **offer: object) -> Booking:
    """A party of two at 580, deposit 174, on 31 July, with so much paid."""
    trip = {"offer": OfferFactory(**offer)} if offer else {}
    booking = agreed(starts_at=TRIP, ends_at=TRIP + DAY / 2, **trip)
    if Decimal(amount):
        record_payment(party=booking.party, amount=Decimal(amount), moved_on=TODAY, at=NOON)
    return booking


@pytest.mark.parametrize(
    ("days_before", "paid", "kept", "theirs", "still_due"),
    [
        (30, "580", 0, 580, 0),  # the house's ladder: free until 30 days
        (29, "580", 0, 580, 0),  # then the deposit moves
        (13, "580", 174, 406, 0),  # then it is kept
        (13, "100", 100, 0, 74),
        (6, "580", 580, 0, 0),  # then the whole price is charged
        (6, "174", 174, 0, 406),
        (0, "0", 0, 0, 580),
    ],
)
def test_what_the_client_loses_by_the_day(
    days_before: int, paid: str, kept: int, theirs: int, still_due: int
) -> None:
    booking = paid_booking(paid)
    cancel_booking(booking=booking, by="client", at=TRIP - days_before * DAY)
    found = Settlement.objects.get()
    assert (found.kept, found.theirs, found.still_due) == (kept, theirs, still_due)
    assert found.days_before == days_before
    assert booking_account(booking).billed == kept + still_due
    assert broken_money() == []


def test_money_back_is_owed_until_it_was_sent() -> None:
    booking = paid_booking()
    cancel_booking(booking=booking, by="client", choice="refund", at=TRIP - 13 * DAY)
    found = Settlement.objects.get()
    assert (found.kept, found.refunded, found.moved) == (174, 406, 0)
    assert booking_account(booking).open == -406
    record_refund(
        party=booking.party,
        booking=booking,
        amount=Decimal(406),
        moved_on=TODAY,
        reason=found.rule,
        at=TRIP,
    )
    assert booking_account(booking).open == 0
    assert broken_money() == []


def test_a_deposit_that_moves_does_so_whatever_is_chosen_and_only_once() -> None:
    booking = paid_booking()
    cancel_booking(booking=booking, by="client", at=TRIP - 20 * DAY)
    found = choose(settlement=Settlement.objects.get(), choice="refund", at=TRIP)
    assert (found.refunded, found.moved) == (406, 174)
    assert on_account(booking.party) == 174
    second = another(booking, starts_at=TRIP + 30 * DAY, ends_at=TRIP + 31 * DAY, at=TRIP)
    assert booking_account(second).paid == 174
    with pytest.raises(ValidationError, match="chosen already"):
        choose(settlement=found, choice="move", at=TRIP)
    assert broken_money() == []


def test_the_guide_calls_off_and_everybody_chooses() -> None:
    shared = OfferFactory(shared=True)
    booking = agreed(offer=shared, starts_at=TRIP, ends_at=TRIP + DAY / 2)
    record_payment(party=booking.party, amount=Decimal(300), moved_on=TODAY, at=NOON)
    with pytest.raises(ValidationError, match="Say why"):
        move_trip_state(trip=booking.trip, to=TripState.CANCELLED, at=TRIP - DAY)
    move_trip_state(trip=booking.trip, to=TripState.CANCELLED, reason="gale", at=TRIP - DAY)
    booking.refresh_from_db()
    assert booking.status == "cancelled"
    assert booking.trip.places_taken == 0
    found = Settlement.objects.get()
    assert (found.by, found.kept, found.theirs, found.choice) == ("guide", 0, 300, "open")
    assert booking_account(booking).open == -300
    with pytest.raises(ValidationError, match="Choose money back or another date"):
        choose(settlement=found, choice="open", at=TRIP)
    choose(settlement=found, choice="move", at=TRIP)
    assert on_account(booking.party) == 300
    assert broken_money() == []


def test_a_ladder_of_ones_own_is_frozen_when_it_is_agreed() -> None:
    ladder = CancellationLadder.objects.create(name="Strict")
    for days, keep, base in ((21, 0, "price"), (0, 50, "deposit")):
        LadderStep.objects.create(ladder=ladder, days_before=days, keep_percent=keep, base=base)
    booking = paid_booking("174", ladder=ladder)
    ladder.steps.update(keep_percent=100, base="price")
    cancel_booking(booking=booking, by="client", at=TRIP - DAY)
    found = Settlement.objects.get()
    assert (found.kept, found.theirs) == (87, 87)
    assert "50 % of the deposit is kept" in found.rule


def test_a_place_filled_again_costs_the_deposit_where_the_ladder_says_so() -> None:
    booking = paid_booking()
    cancel_booking(booking=booking, by="client", refilled=True, at=TRIP - DAY)
    assert Settlement.objects.get().kept == 174


def test_a_hold_leaves_no_trace_in_the_books() -> None:
    from tests.factories_bookings import held

    booking = held()
    cancel_booking(booking=booking, by="client", at=NOON)
    assert not Settlement.objects.exists()
    with pytest.raises(ValidationError, match="already cancelled"):
        cancel_booking(booking=booking, at=NOON)
