"""Every paper of a trip that is called off or not yet confirmed says so; its invite does too."""

from __future__ import annotations

import json
from typing import Any

import icalendar
import pytest
from django.test import Client as Browser
from django.urls import reverse

from bookings.models import Booking, Business, Client, Message, Trip
from bookings.rules.states import TripState
from guiding.desk.actions.invites import tell_calendars
from guiding.desk.actions.telling import move_and_tell
from guiding.desk.sheets.feed import person_feed
from guiding.desk.sheets.files import make_trip_file, papers_of_trip, sheet_names
from guiding.desk.sheets.gather import TripFile, gather
from guiding.desk.sheets.prep import PREP_LABELS, prep_file, trip_prep
from tests.desk.calendars import calendar_part
from tests.factories import UserFactory
from tests.papers import reading
from tests.season import NOON

pytestmark = pytest.mark.once
BANDS = {"tentative": "NOT YET CONFIRMED", "cancelled": "CALLED OFF"}


def _next_trip() -> Trip:
    trip = Trip.objects.filter(starts_at__gt=NOON, status="confirmed", plan__isnull=False).first()
    assert trip is not None
    return trip


def _file(trip: Trip) -> TripFile:
    file = gather(trip.pk, business=Business.objects.get())
    assert file is not None
    return file


def _papers(file: TripFile, language: str = "") -> dict[str, bytes]:
    made = {
        name: make_trip_file(name, file, printed_at=NOON, language=language)
        for name in (*papers_of_trip(file), *sheet_names(file))
        if name.endswith(".pdf")
    }
    prep = trip_prep(file)
    made |= {
        name: prep_file(name, prep, printed_at=NOON, page_size="Letter")
        for name in PREP_LABELS
        if name.endswith(".pdf")
    }
    return made


def test_every_page_of_every_paper_of_the_trip_says_how_it_stands(
    season: Any, season_desk: Browser
) -> None:
    trip = _next_trip()
    for status, band in BANDS.items():
        Trip.objects.filter(pk=trip.pk).update(status=status)
        made = _papers(_file(trip))
        assert len(made) >= 10
        own = season_desk.post(reverse("trip_card_own", args=[trip.pk]))
        made["own card"] = own.content
        bare = {
            name: [page for page in reading.pages(data) if band not in page]
            for name, data in made.items()
        }
        assert {name: pages for name, pages in bare.items() if pages} == {}
    Trip.objects.filter(pk=trip.pk).update(status="confirmed")
    firm = " ".join(reading.text(data) for data in _papers(_file(trip)).values())
    assert not any(band in firm for band in BANDS.values())


def test_a_german_business_and_a_german_party_read_it_in_german(season: Any) -> None:
    trip = _next_trip()
    Business.objects.update(locale="de_DE")
    Trip.objects.filter(pk=trip.pk).update(status="cancelled")
    for name, data in _papers(_file(trip), language="de").items():
        assert all("ABGESAGT" in page for page in reading.pages(data)), name


def _summaries(messages: list[Message]) -> dict[str, str]:
    return {
        row.to_mail: str(
            icalendar.Calendar.from_ical(calendar_part(bytes(row.mail)).decode()).events[0][
                "SUMMARY"
            ]
        )
        for row in messages
        if b"BEGIN:VCALENDAR" in bytes(row.mail) or b"text/calendar" in bytes(row.mail)
    }


def test_the_invite_says_it_in_its_summary(season: Any) -> None:
    trip = _next_trip()
    Trip.objects.filter(pk=trip.pk).update(status="tentative")
    event = icalendar.Calendar.from_ical(
        make_trip_file("invite.ics", _file(trip), printed_at=NOON).decode()
    ).events[0]
    assert str(event["SUMMARY"]).startswith("NOT YET CONFIRMED: ")
    guide = UserFactory(is_superuser=True)
    feed = person_feed(guide, business=Business.objects.get(), at=NOON)
    assert any(one.summary.startswith("NOT YET CONFIRMED: ") for one in feed.events)
    Trip.objects.filter(pk=trip.pk).update(status="confirmed")
    booking = Booking.objects.filter(trip=trip, status="confirmed")[0]
    Client.objects.filter(pk=booking.party.client_id).update(language="de")
    tell_calendars(trip_pk=trip.pk, at=NOON)
    told = _summaries(list(Message.objects.filter(trip=trip)))
    assert told
    assert not any(":" in summary for summary in told.values()), json.dumps(told)
    Message.objects.filter(trip=trip).delete()
    move_and_tell(trip=_file(trip).trip, to=TripState.CANCELLED, reason="Swell.", at=NOON)
    off = _summaries(list(Message.objects.filter(trip=trip, kind="call_off")))
    assert off
    assert all(summary.startswith("ABGESAGT: ") for summary in off.values())
