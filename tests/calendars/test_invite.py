"""Invitations: nothing a user types can open a line, and everything comes back as it was typed."""

from dataclasses import replace
from datetime import UTC, datetime, timedelta

import icalendar
import pytest
from hypothesis import given
from hypothesis import strategies as st

from guiding.calendars.invite import cancellation, invite_ics, recipients
from guiding.calendars.records import (
    Answer,
    Attendee,
    Invite,
    Method,
    Person,
    Reminder,
    Status,
)
from tests.calendars.made_invites import (
    ANNA,
    BRAM,
    STAMP,
    parsed,
    physical_lines,
    trip,
    unfolded,
)

HOSTILE = [
    "Day\r\nATTENDEE:mailto:evil@example.net",
    "Day\nEND:VEVENT\nBEGIN:VEVENT\nUID:other",
    "Day\rSTATUS:CANCELLED",
    "Day\u2028X:1\u0085Y:2\x0bZ:3\x0cQ:4\x00",
    "Semi;colon,comma\\n backslash\\",
    'Quote "; CN=evil:mailto:evil@example.net',
]


@pytest.mark.parametrize("text", HOSTILE)
@pytest.mark.parametrize(
    "field", ["summary", "description", "location", "comment", "name", "organizer", "reminder"]
)
def test_no_text_opens_a_line(field: str, text: str) -> None:
    changes: dict[str, object] = {field: text}
    if field == "name":
        changes = {"attendees": (Attendee(text, ANNA.mail), BRAM)}
    if field == "organizer":
        changes = {"organizer": Person(text, "desk@marramhead.example")}
    if field == "reminder":
        changes = {"reminders": (Reminder(60, text),)}
    plain = unfolded(invite_ics(trip(comment="c")))
    hostile = unfolded(invite_ics(trip(**({"comment": "c"} | changes))))
    names = [line.split(":")[0].split(";")[0] for line in hostile]
    assert names == [line.split(":")[0].split(";")[0] for line in plain]
    read = parsed(trip(**changes))
    assert "evil@example.net" not in str(read.event.get("ORGANIZER"))
    assert [str(one) for one in read.event["ATTENDEE"]] == [
        f"mailto:{ANNA.mail}",
        f"mailto:{BRAM.mail}",
    ]
    assert str(read.event["UID"]) == "trip-0042@marramhead.example"


@pytest.mark.parametrize(
    "mail",
    [
        "a@example.org\r\nATTENDEE:mailto:b@example.org",
        "a@example.org;CN=x",
        "a@example.org,b@example.org",
        "a@example.org?subject=x&bcc=y@example.org%0A",
        "<a@example.org>",
        "a b@example.org",
        "a@",
        "@example.org",
        "plain",
        "",
        "ü@example.org",
        "a..b@example.org",
    ],
)
def test_an_address_is_one_plain_address(mail: str) -> None:
    with pytest.raises(ValueError, match="is not a mail address"):
        Attendee("Anna", mail)
    with pytest.raises(ValueError, match="is not a mail address"):
        Person("Anna", mail)


FIRST = datetime(2024, 1, 1, tzinfo=UTC)
TEXT = st.text(alphabet=st.characters(blacklist_categories=["Cs", "Cc"]), max_size=300)


@given(summary=TEXT, description=TEXT, location=TEXT, name=TEXT)
def test_what_was_typed_comes_back(
    summary: str, description: str, location: str, name: str
) -> None:
    invite = trip(
        summary=summary,
        description=description,
        location=location,
        attendees=(Attendee(name, ANNA.mail),),
    )
    data = invite_ics(invite)
    for line in physical_lines(data):
        assert len(line) <= 75
        line.decode("utf-8")
    event = icalendar.Calendar.from_ical(data.decode()).walk("VEVENT")[0]
    assert str(event["SUMMARY"]) == summary
    assert str(event.get("DESCRIPTION", "")) == description
    assert str(event.get("LOCATION", "")) == location
    assert event["ATTENDEE"].params["CN"] == " ".join(name.replace('"', "'").split())


@given(st.text(alphabet="\\;,\nné📞a", min_size=60, max_size=400))
def test_no_fold_parts_a_letter_or_an_escape(text: str) -> None:
    data = invite_ics(trip(description=text))
    for before, after in zip(data.split(b"\r\n"), data.split(b"\r\n")[1:], strict=False):
        if not after.startswith(b" "):
            continue
        before.decode("utf-8")
        slashes = len(before) - len(before.rstrip(b"\\"))
        assert slashes % 2 == 0, "the escaped letter stands on the next line"
    assert str(parsed(trip(description=text)).event["DESCRIPTION"]) == text


def test_same_record_same_bytes() -> None:
    assert invite_ics(trip()) == invite_ics(trip())
    assert invite_ics(trip()) != invite_ics(trip(sequence=1))


def test_place_and_alarm_are_read_by_both_libraries() -> None:
    read = parsed(trip())
    assert (read.event["GEO"].latitude, read.event["GEO"].longitude) == (53.1234, -9.8765)
    assert read.other.geo.value == "53.123400;-9.876500"
    alarm = read.event.walk("VALARM")[0]
    assert alarm.decoded("TRIGGER") == timedelta(hours=-18)
    assert alarm["ACTION"] == "DISPLAY"
    assert read.other.valarm.trigger.value == timedelta(hours=-18)


def test_answers_already_given_stay_in_an_update() -> None:
    invite = trip(sequence=1, attendees=(replace(ANNA, answer=Answer.ACCEPTED), BRAM))
    answers = [one.params["PARTSTAT"] for one in parsed(invite).event["ATTENDEE"]]
    assert answers == ["ACCEPTED", "NEEDS-ACTION"]


def test_one_address_is_asked_once() -> None:
    invite = trip(attendees=(ANNA, Attendee("Child of Anna", ANNA.mail), BRAM))
    assert recipients(invite) == (ANNA.mail, BRAM.mail)
    assert len(parsed(invite).event["ATTENDEE"]) == 2


def test_the_second_of_two_equal_clock_times_is_kept() -> None:
    second = datetime(2026, 10, 25, 1, 30, tzinfo=UTC)  # 01:30 for the second time in Dublin
    invite = trip(start="2026-10-24T20:00", end="2026-10-25T06:00")
    read = parsed(replace(invite, start=second))
    assert read.event.decoded("dtstart").astimezone(UTC) == second
    assert read.other.dtstart.value.astimezone(UTC) == second


def test_whole_days_end_on_the_day_after() -> None:
    permit = trip(
        "2026-07-18T00:00", "2026-07-19T00:00", method=None, attendees=(), all_day=True, busy=False
    )
    read = parsed(permit)
    assert str(read.event.decoded("dtstart")) == "2026-07-18"
    assert str(read.event.decoded("dtend")) == "2026-07-19"
    assert read.event["TRANSP"] == "TRANSPARENT"
    assert read.calendar.walk("VTIMEZONE") == []
    assert "METHOD" not in read.calendar


def test_a_cancellation_of_some_leaves_the_event_alone() -> None:
    cancel = cancellation(trip(sequence=4), STAMP, removed=(BRAM,))
    assert cancel.status is None
    assert cancel.sequence == 5
    assert recipients(cancel) == (BRAM.mail,)
    with pytest.raises(ValueError, match="was never invited"):
        cancellation(trip(), STAMP, removed=(Attendee("Eve", "eve@example.org"),))


@pytest.mark.parametrize(
    ("changes", "reason"),
    [
        ({"attendees": ()}, "Nobody with a mail address"),
        ({"attendees": (Attendee("Child", None),)}, "Nobody with a mail address"),
        ({"organizer": None}, "names who organises"),
        ({"status": Status.CANCELLED}, "send a CANCEL"),
        ({"method": Method.CANCEL, "sequence": 1}, "carries the status CANCELLED"),
        ({"method": Method.CANCEL, "status": Status.CANCELLED}, "needs a SEQUENCE"),
        ({"sequence": -1}, "starts at 0"),
        ({"uid": ""}, "no usable UID"),
        ({"uid": "a\r\nb"}, "no usable UID"),
        ({"url": "https://desk.example/ x"}, "holds a blank"),
        ({"zone": "Europe/Atlantis"}, "is not known"),
        ({"latitude_deg": 91.0}, "is not on the earth"),
        ({"longitude_deg": None}, "both latitude and longitude"),
        ({"end": datetime(2026, 7, 1, tzinfo=UTC)}, "ends before it starts"),
        ({"dtstamp": datetime(2026, 7, 1)}, "has no zone"),  # noqa: DTZ001
    ],
)
def test_what_cannot_be_an_invite_is_refused(changes: dict[str, object], reason: str) -> None:
    with pytest.raises(ValueError, match=reason):
        replace(trip(), **changes)


@given(
    start=st.integers(0, 10 * 366 * 24 * 60).map(lambda n: FIRST + timedelta(minutes=n)),
    minutes=st.integers(1, 3 * 24 * 60),
    zone=st.sampled_from(
        [
            "Europe/Dublin",
            "America/New_York",
            "Australia/Lord_Howe",
            "Asia/Kathmandu",
            "America/Santiago",
            "Africa/Cairo",
            "Asia/Jerusalem",
            "Pacific/Apia",
        ]
    ),
)
def test_every_instant_survives_every_zone(start: datetime, minutes: int, zone: str) -> None:
    end = start + timedelta(minutes=minutes)
    invite = replace(trip(), start=start, end=end, zone=zone)
    event = parsed(invite).event
    assert event.decoded("dtstart").astimezone(UTC) == start
    assert event.decoded("dtend").astimezone(UTC) == end
    assert isinstance(invite, Invite)
