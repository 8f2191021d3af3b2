"""Invitations through the outbox into a real calendar, and the answers that come back."""

from __future__ import annotations

import datetime
from email.message import EmailMessage
from pathlib import Path
from zoneinfo import ZoneInfo

import icalendar
import pytest
import time_machine
from django.core.exceptions import ValidationError
from django.test import Client

from bookings.actions.trips import cancel_booking, change_trip, move_trip_state
from bookings.models import Booking, Message, Trip, TripAttendee, TripInvite
from bookings.rules.states import TripState
from guiding.desk.actions.invites import take_answer, tell_calendars
from guiding.desk.sheets.answers import answer_address
from tests.bookings.reading import in_one_line, problems
from tests.desk.calendars import calendar_part, calendar_server, take_in
from tests.factories import (
    NOON,
    BookingFactory,
    BusinessFactory,
    ParticipantFactory,
    PartyFactory,
    TripFactory,
)

pytestmark = pytest.mark.django_db
HOUR = datetime.timedelta(hours=1)
DAY = 24 * HOUR


def _trip(**more: object) -> Trip:
    BusinessFactory()
    return TripFactory(status="confirmed", places_taken=2, **more)


def _booked(trip: Trip, booker: str, *others: str) -> Booking:
    party = PartyFactory(client__given_name="Anna", client__email=booker)
    for mail in others:
        ParticipantFactory(party=party, email=mail)
    return BookingFactory(trip=trip, party=party)


def _move(trip: Trip, by: datetime.timedelta, at: datetime.datetime) -> None:
    change_trip(
        trip=trip,
        starts_at=trip.starts_at + by,
        ends_at=trip.ends_at + by,
        meeting_place=trip.meeting_place,
        places=trip.places,
        at=at,
    )
    trip.refresh_from_db()


def _event(message: Message) -> icalendar.Event:
    (event,) = icalendar.Calendar.from_ical(calendar_part(bytes(message.mail)).decode()).events
    return event


def _methods(messages: list[Message]) -> list[tuple[str, str, int]]:
    found = []
    for one in messages:
        read = icalendar.Calendar.from_ical(calendar_part(bytes(one.mail)).decode())
        found.append((one.to_mail, str(read["METHOD"]), int(read.events[0]["SEQUENCE"])))
    return found


def test_moved_then_called_off_leaves_exactly_the_right_entries(tmp_path: Path) -> None:
    """Two trips; one is moved over the end of summer time and called off, the other stays.

    A day of elapsed time later the clock shows an hour less.
    """
    trip = _trip(
        starts_at=datetime.datetime(2026, 10, 24, 5, 0, tzinfo=datetime.UTC),
        ends_at=datetime.datetime(2026, 10, 24, 16, 0, tzinfo=datetime.UTC),
    )
    stays = TripFactory(status="confirmed", places_taken=2)
    _booked(trip, "anna@example.org")
    BookingFactory(trip=stays, party=trip.bookings.get().party)
    dublin = ZoneInfo("Europe/Dublin")
    with calendar_server(tmp_path) as calendar:

        def entries() -> dict[str, str]:
            return {
                str(one.icalendar_component["UID"]): one.icalendar_component.decoded("dtstart")
                .astimezone(dublin)
                .strftime("%d %H:%M")
                for one in calendar.events()
            }

        (first,), (kept,) = _tell(trip), _tell(stays)
        for one in (first, kept):
            take_in(calendar, bytes(one.mail))
        uid, other = (TripInvite.objects.get(trip=one).uid for one in (trip, stays))
        assert entries() == {uid: "24 06:00", other: "13 05:00"}

        _move(trip, 24 * HOUR, NOON + HOUR)
        (moved,) = tell_calendars(trip_pk=trip.pk, at=NOON + HOUR)
        take_in(calendar, bytes(moved.mail))
        take_in(calendar, bytes(first.mail))  # a late copy of the old one
        assert entries() == {uid: "25 05:00", other: "13 05:00"}

        move_trip_state(trip=trip, to=TripState.CANCELLED, reason="Storm.", at=NOON + 2 * HOUR)
        (off,) = tell_calendars(trip_pk=trip.pk, at=NOON + 2 * HOUR)
        take_in(calendar, bytes(off.mail))
        assert entries() == {other: "13 05:00"}
    assert "Storm." in off.body
    assert [_event(one)["UID"] for one in (moved, off)] == [uid, uid]
    assert _sequence(moved) < _sequence(off)


def _tell(trip: Trip) -> list[Message]:
    return tell_calendars(trip_pk=trip.pk, at=NOON)


def _sequence(message: Message) -> int:
    return int(_event(message)["SEQUENCE"])


def test_told_once_and_again_only_when_something_changed() -> None:
    trip = _trip()
    _booked(trip, "anna@example.org", "ben@example.org")
    assert {row.to_mail for row in _tell(trip)} == {"anna@example.org", "ben@example.org"}
    assert _tell(trip) == []
    Trip.objects.update(note="Bring a torch")
    assert _tell(trip) == []
    _move(trip, HOUR, NOON + HOUR)
    again = tell_calendars(trip_pk=trip.pk, at=NOON + HOUR)
    assert [method for _mail, method, _n in _methods(again)] == ["REQUEST", "REQUEST"]
    assert {n for *_rest, n in _methods(again)} == {1}


def test_who_joins_is_asked_and_who_leaves_is_taken_off_and_strangers_hear_nothing() -> None:
    trip = _trip()
    one, other = _booked(trip, "anna@example.org"), _booked(trip, "zoe@example.org")
    _tell(trip)
    ben = ParticipantFactory(party=one.party, given_name="Ben", email="ben@example.org")
    joined = tell_calendars(trip_pk=trip.pk, at=NOON + HOUR)
    assert _methods(joined) == [
        ("anna@example.org", "REQUEST", 1),
        ("ben@example.org", "REQUEST", 1),
    ]
    assert "zoe" not in joined[0].mail.decode()
    ben.delete()
    left = tell_calendars(trip_pk=trip.pk, at=NOON + 2 * HOUR)
    assert ("ben@example.org", "CANCEL", 2) in _methods(left)
    assert ("zoe@example.org", "REQUEST", 2) not in _methods(left)
    cancel = next(row for row in left if row.to_mail == "ben@example.org")
    assert "STATUS" not in _event(cancel), "the event itself goes on (RFC 5546, 3.2.5)"
    cancel_booking(booking=other, at=NOON + 3 * HOUR)
    off = tell_calendars(trip_pk=trip.pk, at=NOON + 3 * HOUR)
    assert _methods(off) == [("zoe@example.org", "CANCEL", 3)]
    assert TripAttendee.objects.get(mail="zoe@example.org").removed_at


def test_holds_and_tentative_trips_are_nobodys_entry() -> None:
    trip = _trip()
    BookingFactory(trip=trip, status="tentative", hold_until=NOON + DAY)
    assert _tell(trip) == []
    Trip.objects.update(status="tentative")
    _booked(trip, "anna@example.org")
    assert _tell(trip) == []


def test_what_is_out_of_date_before_it_left_does_not_leave() -> None:
    """At night nothing is told; moved in the same night, only the newest goes in the morning."""
    night = datetime.datetime(2026, 6, 1, 22, 30, tzinfo=datetime.UTC)
    trip = _trip()
    _booked(trip, "anna@example.org")
    (first,) = tell_calendars(trip_pk=trip.pk, at=night)
    assert first.due_at == datetime.datetime(2026, 6, 2, 7, 0, tzinfo=datetime.UTC)
    _move(trip, HOUR, night)
    (second,) = tell_calendars(trip_pk=trip.pk, at=night)
    first.refresh_from_db()
    assert (first.state, second.state) == ("withdrawn", "queued")


def _reply(message: Message, answer: str, stamp: str = "20260602T100000Z", **more: str) -> bytes:
    event = _event(message)
    lines = {"SEQUENCE": str(event["SEQUENCE"]), "MAIL": message.to_mail} | more
    calendar = (
        "BEGIN:VCALENDAR\r\nVERSION:2.0\r\nPRODID:-//X//Y//EN\r\nMETHOD:REPLY\r\nBEGIN:VEVENT\r\n"
        f"UID:{event['UID']}\r\nDTSTAMP:{stamp}\r\nSEQUENCE:{lines['SEQUENCE']}\r\n"
        f"ATTENDEE;PARTSTAT={answer};CN=Anna:mailto:{lines['MAIL']}\r\nCOMMENT:See you\r\n"
        "END:VEVENT\r\nEND:VCALENDAR\r\n"
    )
    sender = more.get("FROM", message.to_mail)
    head = f"From: {sender}\r\nMIME-Version: 1.0\r\n"
    if "TEXT" not in more:
        return f"{head}Content-Type: text/calendar; method=REPLY\r\n\r\n{calendar}".encode()
    whole = EmailMessage()
    whole["From"] = sender
    whole.set_content(more["TEXT"])
    whole.add_attachment(calendar.encode(), maintype="text", subtype="calendar")
    return whole.as_bytes()


def test_an_answer_says_who_is_coming_and_a_later_one_counts() -> None:
    trip = _trip()
    _booked(trip, "anna@example.org")
    (asked,) = _tell(trip)
    row = take_answer(mail=_reply(asked, "ACCEPTED"), at=NOON)
    assert (row.answer, row.answer_comment) == ("ACCEPTED", "See you")
    assert take_answer(mail=_reply(asked, "DECLINED", "20260603T100000Z"), at=NOON).answer == (
        "DECLINED"
    )
    with pytest.raises(ValidationError, match="later answer"):
        take_answer(mail=_reply(asked, "ACCEPTED"), at=NOON)
    _move(trip, HOUR, NOON + HOUR)
    (moved,) = tell_calendars(trip_pk=trip.pk, at=NOON + HOUR)
    row.refresh_from_db()
    assert row.answer == "NEEDS-ACTION", "an answer to the old time is none to the new"
    with pytest.raises(ValidationError, match="older version"):
        take_answer(mail=_reply(asked, "ACCEPTED", "20260604T100000Z"), at=NOON)
    assert take_answer(mail=_reply(moved, "TENTATIVE", "20260605T100000Z"), at=NOON)


@pytest.mark.parametrize(
    ("change", "sentence"),
    [({"MAIL": "eve@example.org"}, "not on the list"), ({"SEQUENCE": "7"}, "never sent")],
)
def test_a_strangers_answer_changes_nothing(change: dict[str, str], sentence: str) -> None:
    trip = _trip()
    _booked(trip, "anna@example.org")
    (asked,) = _tell(trip)
    with pytest.raises(ValidationError, match=sentence):
        take_answer(mail=_reply(asked, "DECLINED", **change), at=NOON)
    with pytest.raises(ValidationError, match="no calendar answer"):
        take_answer(mail=b"Subject: hello\r\n\r\nYes please", at=NOON)
    assert TripAttendee.objects.get().answer == "NEEDS-ACTION"


@pytest.mark.parametrize("sender", ["eve@example.org", "", "eve@example.org, anna@example.org"])
def test_an_answer_in_somebody_elses_name_is_refused_and_kept_for_the_guide(
    sender: str, desk: Client
) -> None:
    """It was accepted: whoever knew the address could say no for Anna."""
    with time_machine.travel(NOON, tick=False):
        trip = _trip()
        _booked(trip, "anna@example.org")
        (asked,) = _tell(trip)
        forged = _reply(asked, "DECLINED", FROM=sender)
        answers = f"/trips/{trip.pk}/answers/"
        page = desk.post(answers, {"mail": forged.decode()})
        assert page.status_code == 422
        assert "The answer of anna@example.org came from" in problems(page.content.decode())
        row = TripAttendee.objects.get()
        assert row.answer == "NEEDS-ACTION"
        who = sender if sender == "eve@example.org" else "an unnamed address"
        for place in (f"/trips/{trip.pk}/", "/"):
            assert f"in their name came from {who}" in in_one_line(desk.get(place).content.decode())
        assert f"by {who}." in in_one_line(desk.get(answers).content.decode())
        desk.post(answers, {"seen": str(row.pk)})
        assert "in their name" not in desk.get("/").content.decode()
        with pytest.raises(ValidationError, match="came from"):
            take_answer(mail=forged, at=NOON)
        take_answer(mail=_reply(asked, "ACCEPTED", "20260603T100000Z"), at=NOON)
        assert "in their name" not in desk.get("/").content.decode()


def test_a_reply_from_another_account_counts_when_it_quotes_the_link() -> None:
    trip = _trip()
    _booked(trip, "anna@example.org", "bram@example.org")
    for mail in _tell(trip):
        other = trip.attendees.exclude(mail=mail.to_mail).get()
        mine = trip.attendees.get(mail=mail.to_mail)
        late = {"FROM": "anna@work.example", "stamp": "20260602T100000Z"}
        with pytest.raises(ValidationError, match="came from"):
            take_answer(mail=_reply(mail, "ACCEPTED", **late, TEXT=answer_address(other)), at=NOON)
        quoted = f"> say it here: {answer_address(mine)}\n"
        row = take_answer(mail=_reply(mail, "ACCEPTED", **late, TEXT=quoted), at=NOON)
        assert row.answer == "ACCEPTED"
        assert row.refused_at is None
