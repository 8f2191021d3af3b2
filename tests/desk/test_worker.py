"""What runs out runs out by itself: the worker gives the places of old holds back."""

from __future__ import annotations

import datetime

import pytest
from django.core.management import call_command
from django.utils import timezone

from bookings.actions.quotes import draft_quote, send_quote
from bookings.actions.trips import hold_places
from bookings.models import Booking, Quote
from tests.factories import OfferFactory, PartyFactory, TripFactory

HOUR = datetime.timedelta(hours=1)


@pytest.mark.usefixtures("business")
@pytest.mark.django_db(transaction=True)  # the worker takes a connection of its own each round
def test_holds_and_prices_run_out_by_themselves(capsys: pytest.CaptureFixture[str]) -> None:
    now = timezone.now()
    offer = OfferFactory(shared=True, places=6)
    trip = TripFactory(offer=offer, places=6, starts_at=now + 900 * HOUR, ends_at=now + 910 * HOUR)

    def asked(hours: int, until: int) -> Quote:
        """A price sent so many hours ago with a hold that lasts so many from then."""
        at, party = now - hours * HOUR, PartyFactory(offer=offer, heads=1)
        ends = at + until * HOUR
        held = hold_places(party=party, trip=trip, heads=1, hold_until=ends, at=at)
        quote = draft_quote(party=party, offer=offer, heads=1, booking=held, at=at)
        return send_quote(quote=quote, at=at)

    fresh, ended, old = asked(1, 48), asked(50, 48), asked(24 * 30, 24 * 60)
    hold_places(party=PartyFactory(offer=offer), trip=trip, heads=1, at=now - 60 * HOUR)
    assert (old.valid_until < now, ended.valid_until > now) == (True, True)

    call_command("worker", "--once")

    assert "ran out: 1 price notes, 2 holds without one" in capsys.readouterr().out
    states = {quote: Quote.objects.get(pk=quote.pk).status for quote in (fresh, ended, old)}
    assert states == {fresh: "sent", ended: "sent", old: "lapsed"}
    assert list(Booking.objects.filter(status="tentative")) == [fresh.booking]
    trip.refresh_from_db()
    assert trip.places_taken == 1
    call_command("worker", "--once")
    assert "ran out" not in capsys.readouterr().out
