"""A watch is set when a day is confirmed, runs until everybody is home, and no paper runs ahead."""

from __future__ import annotations

import datetime
from typing import Any

import pytest
import time_machine
from django.test import Client as Browser

from bookings.models import Business, Trip
from guiding.days.models import DayPlan
from guiding.desk.sheets.files import make_trip_file
from guiding.desk.sheets.gather import gather
from guiding.safety.actions.watch import run_watch
from guiding.safety.models import Watch, WatchMessage
from tests.factories import NOON, BookingFactory, TripFactory
from tests.factories_days import DayPlanFactory
from tests.factories_safety import WatchFactory
from tests.papers.reading import text as words_of
from tests.visit import Visitor

CONTACT = "brid@marramhead.example"
HOUR = datetime.timedelta(hours=1)


def _utc(day: int, hour: int, minute: int = 0) -> datetime.datetime:
    return datetime.datetime(2026, 6, day, hour, minute, tzinfo=datetime.UTC)


@pytest.fixture
def plan(business: Any) -> DayPlan:
    """A tentative day from 05:00 to 16:15 in Dublin, with a party on it."""
    plan = DayPlanFactory(
        trip=TripFactory(places_taken=3), overdue_at=_utc(13, 17, 15), spot__name="North Strand"
    )
    BookingFactory(trip=plan.trip, heads=3)
    return plan


@pytest.fixture
def visitor(desk: Browser) -> Visitor:
    return Visitor(desk)


def _name_contact(visitor: Visitor) -> None:
    """As Setup takes it."""
    visitor.go("/setup/business/")
    page = visitor.send(
        "shore_contact_mail",
        shore_contact_name="Bríd Tern",
        shore_contact_mail=CONTACT,
        shore_contact_phone="+353209100101",
    )
    assert page.status == 200, page.problems


def _card(plan: DayPlan) -> str:
    file = gather(plan.trip_id, business=Business.objects.get(), at=NOON)
    assert file is not None
    return words_of(make_trip_file("card-sheet.pdf", file, printed_at=NOON))


def test_today_asks_for_the_contact_ashore_before_the_first_trip(
    visitor: Visitor, plan: DayPlan
) -> None:
    with time_machine.travel(_utc(5, 12), tick=False):
        assert "Nobody ashore waits for you" in visitor.go("/").text
        visitor.follow("Name a contact ashore")
        _name_contact(visitor)
        assert "Nobody ashore waits for you" not in visitor.go("/").text


def test_a_confirmed_day_has_its_watch_and_papers_name_who_was_told(
    visitor: Visitor, plan: DayPlan, mailoutbox: list[Any]
) -> None:
    with time_machine.travel(NOON, tick=False):
        _name_contact(visitor)
        assert "Bríd" not in _card(plan), "nobody was told yet"
        visitor.go(f"/trips/{plan.trip_id}/")
        visitor.send("Confirm the trip")
        watch = Watch.objects.get(trip=plan.trip)
        assert (watch.overdue_at, watch.contact_mail) == (_utc(13, 17, 15), CONTACT)
        assert "Bríd" not in _card(plan), "what waits in the desk was not told"
        run_watch(at=NOON)
    (mail,) = mailoutbox
    assert mail.to == [CONTACT]
    assert "You keep watch" in mail.subject
    assert "13 June, 18:15" in mail.subject
    assert not mail.attachments, "the card comes the evening before"
    assert "Bríd Tern" in _card(plan)
    WatchMessage.objects.update(to="somebody.else@example.org")
    assert "Bríd" not in _card(plan)


def test_called_off_while_they_are_out_the_watch_goes_on_until_they_are_home(
    visitor: Visitor, plan: DayPlan, mailoutbox: list[Any]
) -> None:
    Trip.objects.update(status="confirmed")
    WatchFactory(trip=plan.trip, overdue_at=plan.overdue_at)
    run_watch(at=_utc(12, 12))
    with time_machine.travel(_utc(13, 9), tick=False):
        visitor.go(f"/trips/{plan.trip_id}/")
        page = visitor.send("Call the day off", reason="Fog.")
        assert "The watch goes on until everybody is home." in page.told
        assert "Stand the watch down" not in visitor.go(f"/trips/{plan.trip_id}/watch/").text
        visitor.client.post(f"/trips/{plan.trip_id}/watch/stand-down/", {"reason": "Fog."})
    run_watch(at=_utc(13, 17, 15))
    assert mailoutbox[-1].subject.startswith("OVERDUE")
    with time_machine.travel(_utc(13, 17, 20), tick=False):
        visitor.go(f"/trips/{plan.trip_id}/")
        visitor.send("Everybody is home")
    run_watch(at=_utc(13, 17, 25))
    assert mailoutbox[-1].subject.startswith("All home")


def test_called_off_before_anybody_is_out_the_contact_need_not_wait(
    visitor: Visitor, plan: DayPlan, mailoutbox: list[Any]
) -> None:
    Trip.objects.update(status="confirmed")
    WatchFactory(trip=plan.trip, overdue_at=plan.overdue_at)
    run_watch(at=_utc(12, 12))
    with time_machine.travel(_utc(12, 20), tick=False):
        visitor.go(f"/trips/{plan.trip_id}/")
        page = visitor.send("Call the day off", reason="Fog.")
        assert "The watch goes on" not in page.told
    for hour in (1, 17, 18):
        run_watch(at=_utc(13, hour, 30))
    assert len(mailoutbox) == 2, "the card and its end"
    assert "Called off, nobody is out" in mailoutbox[1].subject
    assert Watch.objects.get().stood_down_reason == "called off: Fog."
