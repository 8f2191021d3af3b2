"""A day that was sold gets another time or another meeting place, through its page."""

from __future__ import annotations

import datetime
from typing import Any

import icalendar
import pytest
import time_machine
from django.test import Client as Browser

from bookings.models import Booking, Business, Message, MessageKind, Trip
from guiding.days.models import DayPlan
from guiding.days.rules.decision import Call
from guiding.desk.actions.decisions import decide_and_tell
from guiding.desk.actions.invites import tell_calendars
from guiding.desk.sheets.deciding import newest_decision
from guiding.desk.sheets.gather import TripFile, gather
from guiding.safety.actions.watch import run_watch
from guiding.safety.models import Watch
from tests.desk.calendars import calendar_part
from tests.factories import NOON, BookingFactory, ParticipantFactory, PartyFactory, TripFactory
from tests.factories_days import DayPlanFactory
from tests.factories_safety import HeldPaperFactory, WatchFactory
from tests.visit import Page, Visitor

MINUTE, HOUR = datetime.timedelta(minutes=1), datetime.timedelta(hours=1)


def _utc(day: int, hour: int, minute: int = 0) -> datetime.datetime:
    return datetime.datetime(2026, 6, day, hour, minute, tzinfo=datetime.UTC)


@pytest.fixture
def plan(business: Any) -> DayPlan:
    """A confirmed day, met at 07:05 in Dublin, with an English, a German and a party on hold."""
    trip = TripFactory(
        status="confirmed", starts_at=_utc(13, 6, 5), ends_at=_utc(13, 15, 15), places=8
    )
    for name, language in (("Anna", "en"), ("Jörg", "de")):
        party = PartyFactory(
            client__given_name=name,
            client__language=language,
            client__email=f"{language}@example.org",
        )
        BookingFactory(trip=trip, party=party)
    held = PartyFactory(client__given_name="Hal", client__email="hal@example.org")
    BookingFactory(trip=trip, party=held, status="tentative", hold_until=NOON + 48 * HOUR)
    Trip.objects.filter(pk=trip.pk).update(places_taken=6)
    trip.refresh_from_db()
    return DayPlanFactory(
        trip=trip,
        overdue_at=_utc(13, 16, 15),
        session_start=_utc(13, 8, 30),
        session_end=_utc(13, 12, 30),
    )


@pytest.fixture
def visitor(desk: Browser) -> Visitor:
    return Visitor(desk)


def _change(visitor: Visitor, plan: DayPlan, at: datetime.datetime, **typed: Any) -> Page:
    with time_machine.travel(at, tick=False):
        visitor.go(f"/trips/{plan.trip_id}/")
        visitor.follow("Change time or place")
        return visitor.send("starts_at", **typed)


def _invited(plan: DayPlan) -> None:
    """Everybody has the invitation."""
    tell_calendars(trip_pk=plan.trip_id, at=NOON)
    Message.objects.update(state=Message.State.SENT, sent_at=NOON)


def _newest(mail: str) -> Message:
    found = Message.objects.filter(to_mail=mail, kind=MessageKind.CHANGE).order_by("-pk").first()
    assert found is not None, f"{mail} was told nothing"
    return found


def _file(plan: DayPlan, at: datetime.datetime) -> TripFile:
    file = gather(plan.trip_id, business=Business.objects.get(), at=at)
    assert file is not None
    return file


def test_who_is_booked_hears_old_and_new_and_everything_moves_along(
    visitor: Visitor, plan: DayPlan
) -> None:
    WatchFactory(trip=plan.trip)
    _invited(plan)
    page = _change(
        visitor,
        plan,
        NOON + HOUR,
        starts_at="2026-06-13T07:50",
        ends_at="2026-06-13T17:00",
        meeting_place="Harbour wall",
    )
    assert page.address == f"/trips/{plan.trip_id}/"
    assert "3 mails go out" in page.told
    english, german, held = (_newest(f"{who}@example.org") for who in ("en", "de", "hal"))
    for words in (
        "We now meet at 07:50 instead of 07:05.",
        "We now meet here: Harbour wall, instead of Car park above the slip, Marram Head.",
        "Back at the latest: 17:00 instead of 16:15.",
    ):
        assert words in english.body
        assert words in held.body
    assert "Wir treffen uns jetzt um 07:50 Uhr statt um 07:05 Uhr." in german.body
    assert "Der Treffpunkt ist jetzt Harbour wall statt Car park" in german.body
    (event,) = icalendar.Calendar.from_ical(calendar_part(bytes(english.mail)).decode()).events
    assert (int(event["SEQUENCE"]), event.decoded("dtstart")) == (1, _utc(13, 6, 50))
    plan.refresh_from_db()
    assert plan.overdue_at == Watch.objects.get().overdue_at == _utc(13, 17)
    assert plan.session_start == _utc(13, 8, 30), "the tide does not wait for us"


def test_left_empty_the_fishing_moves_with_the_meeting(visitor: Visitor, plan: DayPlan) -> None:
    day_later = {"starts_at": "2026-06-14T07:05", "ends_at": "2026-06-14T16:15"}
    refused = _change(visitor, plan, NOON, **day_later)
    assert refused.status == 422
    assert "outside the trip's pick-up and drop-off" in refused.problems
    assert not Message.objects.exists()
    _change(visitor, plan, NOON, **day_later, session_start="", session_end="")
    plan.refresh_from_db()
    assert plan.session_start == _utc(14, 8, 30)
    assert "The day is now Sunday 14 June 2026 instead of Saturday 13 June 2026." in (
        _newest("hal@example.org").body
    )


def test_two_moves_in_one_night_name_what_the_reader_knew(visitor: Visitor, plan: DayPlan) -> None:
    _invited(plan)
    night = _utc(1, 22, 30)
    _change(visitor, plan, night, starts_at="2026-06-13T07:20")
    _change(visitor, plan, night + HOUR, starts_at="2026-06-13T07:50")
    assert "at 07:50 instead of 07:05." in _newest("en@example.org").body
    states = Message.objects.filter(to_mail="en@example.org").order_by("pk")
    assert [one.state for one in states] == ["sent", "withdrawn", "queued"]


def test_an_invitation_that_never_left_is_no_old_time(visitor: Visitor, plan: DayPlan) -> None:
    night = _utc(1, 22, 30)
    tell_calendars(trip_pk=plan.trip_id, at=night)
    _change(visitor, plan, night, starts_at="2026-06-13T07:50")
    newest = Message.objects.filter(to_mail="en@example.org").order_by("-pk")[0]
    assert newest.kind == MessageKind.CONFIRMATION
    assert "07:50" in newest.body
    assert "07:05" not in newest.body


def test_the_contact_ashore_hears_of_the_new_time(
    visitor: Visitor, plan: DayPlan, mailoutbox: list[Any]
) -> None:
    WatchFactory(trip=plan.trip)
    run_watch(at=_utc(12, 12, 5))  # the card, the evening before
    _change(visitor, plan, _utc(12, 19), ends_at="2026-06-13T17:15")
    run_watch(at=_utc(12, 19, 5))
    assert [mail.subject for mail in mailoutbox] == [
        f"{words}: 6 people at {plan.spot.name}, overdue from Saturday 13 June, {clock} "
        "(Europe/Dublin)"
        for words, clock in (
            ("Please keep watch", "17:15"),
            ("Changed, please keep watch", "18:15"),
        )
    ]


def test_a_decision_for_other_hours_holds_no_more(visitor: Visitor, plan: DayPlan) -> None:
    at = _utc(12, 12)
    file = _file(plan, at)
    assert file.conditions is not None
    decide_and_tell(
        trip=plan.trip, conditions=file.conditions, call=Call.GO, reason="Seen it myself.", at=at
    )
    assert newest_decision(_file(plan, at)) is not None
    _change(
        visitor,
        plan,
        at + HOUR,
        ends_at="2026-06-13T18:15",
        session_start="2026-06-13T11:30",
        session_end="2026-06-13T15:30",
    )
    assert newest_decision(_file(plan, at + HOUR)) is None
    waiting = Message.objects.filter(kind=MessageKind.GO).values_list("state", flat=True)
    assert set(waiting) == {"withdrawn"}, "a go that names the old time does not leave"


@pytest.mark.parametrize(
    ("at", "typed", "sentence"),
    [
        (NOON, {"starts_at": "2026-05-30T07:05"}, "has passed"),
        (NOON, {"ends_at": "2026-06-13T06:00"}, "ends before it begins"),
        (NOON, {"meeting_place": ""}, "required"),
    ],
)
def test_what_cannot_be_is_refused_and_told_to_nobody(
    visitor: Visitor, plan: DayPlan, at: datetime.datetime, typed: dict[str, str], sentence: str
) -> None:
    page = _change(visitor, plan, at, **typed)
    assert page.status == 422
    assert sentence in page.problems
    assert not Message.objects.exists()


def test_a_day_that_has_begun_or_is_over_stays_as_it_was(visitor: Visitor, plan: DayPlan) -> None:
    for status, at in (("confirmed", _utc(13, 7)), ("cancelled", NOON)):
        Trip.objects.update(status=status)
        with time_machine.travel(at, tick=False):
            page = visitor.go(f"/trips/{plan.trip_id}/")
            assert "Change time or place" not in page.links
            visitor.go(f"/trips/{plan.trip_id}/change/")
            refused = visitor.send("starts_at", starts_at="2026-06-13T09:00")
        assert refused.status == 422
    plan.trip.refresh_from_db()
    assert plan.trip.sequence == 0


def test_a_confirmed_day_does_not_move_to_where_a_paper_has_run_out(
    visitor: Visitor, plan: DayPlan
) -> None:
    HeldPaperFactory(kind__name="Insurance", valid_until=datetime.date(2026, 6, 13))
    page = _change(
        visitor,
        plan,
        NOON,
        starts_at="2026-06-14T07:05",
        ends_at="2026-06-14T16:15",
        session_start="",
        session_end="",
    )
    assert page.status == 422
    assert "Insurance" in page.problems
    assert not Message.objects.exists()


def test_who_has_no_address_is_named_to_be_rung(visitor: Visitor, plan: DayPlan) -> None:
    booking = Booking.objects.filter(party__client__given_name="Hal").get()
    type(booking.party.client).objects.filter(pk=booking.party.client_id).update(email="")
    ParticipantFactory(party=booking.party)
    page = _change(visitor, plan, NOON, starts_at="2026-06-13T07:50")
    assert f"{booking.party.client} has no mail address: ring them." in page.told
