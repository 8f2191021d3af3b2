"""Invitations against RFC 5545, RFC 5546 and RFC 6047; each case names its sections."""

import json
from collections import Counter
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

import icalendar
import pytest

from guiding.calendars.invite import cancellation, invite_ics, recipients, sequence_after
from guiding.calendars.message import invite_message
from guiding.calendars.records import Attendee, Invite, Method, Status
from guiding.calendars.zones import clock_changes, read_clock, zone_rules
from tests.calendars.made_invites import (
    ANNA,
    BRAM,
    GUIDE,
    STAMP,
    local,
    parsed,
    physical_lines,
    trip,
    unfolded,
    utc_text,
)
from tests.reference.published import FOLDER, rows

CASES: dict[str, dict[str, Any]] = {
    one["id"]: one
    for one in json.loads((FOLDER / "cal_tricky_cases.json").read_text(encoding="utf-8"))["cases"]
}


def case(name: str) -> tuple[Any, Any]:
    """What goes in and what must come out."""
    return CASES[name]["input"], CASES[name]["expect"]


def instants(invite: Invite) -> list[tuple[str, str]]:
    """Start and end in UTC as each of the two libraries understands them."""
    read = parsed(invite)
    start, end = read.event.decoded("dtstart"), read.event.decoded("dtend")
    other = read.other.dtstart.value, read.other.dtend.value
    return [(utc_text(start), utc_text(end)), (utc_text(other[0]), utc_text(other[1]))]


def test_every_case_of_the_table_has_its_test() -> None:
    here = {name[5:8].upper() for name in globals() if name.startswith("test_c0")}
    assert here == set(CASES)


def test_c01_plain_summer_half_day() -> None:
    """RFC 5546, 3.2.2: what a REQUEST carries; RFC 5545, 3.8.7.2: DTSTAMP in UTC."""
    given, wanted = case("C01")
    people = tuple(Attendee("A Client", mail) for mail in given["attendees"])
    invite = trip(given["start"], given["end"], given["zone"], attendees=people)
    assert set(instants(invite)) == {(wanted["start_utc"], wanted["end_utc"])}
    read = parsed(invite)
    assert read.calendar["METHOD"] == wanted["method"]
    assert read.event["SEQUENCE"] == wanted["sequence"]
    zones = {one["TZID"] for one in read.calendar.walk("VTIMEZONE")}
    assert {read.event["DTSTART"].params["TZID"], read.event["DTEND"].params["TZID"]} <= zones
    attendee = read.event["ATTENDEE"]  # a list if there were several
    assert not isinstance(attendee, list)
    assert attendee.params["RSVP"] == wanted["rsvp"]
    assert attendee.params["PARTSTAT"] == wanted["partstat"]
    assert str(read.event["ORGANIZER"]) == f"mailto:{GUIDE.mail}"
    assert read.event.decoded("DTSTAMP") == STAMP
    assert any(line.startswith("DTSTAMP:") and line.endswith("Z") for line in unfolded(read.data))
    assert read.event["STATUS"] in wanted["status_in"]


def test_c02_night_tide_across_midnight() -> None:
    """RFC 5545, 3.6.1: the end is exclusive, and a DATE-TIME here."""
    given, wanted = case("C02")
    invite = trip(given["start"], given["end"], given["zone"])
    assert set(instants(invite)) == {(wanted["start_utc"], wanted["end_utc"])}
    event = parsed(invite).event
    assert "VALUE" not in event["DTSTART"].params
    elapsed = event.decoded("dtend").astimezone(UTC) - event.decoded("dtstart").astimezone(UTC)
    assert elapsed == timedelta(hours=wanted["elapsed_hours"])


def test_c03_start_in_the_spring_gap() -> None:
    """RFC 5545, 3.3.5, form 3: read with the offset in force before the gap."""
    given, wanted = case("C03")
    reading = read_clock(local(given["start"]), given["zone"])
    assert reading.kind == "gap"  # so that a form can ask
    assert f"{reading.shown:%H:%M}" == wanted["shown_start_local"]
    invite = trip(given["start"], given["end"], given["zone"])
    assert {start for start, _ in instants(invite)} == {wanted["start_utc"]}


def test_c04_start_in_the_autumn_overlap() -> None:
    """RFC 5545, 3.3.5, form 3: a time that comes twice is the first of the two."""
    given, wanted = case("C04")
    assert read_clock(local(given["start"]), given["zone"]).kind == "overlap"
    invite = trip(given["start"], given["end"], given["zone"])
    assert {start for start, _ in instants(invite)} == {wanted["start_utc"]}
    assert invite.end - invite.start == timedelta(hours=wanted["elapsed_hours"])


def test_c05_zone_without_daylight_saving() -> None:
    """RFC 5545, 3.6.5: at least one STANDARD with its offsets."""
    given, wanted = case("C05")
    invite = trip(given["start"], given["end"], given["zone"])
    assert {start for start, _ in instants(invite)} == {wanted["start_utc"]}
    (zone,) = parsed(invite).calendar.walk("VTIMEZONE")
    assert [one.name for one in zone.subcomponents] == wanted["vtimezone_subcomponents"]
    (steady,) = zone.subcomponents
    offsets = {steady["TZOFFSETFROM"].to_ical(), steady["TZOFFSETTO"].to_ical()}
    assert offsets == {wanted["tzoffsetfrom_equals_tzoffsetto"]}


def test_c06_letters_beyond_ascii_and_a_long_summary() -> None:
    """RFC 5545, 3.1 and 3.3.11; RFC 6047, 2.4 and 2.5."""
    given, wanted = case("C06")
    invite = trip(summary=given["summary"])
    read = parsed(invite)
    lines = physical_lines(read.data)
    assert max(len(one) for one in lines) <= wanted["every_physical_line_octets_at_most"]
    for one in lines:
        one.decode("utf-8")
    assert str(read.event["SUMMARY"]) == given["summary"]
    assert read.other.summary.value == given["summary"]
    raw = next(line for line in unfolded(read.data) if line.startswith("SUMMARY:"))
    assert raw.count("\\,") == given["summary"].count(",") == raw.count(",")
    part = next(
        one
        for one in invite_message(invite, "a.client@example.org", "Day", "Words").walk()
        if one.get_content_type() == "text/calendar"
    )
    assert part.get_param("charset").upper() == wanted["mime_charset"]
    assert part["Content-Transfer-Encoding"] in wanted["transfer_encoding_in"]


def test_c07_rescheduled_then_cancelled() -> None:
    """RFC 5546, 2.1.4: SEQUENCE grows with the time and with a CANCEL; 3.2.5: what it carries."""
    _, wanted = case("C07")
    first = trip("2026-08-01T05:00", "2026-08-01T11:00", "Europe/London")
    moved = trip(
        "2026-08-02T05:30",
        "2026-08-02T11:30",
        "Europe/London",
        dtstamp=STAMP + timedelta(hours=3),
    )
    second = replace(moved, sequence=sequence_after(first, moved))
    third = cancellation(second, STAMP + timedelta(days=1))
    reads = [parsed(one) for one in (first, second, third)]
    assert len({str(one.event["UID"]) for one in reads}) == 1
    assert [one.event["SEQUENCE"] for one in reads] == wanted["sequence"]
    stamps = [one.event.decoded("DTSTAMP") for one in reads]
    assert stamps == sorted(set(stamps))
    last = reads[2]
    assert last.calendar["METHOD"] == wanted["third"]["method"]
    assert last.event["STATUS"] == wanted["third"]["status"]
    assert len(last.event.walk("VALARM")) == wanted["third"]["valarm"]
    assert len(last.event["ATTENDEE"]) == len(recipients(first))
    assert str(last.event["ORGANIZER"]) == f"mailto:{GUIDE.mail}"
    assert "METHOD" not in last.event


def test_c08_a_minor_without_mail_is_not_named() -> None:
    """RFC 6047, 2.3: every ATTENDEE is a mailto address; nobody else is written down."""
    given, wanted = case("C08")
    people = tuple(Attendee(one["name"], one["email"]) for one in given["participants"])
    invite = trip(attendees=people)
    lines = [line for line in unfolded(invite_ics(invite)) if line.startswith("ATTENDEE")]
    assert len(lines) == wanted["attendee_count"]
    assert all(":mailto:" in line for line in lines)
    assert b"Minor Two" not in invite_ics(invite)
    assert list(recipients(invite)) == wanted["recipients"]


@pytest.mark.parametrize("row", rows("cal_text_cases"), ids=lambda row: row["plain_text"][:24])
def test_text_is_escaped_and_folded_as_published(row: dict[str, str]) -> None:
    """RFC 5545, 3.3.11 (escaping) and 3.1 (75 octets a line)."""
    plain = row["plain_text"].replace("<LF>", "\n")
    name = row["property"]
    read = parsed(trip(**{name.lower(): plain}))
    line = next(one for one in unfolded(read.data) if one.startswith(name + ":"))
    assert line == f"{name}:{row['escaped_value']}"
    assert len(line.encode()) == int(row["content_line_octets"])
    lines = physical_lines(read.data)
    start = next(n for n, one in enumerate(lines) if one.startswith(name.encode() + b":"))
    count = 1
    while lines[start + count].startswith(b" "):
        count += 1
    # A fold may not part an escape, so a line may once be an octet short; never empty.
    assert count in (int(row["fewest_physical_lines"]), int(row["fewest_physical_lines"]) + 1)
    assert all(len(one) > 1 for one in lines)
    assert str(read.event[name]) == plain
    assert getattr(read.other, name.lower()).value == plain


@pytest.mark.parametrize("row", rows("cal_zone_cases"), ids=lambda r: r["zone"] + r["local_time"])
def test_clock_times_mean_what_the_standard_says(row: dict[str, str]) -> None:
    """RFC 5545, 3.3.5, form 3."""
    reading = read_clock(local(row["local_time"]), row["zone"])
    assert utc_text(reading.instant) == row["utc"]
    assert reading.kind == row["kind"]
    assert reading.shown.strftime("%Y%m%dT%H%M%S") == row["wall_clock_shown"]


@pytest.mark.parametrize("row", rows("cal_span_cases"), ids=lambda row: row["start_local"])
def test_spans_keep_their_length_across_clock_changes(row: dict[str, str]) -> None:
    invite = trip(row["start_local"], row["end_local"], row["zone"])
    assert set(instants(invite)) == {(row["start_utc"], row["end_utc"])}
    assert invite.end - invite.start == timedelta(hours=float(row["elapsed_h"]))
    wall = local(row["end_local"]) - local(row["start_local"])
    assert wall == timedelta(hours=float(row["wall_clock_h"]))


@pytest.mark.parametrize(
    "zone", sorted({row["zone"] for row in rows("cal_zone_transitions")}), ids=str
)
def test_changes_of_offset_are_those_of_the_zone_data(zone: str) -> None:
    wanted = [one for one in rows("cal_zone_transitions") if one["zone"] == zone]
    for year in sorted({int(row["year"]) for row in wanted}):
        of_year = [one for one in wanted if int(one["year"]) == year]
        found = clock_changes(zone, year)
        if of_year[0]["transition_utc"] == "none":
            assert found == ()
            continue
        shown = [
            (
                utc_text(one.at),
                one.onset.strftime("%Y%m%dT%H%M%S"),
                one.name,
                "DAYLIGHT" if one.to_min > one.from_min else "STANDARD",
            )
            for one in found
        ]
        keys = ("transition_utc", "vtimezone_local_onset", "tzname", "sub_component")
        assert shown == [tuple(row[key] for key in keys) for row in of_year]


@pytest.mark.parametrize("row", rows("cal_zone_transitions"), ids=lambda r: r["transition_utc"])
def test_vtimezone_rules_give_the_published_onsets(row: dict[str, str]) -> None:
    """RFC 5545, 3.6.5. The rule is expanded by the library, not by what wrote it."""
    rules = zone_rules(row["zone"], int(row["year"]))
    assert rules is not None
    zone = icalendar.Timezone.from_ical(rules.decode())
    name = row["sub_component"].split()[0]
    part = next(one for one in zone.subcomponents if one.name == name)
    assert part["TZOFFSETFROM"].to_ical() == row["tzoffsetfrom"]
    assert part["TZOFFSETTO"].to_ical() == row["tzoffsetto"]
    assert part["TZNAME"] == row["tzname"]
    if row["transition_utc"] == "none":
        assert "RRULE" not in part
        return
    from dateutil.rrule import rrulestr

    first = part.decoded("DTSTART")
    rule = rrulestr(part["RRULE"].to_ical().decode(), dtstart=first)
    year = int(row["year"])
    onsets = rule.between(datetime(year, 1, 1), datetime(year, 12, 31))  # noqa: DTZ001
    assert [one.strftime("%Y%m%dT%H%M%S") for one in onsets] == [row["vtimezone_local_onset"]]
    assert first == rule[0], "DTSTART is the first onset of the rule"


PRESENCE = {"1": (1, 1), "1+": (1, 9), "0 or 1": (0, 1), "0+": (0, 99), "0": (0, 0)}


@pytest.mark.parametrize("method", ["REQUEST", "CANCEL"])
@pytest.mark.parametrize("whole", [True, False], ids=["whole", "some"])
def test_properties_of_each_method(method: str, whole: bool) -> None:
    """RFC 5546, 3.2.2 and 3.2.5: every row of the table, counted."""
    invite = trip(categories=("shore",), created=STAMP, last_modified=STAMP)
    if method == "CANCEL":
        invite = cancellation(invite, STAMP, () if whole else (BRAM,), "Wind over the limit.")
    read = parsed(invite)
    counts = Counter[str]()
    for name, value in read.event.property_items(recursive=False):
        if name not in ("BEGIN", "END"):
            counts[name] += len(value) if isinstance(value, list) and name == "ATTENDEE" else 1
    counts["METHOD"] = int("METHOD" in read.calendar)
    for one in (*read.calendar.walk(),):
        if one.name in ("VEVENT", "VALARM", "VTIMEZONE", "VTODO", "VJOURNAL", "VFREEBUSY"):
            counts[one.name] += 1
    checked = 0
    for row in rows("cal_itip_vevent_properties"):
        if row["method"] == method and row["component_or_property"] not in ("X-PROPERTY",):
            least, most = PRESENCE[row["presence"]]
            name = row["component_or_property"]
            assert least <= counts[name] <= most, (name, counts[name])
            checked += 1
    assert checked == 40
    known = {row["component_or_property"] for row in rows("cal_itip_vevent_properties")}
    assert set(counts) <= known, "nothing the table does not know"
    if method == "CANCEL":
        wanted = Status.CANCELLED if whole else None
        assert read.event.get("STATUS") == wanted
    if method == "CANCEL" and not whole:
        assert str(read.event["ATTENDEE"]) == f"mailto:{BRAM.mail}"


def test_sequence_grows_when_the_standard_wants_it_and_only_then() -> None:
    """RFC 5546, 2.1.4; the party too, as a change of who is asked is sent to all."""
    before = trip(sequence=3)
    hour = timedelta(hours=1)
    grows = {
        "start": replace(before, start=before.start - hour),
        "end": replace(before, end=before.end + hour),
        "status": replace(before, status=Status.TENTATIVE),
        "place": replace(before, location="North slip"),
        "party": replace(before, attendees=(ANNA,)),
        "cancel": replace(before, method=Method.CANCEL, status=Status.CANCELLED),
    }
    stays = {
        "words": replace(before, description="Bring a hat."),
        "title": replace(before, summary="Shore day"),
        "stamp": replace(before, dtstamp=STAMP + hour),
        "alarm": replace(before, reminders=()),
    }
    assert {name: sequence_after(before, after) for name, after in grows.items()} == dict.fromkeys(
        grows, 4
    )
    assert {name: sequence_after(before, after) for name, after in stays.items()} == dict.fromkeys(
        stays, 3
    )


def test_no_time_is_floating() -> None:
    """RFC 5545, 3.3.5: a time carries a TZID or is UTC, and a TZID is never put on UTC."""
    for zone in ("Europe/Dublin", "Africa/Casablanca", "UTC"):
        for line in unfolded(invite_ics(trip(zone=zone))):
            if line.startswith(("DTSTART", "DTEND")) and "1970" not in line:
                assert (";TZID=" in line) != line.endswith("Z")


def test_a_zone_whose_changes_follow_no_yearly_rule_is_written_in_utc() -> None:
    """Morocco sets its clocks by the month of fasting: no RRULE can say that."""
    invite = trip(zone="Africa/Casablanca")
    assert zone_rules("Africa/Casablanca", 2026) is None
    read = parsed(invite)
    assert read.calendar.walk("VTIMEZONE") == []
    assert set(instants(invite)) == {(utc_text(invite.start), utc_text(invite.end))}
    shown = invite.start.astimezone(ZoneInfo("Africa/Casablanca"))
    assert f"{shown:%H:%M}" == "06:00"
