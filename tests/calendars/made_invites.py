"""Invented trips and people, and the two readers every calendar object is put before."""

from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Any

import icalendar
import vobject

from guiding.calendars.invite import invite_ics
from guiding.calendars.records import Attendee, Invite, Method, Person, Reminder, Status
from guiding.calendars.zones import read_clock

GUIDE = Person("Marram Head Shore Days", "desk@marramhead.example")
ANNA = Attendee("Anna Probe", "a.client@example.org")
BRAM = Attendee("Bram Probe", "b.client@example.org")
STAMP = datetime(2026, 5, 4, 9, 30, tzinfo=UTC)


def local(text: str) -> datetime:
    """A clock time without zone, from '2026-07-04T05:30'."""
    return datetime.strptime(text, "%Y-%m-%dT%H:%M")  # noqa: DTZ007 - the zone follows


def trip(
    start: str = "2026-07-18T06:00",
    end: str = "2026-07-18T14:00",
    zone: str = "Europe/Dublin",
    **changes: Any,
) -> Invite:
    """A confirmed day at Marram Head; `changes` replace fields."""
    facts: dict[str, Any] = {
        "uid": "trip-0042@marramhead.example",
        "sequence": 0,
        "dtstamp": STAMP,
        "start": read_clock(local(start), zone).instant,
        "end": read_clock(local(end), zone).instant,
        "zone": zone,
        "summary": "Shore day at Marram Head",
        "method": Method.REQUEST,
        "status": Status.CONFIRMED,
        "organizer": GUIDE,
        "attendees": (ANNA, BRAM),
        "description": "Bring waders, a warm layer and something to drink.\nMeet at the slip.",
        "location": "Slip at Marram Head",
        "latitude_deg": 53.1234,
        "longitude_deg": -9.8765,
        "reminders": (Reminder(18 * 60, "Shore day tomorrow"),),
        "url": "https://desk.example/t/42",
    }
    return Invite(**(facts | changes))


@dataclass(frozen=True)
class Parsed:
    """One object as two libraries read it."""

    data: bytes
    calendar: icalendar.Calendar
    event: icalendar.Event
    other: Any  # vobject's VEVENT


def parsed(invite: Invite) -> Parsed:
    """Write an invite and read it back with both."""
    data = invite_ics(invite)
    calendar = icalendar.Calendar.from_ical(data.decode("utf-8"))
    events = calendar.walk("VEVENT")
    assert len(events) == 1
    return Parsed(data, calendar, events[0], vobject.readOne(data.decode("utf-8")).vevent)


def utc_text(instant: datetime) -> str:
    """An instant as the tables write it."""
    return instant.astimezone(UTC).strftime("%Y%m%dT%H%M%SZ")


def physical_lines(data: bytes) -> list[bytes]:
    """The lines as they go over the wire; fails where a line does not end in CRLF."""
    assert data.endswith(b"\r\n")
    lines = data[:-2].split(b"\r\n")
    assert not [one for one in lines if b"\n" in one or b"\r" in one]
    return lines


def unfolded(data: bytes) -> list[str]:
    """The content lines (RFC 5545, 3.1)."""
    return data.decode("utf-8").replace("\r\n ", "").removesuffix("\r\n").split("\r\n")
