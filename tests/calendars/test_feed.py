"""A calendar to subscribe to."""

from dataclasses import replace
from datetime import UTC, timedelta

import icalendar
import pytest
import vobject

from guiding.calendars.feed import Feed, feed_ics
from guiding.calendars.records import Status
from tests.calendars.made_invites import STAMP, physical_lines, trip, unfolded


def season(count: int = 30):
    """Trips three days apart, over the change of clocks, and one lapsing permit."""
    first = trip("2026-09-20T06:00", "2026-09-20T14:00", method=None, attendees=())
    trips = [
        replace(
            first,
            uid=f"trip-{n:04d}@marramhead.example",
            start=first.start + timedelta(days=3 * n),
            end=first.end + timedelta(days=3 * n),
            status=Status.TENTATIVE if n % 3 else Status.CONFIRMED,
        )
        for n in range(count)
    ]
    permit = trip(
        "2026-10-01T00:00",
        "2026-10-02T00:00",
        uid="permit-3@marramhead.example",
        summary="Beach permit lapses",
        method=None,
        attendees=(),
        all_day=True,
        busy=False,
    )
    return (*trips, permit)


def test_a_feed_is_no_message_and_holds_each_zone_once() -> None:
    data = feed_ics(Feed("Marram Head: trips, holds", season(), "Trips and holds"))
    calendar = icalendar.Calendar.from_ical(data.decode())
    assert "METHOD" not in calendar
    # The one library leaves NAME (RFC 7986, 5.1, a TEXT) as it is written; the other reads it.
    other = vobject.readOne(data.decode()).contents
    names = [other[one][0].value for one in ("name", "x-wr-calname", "description")]
    assert names == ["Marram Head: trips, holds"] * 2 + ["Trips and holds"]
    assert [str(one["TZID"]) for one in calendar.walk("VTIMEZONE")] == ["Europe/Dublin"]
    assert len(calendar.walk("VEVENT")) == 31
    assert not [line for line in unfolded(data) if "RSVP=TRUE" in line]
    assert max(len(line) for line in physical_lines(data)) <= 75
    assert len(list(vobject.readOne(data.decode()).vevent_list)) == 31


def test_times_come_back_on_both_sides_of_the_clock_change() -> None:
    events = season()
    calendar = icalendar.Calendar.from_ical(feed_ics(Feed("Trips", events)).decode())
    read = {str(one["UID"]): one for one in calendar.walk("VEVENT")}
    for one in events:
        if not one.all_day:
            assert read[one.uid].decoded("dtstart").astimezone(UTC) == one.start
    assert str(read["permit-3@marramhead.example"].decoded("dtend")) == "2026-10-02"


def test_order_and_bytes_do_not_depend_on_how_the_events_came() -> None:
    events = season()
    assert feed_ics(Feed("Trips", events)) == feed_ics(Feed("Trips", events[::-1]))


def test_a_changed_event_changes_the_feed() -> None:
    events = season()
    before = feed_ics(Feed("Trips", events))
    moved = replace(events[3], start=events[3].start + timedelta(hours=1), sequence=1)
    after = feed_ics(Feed("Trips", (*events[:3], moved, *events[4:])))
    assert set(after.splitlines()) - set(before.splitlines()) >= {b"SEQUENCE:1"}
    assert feed_ics(Feed("Trips", events)) == before


def test_events_of_several_zones_and_years() -> None:
    there = replace(
        trip(zone="Africa/Johannesburg", method=None, attendees=()), uid="far@marramhead.example"
    )
    decree = replace(
        trip(zone="Africa/Casablanca", method=None, attendees=()), uid="decree@marramhead.example"
    )
    calendar = icalendar.Calendar.from_ical(feed_ics(Feed("All", (*season(), there, decree))))
    zones = sorted(str(one["TZID"]) for one in calendar.walk("VTIMEZONE"))
    assert zones == ["Africa/Johannesburg", "Europe/Dublin"]
    read = {str(one["UID"]): one.decoded("dtstart") for one in calendar.walk("VEVENT")}
    assert read["far@marramhead.example"].astimezone(UTC) == there.start
    assert read["decree@marramhead.example"] == decree.start


def test_an_empty_feed_is_a_calendar() -> None:
    calendar = icalendar.Calendar.from_ical(feed_ics(Feed("Nothing yet", ())).decode())
    assert calendar.walk("VEVENT") == []
    assert calendar["VERSION"] == "2.0"


def test_two_events_may_not_share_a_uid() -> None:
    event = trip(method=None, attendees=())
    with pytest.raises(ValueError, match="share the UID"):
        Feed("Trips", (event, replace(event, dtstamp=STAMP + timedelta(hours=1))))


def test_a_hostile_name_stays_a_name() -> None:
    feed = Feed("Trips\r\nMETHOD:REQUEST\nX", season(1), "a\r\nBEGIN:VEVENT")
    lines = unfolded(feed_ics(feed))
    assert not [one for one in lines if one.startswith("METHOD")]
    assert len([one for one in lines if one == "BEGIN:VEVENT"]) == 2
