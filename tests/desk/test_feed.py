"""The private calendar: who sees what, what it costs, and how it ends."""

from __future__ import annotations

import datetime
import shutil
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

import icalendar
import pytest
import vobject
from django.contrib.auth.models import User
from django.test import Client

from bookings.actions.invites import make_feed_link
from bookings.models import Booking, FeedLink, Trip, TripGuide
from guiding.calendars.feed import feed_ics
from guiding.desk.sheets.feed import person_feed
from tests.desk.calendars import calendar_server
from tests.factories import UserFactory
from tests.season import NOON

pytestmark = pytest.mark.django_db


def _address(user: User) -> str:
    return f"/calendar/{make_feed_link(user=user)}.ics"


def _owner() -> User:
    return User.objects.get(is_superuser=True)


def _read(content: bytes) -> dict[str, icalendar.Event]:
    return {str(one["UID"]): one for one in icalendar.Calendar.from_ical(content.decode()).events}


def _category(event: icalendar.Event) -> str:
    return str(event["CATEGORIES"].cats[0])


def test_the_guide_sees_trips_holds_prep_services_and_permits(season: Any, client: Client) -> None:
    trip = Trip.objects.filter(starts_at__gt=NOON, status="confirmed").first()
    assert trip is not None
    Booking.objects.filter(trip=trip).update(
        status="tentative", hold_until=NOON + datetime.timedelta(days=1)
    )
    answer = client.get(_address(_owner()))
    assert answer.status_code == 200
    assert answer["Content-Type"] == "text/calendar; charset=utf-8"
    assert answer["Cache-Control"] == "private, no-cache"
    events = _read(answer.content)
    assert {"trip", "hold", "prep", "service", "permit"} <= {_category(e) for e in events.values()}
    entry = next(one for uid, one in events.items() if uid.startswith(str(trip.uid)))
    assert entry.decoded("dtstart").astimezone(datetime.UTC) == trip.starts_at
    second = vobject.readOne(answer.content.decode())
    assert len(second.vevent_list) == len(events)
    assert "METHOD" not in answer.content.decode()


def test_a_helper_sees_the_trips_they_guide_and_no_names(season: Any, client: Client) -> None:
    helper = UserFactory(first_name="Fionn")
    address = _address(helper)
    assert _read(client.get(address).content) == {}
    trip = Trip.objects.filter(starts_at__gt=NOON, status="confirmed").first()
    assert trip is not None
    TripGuide.objects.create(trip=trip, user=helper)
    content = client.get(address).content
    assert {_category(one) for one in _read(content).values()} == {"trip", "prep"}
    for booking in Booking.objects.filter(trip=trip):
        assert booking.party.client.family_name not in content.decode()


def test_an_address_is_a_secret_and_can_be_ended(season: Any, client: Client) -> None:
    first = _address(_owner())
    assert FeedLink.objects.get().token_hash not in first
    assert client.get("/calendar/wrong.ics").status_code == 404
    second = _address(_owner())
    assert client.get(first).status_code == 404, "a new address ends the one before"
    assert client.get(second).status_code == 200
    User.objects.update(is_active=False)
    assert client.get(second).status_code == 404


def test_what_has_not_changed_is_not_sent_again(season: Any, client: Client) -> None:
    address = _address(_owner())
    first = client.get(address)
    again = client.get(address, headers={"If-None-Match": first["ETag"]})
    assert (again.status_code, again.content) == (304, b"")
    Trip.objects.filter(starts_at__gt=NOON).update(meeting_place="The other slip")
    third = client.get(address, headers={"If-None-Match": first["ETag"]})
    assert third.status_code == 200
    assert b"The other slip" in third.content


def test_more_trips_ask_no_more_questions(
    season: Any, django_assert_max_num_queries: Any, django_assert_num_queries: Any
) -> None:
    from bookings.models import Business
    from tests.factories import TripFactory

    owner, business = _owner(), Business.objects.get()
    with django_assert_max_num_queries(40) as few:
        person_feed(owner, business=business, at=NOON)
    for n in range(40):
        start = NOON + datetime.timedelta(days=n + 1)
        TripFactory(starts_at=start, ends_at=start + datetime.timedelta(hours=8))
    with django_assert_num_queries(len(few)):
        person_feed(owner, business=business, at=NOON)


def test_a_calendar_server_takes_every_entry_at_its_local_time(season: Any, tmp_path: Path) -> None:
    from bookings.models import Business

    feed = person_feed(_owner(), business=Business.objects.get(), at=NOON)
    zone = ZoneInfo("Europe/Dublin")
    wanted = {one.uid: one.start.astimezone(zone) for one in feed.events if not one.all_day}
    folder = tmp_path / "server"
    with calendar_server(folder) as calendar:
        whole = icalendar.Calendar.from_ical(feed_ics(feed).decode())
        for event in whole.events:
            one = icalendar.Calendar()
            one.add("prodid", "-//test//EN")
            one.add("version", "2.0")
            for zone_part in whole.timezones:
                one.add_component(zone_part)
            one.add_component(event)
            calendar.save_event(one.to_ical().decode())
        read = {
            str(one.icalendar_component["UID"]): one.icalendar_component.decoded("dtstart")
            for one in calendar.events()
        }
    shutil.rmtree(folder)
    assert set(read) == {one.uid for one in feed.events}
    assert wanted
    for uid, start in wanted.items():
        shown = read[uid].astimezone(zone)
        assert shown.strftime("%F %H:%M") == start.strftime("%F %H:%M")


def test_the_address_is_shown_once(season_desk: Client) -> None:
    owner = _owner()
    page = season_desk.post(f"/setup/calendars/{owner.pk}/new/", follow=True).content.decode()
    assert "/calendar/" in page
    assert "/calendar/" not in season_desk.get("/setup/calendars/").content.decode()
    season_desk.post(f"/setup/calendars/{owner.pk}/end/")
    assert not FeedLink.objects.filter(revoked_at=None).exists()
