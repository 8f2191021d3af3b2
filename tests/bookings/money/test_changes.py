"""Another size, another day: what is shown before is what is done after."""

from __future__ import annotations

import datetime
from decimal import Decimal

import pytest
from django.core.exceptions import ValidationError
from django.utils import timezone

from bookings.actions.changes import change_heads, move_booking
from bookings.actions.money.invoices import invoice_balance
from bookings.actions.money.payments import record_payment
from bookings.actions.quotes import draft_quote
from bookings.actions.trips import cancel_booking, hold_places
from bookings.actions.waiting import join_waiting_list, leave_waiting_list, place_waiting
from bookings.models import Booking, Business, Offer, Settlement
from bookings.queries.books import broken_money
from bookings.queries.money import booking_account
from bookings.sheets.accounts import accounts_of
from bookings.sheets.changes import date_change, heads_change
from tests.factories import NOON, OfferFactory, ParticipantFactory, PartyFactory, TripFactory
from tests.factories_bookings import agreed, held, sent

pytestmark = pytest.mark.usefixtures("business")
DAY = datetime.timedelta(days=1)
TODAY = datetime.date(2026, 6, 1)
TRIP = NOON + 60 * DAY


def booked(heads: int = 3, paid: str = "0", **offer: object) -> Booking:
    """Three at 290 on 31 July, in an offer that takes four."""
    found = OfferFactory(**offer)
    booking = agreed(heads=heads, offer=found, starts_at=TRIP, ends_at=TRIP + DAY / 2)
    if Decimal(paid):
        record_payment(party=booking.party, amount=Decimal(paid), moved_on=TODAY, at=NOON)
    return Booking.objects.get(pk=booking.pk)


def left(booking: Booking) -> Decimal:
    booking = Booking.objects.get(pk=booking.pk)
    (account,) = accounts_of([booking], business=Business.objects.get(), on=TODAY)
    return account.left - account.over


def shown(booking: Booking, heads: int, on: datetime.date = TODAY) -> tuple[Decimal, Decimal]:
    change = heads_change(booking, heads=heads, children=0, on=on, business=Business.objects.get())
    return change.new_price, change.charge


def test_one_more_takes_a_place_and_costs_one_more() -> None:
    booking = booked()
    assert shown(booking, 4) == (1160, 0)
    booking = change_heads(booking=booking, heads=4, at=NOON)
    assert (booking.price, booking.deposit) == (1160, 348)
    booking.trip.refresh_from_db()
    assert booking.trip.places_taken == 4
    booking.party.refresh_from_db()
    assert booking.party.heads == 4
    assert invoice_balance(booking=booking, at=NOON).amount == 1160 - 261
    assert broken_money() == []


def test_five_do_not_fit() -> None:
    booking = booked()
    with pytest.raises(ValidationError, match="5 heads are too many"):
        change_heads(booking=booking, heads=5, at=NOON)
    Offer.objects.update(places=8)
    booking.trip.offer.refresh_from_db()
    with pytest.raises(ValidationError, match=r"Only 1 of 4 places"):
        change_heads(booking=booking, heads=5, at=NOON)
    assert Booking.objects.get().price == 870


@pytest.mark.parametrize(
    ("days_before", "price", "charge"),
    [(40, 580, 0), (20, 580, 0), (10, 667, 87), (3, 870, 290)],
)
def test_places_given_up_are_charged_by_the_ladder(
    days_before: int, price: int, charge: int
) -> None:
    booking = booked(paid="870")
    on = (TRIP - days_before * DAY).date()
    assert shown(booking, 2, on) == (price, charge)
    booking = change_heads(booking=booking, heads=2, at=TRIP - days_before * DAY)
    assert booking.price == price
    assert left(booking) == price - 870
    booking.trip.refresh_from_db()
    assert booking.trip.places_taken == 2
    assert broken_money() == []


def test_too_much_billed_is_credited() -> None:
    booking = booked(heads=4)
    invoice_balance(booking=booking, at=NOON)
    change_heads(booking=booking, heads=1, at=NOON)
    assert booking_account(booking).billed == 290
    assert broken_money() == []


def test_a_charge_stays_when_the_party_changes_again() -> None:
    booking = booked(paid="870")
    late = TRIP - 10 * DAY
    booking = change_heads(booking=booking, heads=2, at=late)
    booking = change_heads(booking=booking, heads=3, at=late + DAY)
    assert booking.price == 870 + 87
    assert broken_money() == []


def test_a_party_that_shrinks_to_nobody_is_a_cancellation() -> None:
    booking = booked()
    for heads in (0, -1):
        with pytest.raises(ValidationError, match="cancel the booking instead"):
            change_heads(booking=booking, heads=heads, at=NOON)
    ParticipantFactory(party=booking.party)
    ParticipantFactory(party=booking.party)
    with pytest.raises(ValidationError, match="2 people are named"):
        change_heads(booking=booking, heads=1, at=NOON)


def test_the_price_stays_that_of_the_offer_as_it_was() -> None:
    now = timezone.now()  # the history of a row is kept by the clock
    days = {"starts_at": now + 60 * DAY, "ends_at": now + 61 * DAY}
    offer = OfferFactory()
    booking = agreed(offer=offer, at=now + DAY, **days)
    offer.price = Decimal(500)
    offer.save()
    offer.history.filter(price=500).update(history_date=now + 2 * DAY)
    assert change_heads(booking=booking, heads=3, at=now + 3 * DAY).price == 870


def test_a_hold_changes_without_money_and_its_price_lapses() -> None:
    quote = sent(heads=2)
    booking = change_heads(booking=quote.booking, heads=3, at=NOON)
    quote.refresh_from_db()
    assert (booking.heads, quote.status) == (3, "lapsed")
    with pytest.raises(ValidationError, match="let the hold go"):
        change_heads(booking=booking, heads=0, at=NOON)


def test_another_day_in_good_time_takes_everything_along() -> None:
    booking = booked(paid="261")
    other = TripFactory(offer=booking.trip.offer, starts_at=TRIP + DAY, ends_at=TRIP + 2 * DAY)
    change = date_change(booking, other, by="client", on=TODAY, business=Business.objects.get())
    assert (change.price, change.outcome.moved, change.left) == (870, 261, 609)
    new = move_booking(booking=booking, trip=other, by="client", at=NOON)
    assert (new.price, new.deposit, new.status) == (870, 261, "confirmed")
    assert left(new) == 609
    assert booking_account(booking).open == 0
    settlement = Settlement.objects.get()
    assert (settlement.moved, settlement.moved_to) == (261, new)
    booking.trip.refresh_from_db()
    assert (booking.trip.places_taken, Booking.objects.get(pk=booking.pk).status) == (
        0,
        "cancelled",
    )
    assert broken_money() == []


def test_the_deposit_moves_once() -> None:
    booking = booked(paid="261")
    days = [
        TripFactory(
            offer=booking.trip.offer, starts_at=TRIP + n * DAY, ends_at=TRIP + (n + 1) * DAY
        )
        for n in (1, 2)
    ]
    new = move_booking(booking=booking, trip=days[0], by="client", at=TRIP - 20 * DAY)
    assert booking_account(new).paid == 261
    last = move_booking(booking=new, trip=days[1], by="client", at=TRIP - 19 * DAY)
    assert booking_account(last).paid == 0
    assert "because it was moved once before" in Settlement.objects.get(booking=new).rule
    assert broken_money() == []


def test_the_guides_move_costs_nothing_and_does_not_count() -> None:
    booking = booked(paid="870")
    days = [
        TripFactory(
            offer=booking.trip.offer, starts_at=TRIP + n * DAY, ends_at=TRIP + (n + 1) * DAY
        )
        for n in (1, 2)
    ]
    new = move_booking(booking=booking, trip=days[0], by="guide", at=TRIP - DAY)
    assert booking_account(new).paid == 870
    last = move_booking(booking=new, trip=days[1], by="client", at=TRIP - 20 * DAY)
    assert booking_account(last).paid == 870


def test_another_day_of_another_offer_costs_what_that_one_costs() -> None:
    booking = booked(paid="870")
    cheap = TripFactory(
        offer=OfferFactory(price=Decimal(100)), starts_at=TRIP + DAY, ends_at=TRIP + 2 * DAY
    )
    new = move_booking(booking=booking, trip=cheap, by="client", at=NOON)
    assert (new.price, left(new)) == (300, -570)
    assert broken_money() == []


def test_a_full_or_the_same_day_is_refused_and_nothing_moves() -> None:
    booking = booked(paid="261")
    full = TripFactory(offer=booking.trip.offer, places=2)
    with pytest.raises(ValidationError, match="Only 2 of 2 places"):
        move_booking(booking=booking, trip=full, by="client", at=NOON)
    with pytest.raises(ValidationError, match="the same day"):
        move_booking(booking=booking, trip=booking.trip, by="client", at=NOON)
    assert Booking.objects.get().status == "confirmed"
    cancel_booking(booking=booking, at=NOON)
    with pytest.raises(ValidationError, match="is cancelled"):
        move_booking(booking=booking, trip=full, by="client", at=NOON)


def test_a_hold_moves_too() -> None:
    booking = held()
    other = TripFactory(offer=booking.trip.offer)
    new = move_booking(booking=booking, trip=other, by="client", at=NOON)
    assert (new.status, new.hold_until) == ("tentative", booking.hold_until)
    booking.trip.refresh_from_db()
    assert booking.trip.places_taken == 0


def test_the_waiting_list_gives_a_place_only_when_there_is_one() -> None:
    offer = OfferFactory(shared=True)
    trip = TripFactory(offer=offer, places=2)
    first = PartyFactory(offer=offer)
    booking = hold_places(party=first, trip=trip, heads=2, at=NOON)
    party = PartyFactory(offer=offer)
    waiting = join_waiting_list(party=party, trip=trip, heads=2, at=NOON)
    with pytest.raises(ValidationError, match="on the list of this day already"):
        join_waiting_list(party=party, trip=trip, heads=1, at=NOON)
    with pytest.raises(ValidationError, match="never fit"):
        join_waiting_list(party=first, trip=trip, heads=3, at=NOON)
    with pytest.raises(ValidationError, match="All 2 places"):
        place_waiting(waiting=waiting, at=NOON)
    cancel_booking(booking=booking, at=NOON)
    assert place_waiting(waiting=waiting, at=NOON).heads == 2
    with pytest.raises(ValidationError, match="has a place"):
        leave_waiting_list(waiting=waiting, at=NOON)
    other = join_waiting_list(party=first, trip=trip, heads=1, at=NOON)
    leave_waiting_list(waiting=other, at=NOON)
    join_waiting_list(party=first, trip=trip, heads=1, at=NOON)


def test_a_closed_case_is_not_priced() -> None:
    party = PartyFactory(state="closed", closed_at=NOON)
    with pytest.raises(ValidationError, match="closed"):
        draft_quote(party=party, offer=party.offer, heads=1, at=NOON)
