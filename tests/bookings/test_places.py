"""Places are never sold twice, whatever is done in whatever order."""

from __future__ import annotations

import datetime
from typing import Any

import pytest
from django.core.exceptions import ValidationError
from django.db import IntegrityError, connection, transaction
from django.test import Client as Browser
from hypothesis import settings
from hypothesis import strategies as st
from hypothesis.stateful import (
    RuleBasedStateMachine,
    invariant,
    precondition,
    rule,
    run_state_machine_as_test,
)

from bookings.actions.trips import (
    cancel_booking,
    change_trip,
    confirm_booking,
    hold_places,
    move_trip_state,
    release_lapsed_holds,
)
from bookings.models import Booking, Trip
from bookings.rules.places import Claim, count_places
from bookings.rules.states import BookingState, TripState
from tests.bookings.reading import problems
from tests.factories import (
    FAR_AHEAD,
    NOON,
    BusinessFactory,
    OfferFactory,
    PartyFactory,
    TripFactory,
)

HEADS = st.integers(1, 7)


class Places(RuleBasedStateMachine):
    """One trip, many parties, a clock that only goes on."""

    def __init__(self) -> None:
        super().__init__()
        self.undo = transaction.atomic()
        self.undo.__enter__()
        BusinessFactory()
        self.now = NOON
        self.trip = TripFactory(offer=OfferFactory(shared=True, places=10), places=8)

    def teardown(self) -> None:
        transaction.set_rollback(True)
        self.undo.__exit__(None, None, None)

    def bookings(self, *status: str) -> list[Booking]:
        return list(Booking.objects.filter(trip=self.trip, status__in=status))

    @rule(heads=HEADS, hours=st.integers(1, 72))
    def hold(self, heads: int, hours: int) -> None:
        self.trip.refresh_from_db()
        before = self.trip.places_left
        try:
            hold_places(
                party=PartyFactory(offer=None, heads=heads),
                trip=self.trip,
                heads=heads,
                at=self.now,
                hold_until=self.now + datetime.timedelta(hours=hours),
            )
        except ValidationError:
            assert heads > before or self.trip.status in {"cancelled", "fished"}

    @rule(data=st.data())
    @precondition(lambda self: self.bookings("tentative"))
    def confirm(self, data: Any) -> None:
        booking = data.draw(st.sampled_from(self.bookings("tentative")))
        try:
            confirm_booking(booking=booking, at=self.now)
        except ValidationError:
            assert Trip.objects.get().status in {"cancelled", "fished"}

    @rule(data=st.data())
    @precondition(lambda self: self.bookings("tentative", "confirmed"))
    def cancel(self, data: Any) -> None:
        booking = data.draw(st.sampled_from(self.bookings("tentative", "confirmed")))
        cancel_booking(booking=booking, at=self.now)

    @rule(data=st.data())
    @precondition(lambda self: self.bookings("cancelled"))
    def cancel_twice(self, data: Any) -> None:
        booking = data.draw(st.sampled_from(self.bookings("cancelled")))
        with pytest.raises(ValidationError):
            cancel_booking(booking=booking, at=self.now)

    @rule(hours=st.integers(0, 50))
    def time_passes(self, hours: int) -> None:
        self.now += datetime.timedelta(hours=hours)
        release_lapsed_holds(at=self.now)
        assert not Booking.objects.filter(status="tentative", hold_until__lte=self.now).exists()

    @rule(places=st.integers(1, 10))
    def more_or_fewer_places(self, places: int) -> None:
        self.trip.refresh_from_db()
        taken = self.trip.places_taken
        try:
            change_trip(
                trip=self.trip,
                starts_at=self.trip.starts_at,
                ends_at=self.trip.ends_at,
                meeting_place=self.trip.meeting_place,
                places=places,
                at=self.now,
            )
        except ValidationError:
            assert places < taken

    @invariant()
    def never_oversold(self) -> None:
        trip = Trip.objects.get(pk=self.trip.pk)
        live = Booking.objects.filter(trip=trip).exclude(status="cancelled")
        sold = sum(booking.heads for booking in live)
        assert sold == trip.places_taken <= trip.places
        # The rules count the same from the bookings alone, without the clock.
        claims = [Claim(each.heads, BookingState(each.status)) for each in live]
        assert count_places(trip.places, claims, self.now).left == trip.places_left


@pytest.mark.django_db
def test_places_are_never_sold_twice_whatever_is_done() -> None:
    run_state_machine_as_test(
        Places, settings=settings(max_examples=40, stateful_step_count=25, deadline=None)
    )


@pytest.mark.django_db
def test_the_database_itself_refuses_to_oversell() -> None:
    trip = TripFactory(places=2)
    with pytest.raises(IntegrityError), transaction.atomic():
        Trip.objects.filter(pk=trip.pk).update(places_taken=3)
    with pytest.raises(IntegrityError), transaction.atomic(), connection.cursor() as cursor:
        cursor.execute("UPDATE bookings_trip SET places_taken = -1 WHERE id = %s", [trip.pk])


def test_the_page_that_holds_places(desk: Browser) -> None:
    trip = TripFactory(places=2, offer=OfferFactory(shared=True), **FAR_AHEAD)
    party = PartyFactory(heads=2)
    page = desk.get(f"/trips/{trip.pk}/hold/?party={party.pk}&heads=2").content.decode()
    assert "2 of 2 places left" in page
    assert not Booking.objects.exists()
    answer = desk.post(f"/trips/{trip.pk}/hold/", {"party": party.pk, "heads": 2})
    assert answer.headers["Location"] == f"/parties/{party.pk}/"
    trip.refresh_from_db()
    assert trip.places_taken == 2


@pytest.mark.parametrize(
    ("typed", "sentence"),
    [
        ({}, "This field is required."),
        ({"heads": "0"}, "greater than or equal to 1"),
        ({"heads": "200"}, "less than or equal to 60"),
        ({"heads": "3"}, "Only 2 of 4 places are left, and 3 are asked for."),
        ({"heads": "1", "party": "999999"}, "This party is closed or gone."),
    ],
)
def test_a_wrong_hold_is_refused_with_a_sentence(
    desk: Browser, typed: dict[str, str], sentence: str
) -> None:
    offer = OfferFactory(shared=True)
    trip = TripFactory(places=4, offer=offer, **FAR_AHEAD)
    late = NOON.replace(year=2090)
    hold_places(party=PartyFactory(offer=offer), trip=trip, heads=2, hold_until=late)
    if typed:
        typed = {"party": str(PartyFactory(offer=offer).pk)} | typed
    answer = desk.post(f"/trips/{trip.pk}/hold/", typed)
    assert answer.status_code == 422
    assert sentence in problems(answer.content.decode())
    assert Booking.objects.count() == 1


@pytest.mark.parametrize("state", [TripState.CANCELLED])
def test_nothing_is_held_on_a_day_called_off(desk: Browser, state: TripState) -> None:
    trip = TripFactory(**FAR_AHEAD)
    move_trip_state(trip=trip, to=state, reason="gale")
    party = PartyFactory()
    answer = desk.post(f"/trips/{trip.pk}/hold/", {"party": party.pk, "heads": 1})
    assert "This trip is cancelled: nothing can be booked." in problems(answer.content.decode())
    closed = PartyFactory(state="closed", closed_at=NOON)
    answer = desk.post(f"/trips/{TripFactory().pk}/hold/", {"party": closed.pk, "heads": 1})
    assert "closed or gone" in problems(answer.content.decode())
    assert desk.post("/trips/999999/hold/", {}).status_code == 404
    assert not Booking.objects.exists()
