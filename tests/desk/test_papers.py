"""The papers of a trip: from the command and from its page, read back by other libraries."""

from __future__ import annotations

import datetime
import re
from collections.abc import Iterator
from io import BytesIO
from pathlib import Path
from typing import Any

import pypdf
import pytest
import time_machine
import vobject
from django.test import Client as Browser
from django.urls import reverse

from bookings.actions.trips import move_trip_state
from bookings.models import Business, Client, Offer, Participant, Trip
from bookings.rules.states import TripState
from guiding.days.actions.plans import plan_day
from guiding.days.models import CostRate, DayPlan, Spot
from guiding.desk.sheets.files import make_trip_file, trip_file_names
from guiding.desk.sheets.gather import gather
from tests.calendars.made_invites import physical_lines, unfolded
from tests.commands import manage
from tests.papers.reading import squeezed, text
from tests.season import NOON

pytestmark = pytest.mark.once

FIRST_FIVE = {"trip-sheet.pdf", "run-sheet.pdf", "cost-sheet.pdf", "cost.csv", "invite.ics"}
NASTY = "<script>alert(1)</script> & <b>Séamus</b>"
STATUS_OF = {
    "tentative": "TENTATIVE",
    "confirmed": "CONFIRMED",
    "fished": "CONFIRMED",
    "cancelled": "CANCELLED",
}
SIZES = {"A4": (595, 842), "Letter": (612, 792)}


def next_trip() -> Trip:
    found = Trip.objects.filter(status="confirmed", starts_at__gt=NOON).order_by("starts_at")
    return found[0]


def made(name: str, trip: Trip, size: str = "") -> bytes:
    file = gather(trip.pk, business=Business.objects.get())
    assert file
    return make_trip_file(name, file, printed_at=NOON, page_size=size)


def test_the_command_writes_the_papers_of_the_next_trip(season: Any, tmp_path: Path) -> None:
    out = tmp_path / "deep" / "out"
    done = manage("papers", "--next", "--out", str(out))
    assert done.code == 0, done.err
    written = {path.name for path in out.iterdir()}
    assert written >= FIRST_FIVE
    lines = done.out.strip().splitlines()
    assert len(lines) == len(written)
    for line in lines:
        path, size, unit = line.split()
        assert Path(path).stat().st_size == int(size) > 200
        assert unit == "bytes"
    assert "Family day" in text((out / "trip-sheet.pdf").read_bytes())
    by_number = tmp_path / "by-number"
    assert manage("papers", str(next_trip().pk), "--out", str(by_number)).code == 0
    assert _files(by_number) == _files(out)


def test_the_same_trip_gives_the_same_bytes(season: Any, tmp_path: Path) -> None:
    for out in ("once", "again"):
        assert manage("papers", "--next", "--out", str(tmp_path / out)).code == 0
    assert _files(tmp_path / "once") == _files(tmp_path / "again")


@pytest.mark.parametrize("size", SIZES)
def test_papers_come_in_both_sizes(season: Any, tmp_path: Path, size: str) -> None:
    done = manage("papers", "--next", "--out", str(tmp_path), "--paper", size)
    assert done.code == 0, done.err
    for name in ("trip-sheet.pdf", "run-sheet.pdf", "cost-sheet.pdf"):
        for page in pypdf.PdfReader(tmp_path / name).pages:
            found = (round(page.mediabox.width), round(page.mediabox.height))
            assert found == SIZES[size]


def test_the_size_of_the_business_is_the_usual_one(season: Any) -> None:
    Business.objects.update(paper="Letter")
    page = pypdf.PdfReader(BytesIO(made("trip-sheet.pdf", next_trip()))).pages[0]
    assert round(page.mediabox.width) == 612


@pytest.mark.parametrize("size", SIZES)
def test_no_trip_sheet_of_the_season_is_longer_than_two_pages(season: Any, size: str) -> None:
    trips = Trip.objects.filter(starts_at__gt=NOON)
    assert trips.count() > 10
    lengths = {
        trip.pk: len(pypdf.PdfReader(BytesIO(made("trip-sheet.pdf", trip, size))).pages)
        for trip in trips
    }
    assert {pk: pages for pk, pages in lengths.items() if pages > 2} == {}


def test_the_trip_sheet_tells_what_it_must(season: Any) -> None:
    trip = next_trip()
    business = Business.objects.get()
    words = text(made("trip-sheet.pdf", trip))
    start = trip.starts_at.astimezone(business.tz)
    assert f"{start.day} {start:%B %Y}" in words
    assert f"{start:%H:%M}" in words
    assert f"{trip.ends_at.astimezone(business.tz):%H:%M}" in words
    assert trip.meeting_place in words
    day = manage("day", str(trip.plan.spot.pk), start.date().isoformat(), "--json").facts
    assert len(day["tide"]["turns"]) >= 3
    for turn in day["tide"]["turns"]:
        assert turn["local"][-5:] in words
    for name in _first_names(trip):
        assert name in words
    for caution in (
        "own authority",
        "not for navigation",
        business.emergency_number,
        "Three rules",
    ):
        assert caution in words


def test_names_of_every_script_stand_on_the_papers_that_name_people(season: Any) -> None:
    trip = next_trip()
    people = list(Participant.objects.filter(party__bookings__trip=trip))
    names = ["Żółkiewska", "Ελένη", "Олена", "Ő Pádraig", "Þórdís", "Nguyễn"]
    for person, name in zip(people, names, strict=False):
        Participant.objects.filter(pk=person.pk).update(given_name=name, family_name=name)
    for paper in ("trip-sheet.pdf", "run-sheet.pdf"):
        words = text(made(paper, trip))
        for name in names[: len(people)]:
            assert name in words, paper


def test_markup_in_names_is_printed_as_it_was_typed(season: Any) -> None:
    trip = next_trip()
    _rename_everything(trip, NASTY)
    for paper in ("trip-sheet.pdf", "run-sheet.pdf"):
        assert NASTY.replace(" ", "") in squeezed(made(paper, trip)), paper
    for paper in trip_file_names():
        assert made(paper, trip)
    event = vobject.readOne(made("invite.ics", trip).decode()).vevent
    assert NASTY in event.summary.value
    assert event.location.value == NASTY


def test_the_longest_names_that_the_books_hold_still_make_papers(season: Any) -> None:
    trip = next_trip()
    _rename_everything(trip, None)
    for paper in trip_file_names():
        for size in SIZES:
            assert made(paper, trip, size)
    assert "W" * 20 in squeezed(made("trip-sheet.pdf", trip))


def test_formulas_in_a_table_for_a_spreadsheet_are_disarmed(season: Any) -> None:
    CostRate.objects.filter(label="Road").update(label="=HYPERLINK(1)")
    rows = made("cost.csv", next_trip()).decode()
    assert "HYPERLINK" in rows
    assert not re.search(r"(^|[,;\"])[=+@]", rows, re.MULTILINE)


def test_the_invite_keeps_the_rules_of_its_standard(season: Any) -> None:
    """RFC 5545: lines (3.1), what an event must and may say (3.6.1), alarms (3.6.6)."""
    for trip in Trip.objects.filter(plan__isnull=False)[:40:3]:
        data = made("invite.ics", trip)
        assert data.endswith(b"\r\n")
        assert b"\n" not in data.replace(b"\r\n", b"")
        for line in physical_lines(data):
            assert len(line) <= 75
            line.decode("utf-8")
        lines = [line for line in unfolded(data) if line]
        assert lines[0] == "BEGIN:VCALENDAR"
        assert lines[-1] == "END:VCALENDAR"
        event = _inside(lines, "VEVENT")
        names = [re.split("[:;]", line)[0] for line in event]
        for once in ("UID", "DTSTAMP", "DTSTART"):
            assert names.count(once) == 1, once
        at_most_once = (
            *("CLASS", "CREATED", "DESCRIPTION", "GEO", "LAST-MODIFIED", "LOCATION", "ORGANIZER"),
            *("PRIORITY", "SEQUENCE", "STATUS", "SUMMARY", "TRANSP", "URL", "RECURRENCE-ID"),
            *("RRULE", "DTEND", "DURATION"),
        )
        assert [name for name in at_most_once if names.count(name) > 1] == []
        assert not {"DTEND", "DURATION"} <= set(names)
        methods = [line for line in lines if line.startswith("METHOD:")]
        if trip.bookings.exclude(status="cancelled").exists():
            assert methods == ["METHOD:REQUEST"]
            assert any(name == "ATTENDEE" for name in names)
        else:
            assert "METHOD:REQUEST" not in methods, "nobody is asked to a day nobody is on"
        assert f"STATUS:{STATUS_OF[trip.status]}" in event
        assert re.fullmatch(
            r"DTSTAMP:\d{8}T\d{6}Z", next(line for line in event if line.startswith("DTSTAMP"))
        )
        for alarm in _alarms(lines):
            words = [re.split("[:;]", line)[0] for line in alarm]
            assert words.count("ACTION") == words.count("TRIGGER") == 1
        read = vobject.readOne(data.decode()).vevent
        assert read.dtstart.value == trip.starts_at
        assert read.dtend.value == trip.ends_at
        assert int(read.sequence.value) == trip.sequence


def test_a_trip_that_moved_raises_its_sequence_and_keeps_its_name(season: Any) -> None:
    trip = next_trip()
    before = vobject.readOne(made("invite.ics", trip).decode()).vevent
    move_trip_state(trip=trip, to=TripState.CANCELLED, reason="Swell")
    after = vobject.readOne(made("invite.ics", Trip.objects.get(pk=trip.pk)).decode()).vevent
    assert after.uid.value == before.uid.value
    assert int(after.sequence.value) > int(before.sequence.value)
    assert after.status.value == "CANCELLED"
    assert not hasattr(after, "valarm"), "nobody is woken for a day that is off"


def test_papers_on_the_page_are_those_of_the_command(
    season: Any, season_desk: Browser, tmp_path: Path
) -> None:
    trip = next_trip()
    assert manage("papers", str(trip.pk), "--out", str(tmp_path)).code == 0
    for name in trip_file_names():
        answer = season_desk.get(reverse("trip_paper", args=[trip.pk, name]))
        assert answer.status_code == 200
        assert "no-store" in answer.headers["Cache-Control"]
        assert f'-{name}"' in answer.headers["Content-Disposition"]
        assert answer.headers["X-Content-Type-Options"] == "nosniff"
        assert answer.content == (tmp_path / name).read_bytes(), name
    letter = season_desk.get(
        reverse("trip_paper", args=[trip.pk, "trip-sheet.pdf"]), {"paper": "Letter"}
    )
    assert round(pypdf.PdfReader(BytesIO(letter.content)).pages[0].mediabox.width) == 612


@pytest.mark.parametrize("size", ["A3", "../etc", "a4", ""])
def test_a_size_that_does_not_exist_is_the_usual_one(
    season_desk: Browser, season: Any, size: str
) -> None:
    answer = season_desk.get(
        reverse("trip_paper", args=[next_trip().pk, "trip-sheet.pdf"]), {"paper": size}
    )
    assert round(pypdf.PdfReader(BytesIO(answer.content)).pages[0].mediabox.width) == 595


@pytest.mark.parametrize(
    "name", ["secrets.pdf", "trip-sheet.exe", "..%2Fcost.csv", "TRIP-SHEET.PDF"]
)
def test_a_paper_that_does_not_exist_is_not_found(
    season_desk: Browser, season: Any, name: str
) -> None:
    assert season_desk.get(f"/trips/{next_trip().pk}/papers/{name}").status_code == 404


def test_a_trip_without_a_plan_has_no_papers_and_says_why(
    season_desk: Browser, season: Any, tmp_path: Path
) -> None:
    trip = next_trip()
    DayPlan.objects.filter(trip=trip).delete()
    answer = season_desk.get(reverse("trip_paper", args=[trip.pk, "trip-sheet.pdf"]), follow=True)
    assert "has no plan yet" in answer.content.decode()
    done = manage("papers", str(trip.pk), "--out", str(tmp_path / "out"))
    assert done.refused
    assert "has no plan yet" in done.err
    assert not (tmp_path / "out").exists()


def test_a_spot_without_a_tide_still_has_papers_that_say_so(season: Any) -> None:
    trip = next_trip()
    Spot.objects.filter(pk=trip.plan.spot_id).update(tide_source=None)
    words = text(made("trip-sheet.pdf", trip))
    assert "No tide prediction stands behind this day" in words
    assert made("run-sheet.pdf", trip)


def test_a_day_on_which_the_clocks_change_has_papers(season: Any) -> None:
    business = Business.objects.get()
    offer, spot = Offer.objects.get(name="Open day"), Spot.objects.get(name="Wreck Bay")
    for day in (datetime.date(2026, 10, 25), datetime.date(2027, 3, 28)):
        plan = plan_day(offer=offer, spot=spot, day=day, business=business, at=NOON)
        words = text(made("trip-sheet.pdf", plan.trip))
        assert f"{day.day} {day:%B %Y}" in words
        start = plan.trip.starts_at.astimezone(business.tz)
        assert f"{start:%H:%M}" in words


def test_a_folder_that_cannot_be_written_to_is_told(season: Any, tmp_path: Path) -> None:
    file = tmp_path / "taken"
    file.write_text("here already")
    done = manage("papers", "--next", "--out", str(file))
    assert done.refused
    assert "cannot be written to" in done.err
    assert file.read_text() == "here already"


def test_the_next_trip_is_the_next_whatever_the_hour(season: Any, tmp_path: Path) -> None:
    Business.objects.update(is_demo=False, demo_day=None)
    last = Trip.objects.filter(status="confirmed").order_by("-starts_at")[0]
    with time_machine.travel(last.ends_at, tick=False):
        done = manage("papers", "--next", "--out", str(tmp_path / "out"))
        assert done.refused
        assert "There is no confirmed trip to come" in done.err


def _files(folder: Path) -> dict[str, bytes]:
    return {path.name: path.read_bytes() for path in folder.iterdir()}


def _first_names(trip: Trip) -> list[str]:
    names = Participant.objects.filter(party__bookings__trip=trip).values_list(
        "given_name", flat=True
    )
    assert len(names) >= 3
    return list(names)


def _rename_everything(trip: Trip, words: str | None) -> None:
    """Every text that a paper prints, as nasty as given or as long as its column allows."""

    def fill(row: Any, *names: str) -> None:
        for name in names:
            longest = row._meta.get_field(name).max_length
            setattr(row, name, words or "W" * longest)
        row.save()

    for person in Participant.objects.filter(party__bookings__trip=trip):
        fill(person, "given_name", "family_name")
    for client in Client.objects.filter(parties__bookings__trip=trip):
        fill(client, "given_name", "family_name")
    fill(trip.offer, "name", "summary", "bring", "supplied")
    fill(trip, "meeting_place", "note")
    spot = trip.plan.spot
    fill(spot, "name", "access", "signal_point", "nearest_help", "hazards", "meeting_place")
    fill(trip.plan, "note")
    fill(Business.objects.get(), "name", "guide_name", "insurance", "shore_contact_name")


def _inside(lines: list[str], name: str) -> list[str]:
    """The lines of a component, those of components within it left out."""
    depth, found = 0, []
    for line in lines[lines.index(f"BEGIN:{name}") + 1 : lines.index(f"END:{name}")]:
        depth += line.startswith("BEGIN:")
        if not depth:
            found.append(line)
        depth -= line.startswith("END:")
    return found


def _alarms(lines: list[str]) -> Iterator[list[str]]:
    starts = [n for n, line in enumerate(lines) if line == "BEGIN:VALARM"]
    ends = [n for n, line in enumerate(lines) if line == "END:VALARM"]
    for start, end in zip(starts, ends, strict=True):
        yield lines[start + 1 : end]
