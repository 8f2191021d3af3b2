"""Neither a hold nor a price outlives the trip that it is for, by whatever way somebody comes."""

from __future__ import annotations

import datetime
from collections.abc import Iterator
from typing import Any

import pytest
import time_machine
from django.core.exceptions import ValidationError
from django.test import Client as Browser
from django.urls import reverse

from bookings.actions.party_links import make_party_link
from bookings.actions.quotes import accept_quote, draft_quote, lapse_quotes, send_quote
from bookings.actions.trips import (
    change_trip,
    confirm_booking,
    hold_places,
    release_lapsed_holds,
)
from bookings.actions.waiting import join_waiting_list
from bookings.models import Booking, MoneyEntry, Quote, Trip
from bookings.queries.quotes import open_quotes
from tests.bookings.reading import problems
from tests.factories import NOON, PartyFactory, TripFactory
from tests.factories_bookings import held, quoted, sent
from tests.visit import Visitor

HOUR = datetime.timedelta(hours=1)
BEGUN = "This trip has begun: nothing can be booked on it any more."

pytestmark = pytest.mark.usefixtures("business")


def soon(hours: float = 20) -> dict[str, datetime.datetime]:
    """A trip that begins so many hours after noon and lasts eleven."""
    start = NOON + hours * HOUR
    return {"starts_at": start, "ends_at": start + 11 * HOUR}


def forgotten(quote: Quote) -> Quote:
    """A price and its hold as they were written before: beyond the end of the trip."""
    late = NOON + 90 * HOUR
    Quote.objects.filter(pk=quote.pk).update(valid_until=late)
    Booking.objects.filter(pk=quote.booking_id).update(hold_until=late)
    return Quote.objects.get(pk=quote.pk)


@pytest.fixture
def after_the_trip() -> Iterator[datetime.datetime]:
    """30 hours after it ended."""
    at = NOON + 61 * HOUR
    with time_machine.travel(at, tick=False):
        yield at


@pytest.mark.parametrize(
    ("hours", "asked", "ends"),
    [(20, None, 20), (60, None, 48), (20, 72, 20), (60, 24, 24)],
)
def test_a_hold_ends_in_48_hours_or_when_asked_but_never_after_the_start(
    hours: int, asked: int | None, ends: int
) -> None:
    booking = hold_places(
        party=PartyFactory(),
        trip=TripFactory(**soon(hours)),
        heads=2,
        hold_until=NOON + asked * HOUR if asked else None,
        at=NOON,
    )
    assert booking.hold_until == NOON + ends * HOUR


def test_a_price_stands_to_the_end_of_a_local_day_but_never_after_the_start() -> None:
    far = quoted()
    # five days after 1 June, midnight in Dublin in summer time
    assert far.valid_until == datetime.datetime(2026, 6, 6, 23, tzinfo=datetime.UTC)
    assert far.stands_until == datetime.datetime(2026, 6, 6, 22, 59, tzinfo=datetime.UTC)
    near = quoted(**soon())
    assert near.valid_until == near.booking.trip.starts_at


def test_a_trip_that_moves_forward_takes_its_holds_and_prices_along() -> None:
    quote = sent(**soon(60))
    trip = quote.booking.trip
    change_trip(
        trip=trip, meeting_place=trip.meeting_place, places=trip.places, at=NOON, **soon(10)
    )
    quote = Quote.objects.get(pk=quote.pk)
    assert quote.valid_until == quote.booking.hold_until == NOON + 10 * HOUR


@pytest.mark.parametrize(
    "late", [lambda q: q.booking.trip.starts_at, lambda q: q.booking.trip.ends_at + 30 * HOUR]
)
def test_a_yes_to_a_trip_that_has_begun_is_refused_and_bills_nothing(late: Any) -> None:
    quote = forgotten(sent(**soon()))
    with pytest.raises(ValidationError, match=BEGUN):
        accept_quote(quote=quote, at=late(quote))
    quote.refresh_from_db()
    assert (quote.status, quote.booking.status) == ("sent", "tentative")
    assert not MoneyEntry.objects.exists()


def test_nothing_is_held_offered_sent_or_waited_for_on_a_trip_that_has_begun() -> None:
    draft = quoted(**soon())
    trip: Trip = draft.booking.trip
    late, other = trip.starts_at, PartyFactory(offer=trip.offer)
    for act in (
        lambda: hold_places(party=other, trip=trip, heads=1, at=late),
        lambda: confirm_booking(booking=draft.booking, at=late),
        lambda: draft_quote(
            party=draft.party, offer=trip.offer, heads=2, booking=draft.booking, at=late
        ),
        lambda: send_quote(quote=draft, at=late),
        lambda: join_waiting_list(party=other, trip=trip, heads=1, at=late),
    ):
        with pytest.raises(ValidationError, match=BEGUN):
            act()
    assert Booking.objects.get().status == "tentative"


def test_the_worker_ends_what_outlived_its_trip_in_old_books() -> None:
    quote = forgotten(sent(**soon()))
    alone = held(**soon())
    Booking.objects.filter(pk=alone.pk).update(hold_until=NOON + 90 * HOUR)
    start = NOON + 20 * HOUR
    assert not open_quotes(at=start).exists()
    assert lapse_quotes(at=start - HOUR) == release_lapsed_holds(at=start - HOUR) == 0
    assert lapse_quotes(at=start) == 1
    assert release_lapsed_holds(at=start) == 1
    quote.refresh_from_db()
    assert quote.status == "lapsed"
    assert set(Booking.objects.values_list("status", flat=True)) == {"cancelled"}


def test_the_guide_s_pages_refuse_a_trip_that_has_begun(
    desk: Browser, after_the_trip: datetime.datetime
) -> None:
    quote = forgotten(sent(**soon()))
    visitor = Visitor(desk)
    visitor.go(reverse("quote", args=[quote.pk]))
    assert visitor.send("They said yes").told == BEGUN
    visitor.go(reverse("trip_hold", args=[quote.booking.trip_id]))
    party = PartyFactory(offer=quote.offer)
    page = visitor.send("heads", party=str(party.pk), heads="1")
    assert (page.status, BEGUN in page.problems) == (422, True)
    assert not MoneyEntry.objects.exists()


@pytest.mark.parametrize(
    ("language", "sentence", "ran_out"),
    [
        ("en", "This day has begun: it can no longer be booked.", "ran out on"),
        ("de", "Dieser Tag hat begonnen: Er kann nicht mehr gebucht werden.", "abgelaufen"),
    ],
)
def test_the_client_s_page_refuses_a_trip_that_has_begun(
    client: Browser,
    after_the_trip: datetime.datetime,
    language: str,
    sentence: str,
    ran_out: str,
) -> None:
    quote = forgotten(sent(**soon()))
    quote.party.client.language = language
    quote.party.client.save()
    own = f"/my/{make_party_link(party=quote.party)}/"
    page = Visitor(client).go(own)
    assert ran_out in page.text
    assert not any("yes" in form.action for form in page.forms)
    # a page that was opened before the trip began still has its button
    answer = client.post(f"{own}yes/{quote.pk}/", {"read": "on"})
    assert answer.status_code == 422
    assert sentence in problems(answer.content.decode())
    assert not MoneyEntry.objects.exists()
