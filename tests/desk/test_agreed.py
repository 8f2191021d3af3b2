"""A price agreed while a paper is missing: the yes stands, the day waits, the guide sees why."""

from __future__ import annotations

import datetime
from typing import Any

import pytest
from django.test import Client as Browser
from django.utils import timezone

from bookings.actions.party_links import make_party_link
from bookings.actions.quotes import accept_quote
from bookings.models import Message, MessageRule, MoneyEntry, Quote, Trip
from guiding.days.models import DayPlan
from guiding.safety.models import HeldPaper
from tests.bookings.reading import told
from tests.desk.calendars import calendar_part
from tests.factories_bookings import sent
from tests.factories_days import DayPlanFactory
from tests.factories_safety import HeldPaperFactory, PaperKindFactory

DAY = datetime.timedelta(days=1)
pytestmark = pytest.mark.usefixtures("business")


@pytest.fixture
def quote() -> Quote:
    """A price out for a planned day in sixty days."""
    now = timezone.now()
    quote = sent(at=now, starts_at=now + 60 * DAY, ends_at=now + 60.4 * DAY)
    DayPlanFactory(
        trip=quote.booking.trip,  # type: ignore[union-attr]
        session_start=now + 60.1 * DAY,
        session_end=now + 60.3 * DAY,
    )
    return quote


@pytest.fixture
def paper() -> HeldPaper:
    """An insurance that ends thirty days before the day."""
    on = timezone.localdate()
    return HeldPaperFactory(
        kind=PaperKindFactory(name="Public liability insurance"),
        number="DEMO-7",
        valid_from=on - 300 * DAY,
        valid_until=on + 30 * DAY,
    )


def yes(client: Browser, quote: Quote) -> str:
    """The client says yes on their page; the page they then see."""
    address = f"/my/{make_party_link(party=quote.party)}/"
    answer = client.post(f"{address}yes/{quote.pk}/", {"read": "on"}, follow=True)
    assert answer.status_code == 200
    return answer.content.decode()


def trip_of(quote: Quote) -> Trip:
    return Trip.objects.get(bookings__quotes=quote)


def test_the_yes_is_kept_and_the_day_waits_for_the_paper(
    client: Browser, desk: Browser, quote: Quote, paper: HeldPaper
) -> None:
    page = yes(client, quote)
    quote.refresh_from_db()
    booking = quote.booking
    assert booking is not None
    assert (quote.status, booking.status, booking.price) == ("accepted", "confirmed", quote.total)
    assert MoneyEntry.objects.get().amount == quote.deposit, "the deposit is due"
    assert trip_of(quote).status == "tentative"
    assert "then we confirm the day" in told(page)
    assert "The day is yours" not in told(page)

    why = "Public liability insurance for the business: DEMO-7 held until"
    for address in ("/", f"/trips/{booking.trip_id}/"):
        assert why in desk.get(address).content.decode(), address
    refused = desk.post(f"/trips/{booking.trip_id}/confirm/", follow=True).content.decode()
    assert why in told(refused)

    paper.valid_until = timezone.localdate() + 90 * DAY
    paper.save()
    assert "nothing stops it any more" in desk.get("/").content.decode()
    desk.post(f"/trips/{booking.trip_id}/confirm/")
    assert trip_of(quote).status == "confirmed"
    assert "Agreed, not confirmed" not in desk.get("/").content.decode()


@pytest.mark.django_db(transaction=True)
def test_with_every_paper_in_date_the_day_is_confirmed_and_calendars_hear_of_it(
    client: Browser, quote: Quote, paper: HeldPaper
) -> None:
    paper.valid_until = timezone.localdate() + 90 * DAY
    paper.save()
    quote.party.client.email = "maeve@example.org"
    quote.party.client.save()
    page = yes(client, quote)
    assert "The day is yours" in told(page)
    assert trip_of(quote).status == "confirmed"
    message = Message.objects.get()
    assert (message.kind, message.to_mail) == ("confirmation", "maeve@example.org")
    assert b"METHOD:REQUEST" in calendar_part(bytes(message.mail))


@pytest.mark.django_db(transaction=True)
def test_calendars_stay_as_they_are_while_the_day_is_stopped_or_the_guide_tells_by_hand(
    client: Browser, quote: Quote, paper: HeldPaper
) -> None:
    quote.party.client.email = "maeve@example.org"
    quote.party.client.save()
    yes(client, quote)
    assert trip_of(quote).status == "tentative"
    assert not Message.objects.exists()
    MessageRule.objects.create(kind="confirmation", automatic=False)
    HeldPaper.objects.update(valid_until=timezone.localdate() + 90 * DAY)
    now = timezone.now()
    other = sent(at=now, starts_at=now + 61 * DAY, ends_at=now + 61.4 * DAY)
    accept_quote(quote=other, at=now)
    assert trip_of(other).status == "confirmed"
    assert not Message.objects.exists()


@pytest.mark.django_db(transaction=True)
def test_a_calendar_that_cannot_be_told_takes_no_yes_back(
    client: Browser, quote: Quote, settings: Any
) -> None:
    settings.BOOKINGS_AGREED = "tests.desk.test_agreed.broken"
    yes(client, quote)
    quote.refresh_from_db()
    assert quote.status == "accepted"


def broken(*, trip_pk: int, at: datetime.datetime) -> None:
    raise RuntimeError(f"The calendar of trip {trip_pk} cannot be told at {at}.")


def test_without_a_plug_nothing_stops_a_day(quote: Quote, paper: HeldPaper, settings: Any) -> None:
    settings.BOOKINGS_TRIP_STOPS = settings.BOOKINGS_AGREED = ""
    accept_quote(quote=quote)
    assert trip_of(quote).status == "confirmed"


def test_the_guide_who_notes_a_yes_is_told_what_stops_the_day(
    desk: Browser, quote: Quote, paper: HeldPaper
) -> None:
    page = desk.post(f"/money/quotes/{quote.pk}/accepted/", follow=True).content.decode()
    assert "The trip itself is not confirmed yet. Public liability insurance" in told(page)
    assert DayPlan.objects.get().trip.status == "tentative"
