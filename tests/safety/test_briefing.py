"""The briefing and the emergency card: for this party, this spot and this day."""

from __future__ import annotations

import importlib
import io
from pathlib import Path
from typing import Any

import pytest
from django.core.management import CommandError, call_command
from pypdf import PdfReader

from bookings.models import Business
from bookings.queries.trips import next_trips
from equipment.models import Thing
from guiding.days.models import DayPlan, Spot
from guiding.desk.sheets.briefing import briefing_paper, card_paper, talk
from guiding.desk.sheets.files import make_trip_file
from guiding.desk.sheets.gather import TripFile, gather
from guiding.desk.sheets.risks import trip_facts
from guiding.safety.rules.briefing import WORDS_MOST, spoken_briefing
from guiding.safety.rules.facts import FiredHazard
from guiding.safety.rules.triggers import TRIGGERS
from guiding.safety.sheets.card import position_of_spot
from tests.factories import NOON
from tests.factories_safety import shipped_library
from tests.reference import published


@pytest.fixture
def file(season: Any) -> TripFile:
    trip = next_trips(at=NOON).filter(status="confirmed", plan__isnull=False).first()
    assert trip is not None
    found = gather(trip.pk, business=Business.objects.get())
    assert found is not None
    return found


def text_of(content: bytes) -> str:
    pages = PdfReader(io.BytesIO(content)).pages
    return " ".join(" ".join(page.extract_text() for page in pages).split())


def test_the_familys_briefing_is_under_three_minutes_and_in_order(file: TripFile) -> None:
    said = talk(file).spoken
    words = " ".join(line for part in said.parts for line in (part.heading, *part.lines))
    assert len(words.split()) == said.words <= WORDS_MOST
    assert said.left_out == ()
    headings = [part.heading for part in said.parts]
    assert headings == [
        "When we arrive",
        "The water",
        "Rods and hooks",
        "While it flies",
        "If I am hurt",
    ]
    assert "I count 4 of you. This is Wreck Bay." in words


def test_it_names_only_hazards_that_can_happen_there(file: TripFile) -> None:
    facts, said = trip_facts(file), talk(file)
    words = " ".join(line for part in said.spoken.parts for line in part.lines)
    printed = text_of(make_trip_file("briefing.pdf", file, printed_at=NOON))
    for hazard in shipped_library():
        fires = bool(TRIGGERS[hazard.trigger](facts))
        assert (hazard.say in words) is fires, hazard.key
        assert (hazard.name in printed) is fires, hazard.key


def test_the_paper_is_read_aloud_and_ends_with_the_childrens_page(file: TripFile) -> None:
    said = talk(file)
    content = make_trip_file("briefing.pdf", file, printed_at=NOON)
    pages = [" ".join(page.extract_text().split()) for page in PdfReader(io.BytesIO(content)).pages]
    aloud = " ".join(pages)
    for part in said.spoken.parts:
        for line in part.lines:
            assert line in aloud
    assert said.minutes < 3
    assert said.spoken.parts[0].lines[0] in pages[0]
    for line in said.children:
        assert line in pages[-1]
        assert line not in pages[0]


def test_where_words_run_out_the_gravest_stay(file: TripFile) -> None:
    everything = tuple(FiredHazard(one, "made") for one in shipped_library())
    said = spoken_briefing(everything, opening=("Hello.",), guide_hurt=("Call.",), words_most=150)
    assert said.words <= 150
    left = {one.weight for one in everything if one.name in said.left_out}
    kept = [one.weight for one in everything if one.name not in said.left_out]
    assert max(kept) == 20
    assert max(left) <= 20
    assert said.left_out
    with pytest.raises(ValueError, match="longer than 5 words"):
        spoken_briefing((), opening=("one two three",), guide_hurt=("four five",), words_most=5)


def test_the_children_have_lines_of_their_own(file: TripFile) -> None:
    said = talk(file)
    assert len(said.child_names) == 2
    assert "Lost? Sit down by the truck and wait." in said.children
    assert len(set(said.children)) == len(said.children)


def test_the_paper_holds_every_hazard_with_its_number_and_both_scores(file: TripFile) -> None:
    record = briefing_paper(file, printed_at=NOON)
    printed = text_of(make_trip_file("briefing.pdf", file, printed_at=NOON))
    for item in record.items:
        assert item.name in printed
        assert item.trigger in printed
        assert item.before is not None
        assert item.after is not None
        assert item.after.score <= item.before.score
    for name in record.first_names:
        assert name in printed
    assert "almost certain" in printed


@pytest.mark.parametrize("row", published.rows("utm_mgrs_cases"), ids=lambda row: row["name"])
def test_the_card_writes_positions_as_published(row: dict[str, str]) -> None:
    latitude, longitude = float(row["latitude_deg"]), float(row["longitude_deg"])
    where = position_of_spot(latitude, longitude)
    zone, east, north = where.grid.split()
    expected = row["mgrs_1m"].split()
    assert (zone.lstrip("0"), east, north) == (expected[0].lstrip("0"), *expected[1:])
    first, second = (float(part) for part in where.decimal.split(", "))
    assert (first, second) == (round(latitude, 5), round(longitude, 5))
    for written, angle_deg, marks in zip(
        where.minutes.split(), (latitude, longitude), ("NS", "EW"), strict=True
    ):
        degrees, minutes = written[:-2].split("°")
        assert int(degrees) + float(minutes) / 60 == pytest.approx(abs(angle_deg), abs=1e-5)
        assert written[-1] == marks[angle_deg < 0]


def test_the_card_says_where_who_and_what_and_nobodys_health(file: TripFile) -> None:
    for name in ("card-a6.pdf", "card-sheet.pdf"):
        content = make_trip_file(name, file, printed_at=NOON)
        text = text_of(content).replace("\u00a0", " ")
        where = position_of_spot(file.plan.spot.latitude, file.plan.spot.longitude)
        for words in ("112", "Wreck Bay", "4 people", where.minutes, where.grid, "Orla Tern"):
            assert words in text, f"{words} on {name}"
        assert "inhaler" not in text
        assert len(PdfReader(io.BytesIO(content)).pages) == 1


def test_a_number_where_sources_disagree_is_printed_as_unconfirmed(file: TripFile) -> None:
    words = "(unconfirmed: check with your local authority)"
    for checked in (True, False):
        Business.objects.update(country="ZA", emergency_number="10112", emergency_checked=checked)
        fresh = gather(file.trip.pk, business=Business.objects.get())
        assert fresh is not None
        for name in ("card-a6.pdf", "card-sheet.pdf", "trip-sheet.pdf"):
            text = " ".join(text_of(make_trip_file(name, fresh, printed_at=NOON)).split())
            assert "10112" in text
            assert (words in text) is not checked, name


def test_the_planned_vehicle_stands_on_the_card_and_beside_the_sand(file: TripFile) -> None:
    truck = Thing.objects.get(kind="vehicle")
    assert file.plan is not None
    assert file.plan.vehicle == truck  # the only one there is
    record = card_paper(file, printed_at=NOON)
    assert record.vehicle == "Truck: Grey pick-up at the lay-by, nose to the road"
    fired = {one.key: one.trigger for one in talk(file).assessment.fired}
    assert fired["bogging"] == "4 km on sand with Truck"
    DayPlan.objects.filter(pk=file.plan.pk).update(vehicle=None)
    alone = gather(file.trip.pk, business=file.business)
    assert alone is not None
    assert card_paper(alone, printed_at=NOON).vehicle.startswith("Grey pick-up")


@pytest.mark.parametrize(
    ("coverage", "point", "said", "fires"),
    [
        ("none", "On the dune.", "Signal: No signal at the spot. On the dune.", True),
        ("weak", "", "Signal: Weak at the spot, not to be relied on.", True),
        ("good", "", "Signal: Works at the spot.", False),
        ("unknown", "", "nobody has noted whether it works here", False),
    ],
)
def test_what_the_phone_does_is_said_and_fires(
    file: TripFile, coverage: str, point: str, said: str, fires: bool
) -> None:
    Spot.objects.filter(pk=file.plan.spot_id).update(coverage=coverage, signal_point=point)
    found = gather(file.trip.pk, business=file.business)
    assert found is not None
    words = talk(found)
    assert said in " ".join(words.spoken.parts[-1].lines)
    assert ("remote" in {one.key for one in words.assessment.fired}) is fires


@pytest.mark.parametrize(
    ("words", "choice"),
    [
        ("", "unknown"),
        ("None on the sand. Nearest signal: the head of the slip.", "none"),
        ("Good on the dune, none on the wet sand.", "none"),
        ("Weak at the upper stile.", "weak"),
        ("Full everywhere", "good"),
        ("the head of the slip", "none"),
    ],
)
def test_words_that_stood_for_the_phone_become_a_choice(words: str, choice: str) -> None:
    moved = importlib.import_module("guiding.days.migrations.0002_vehicle_and_coverage")
    assert moved.coverage_of(words) == choice


def test_a_card_needs_a_plan(file: TripFile) -> None:
    from dataclasses import replace

    with pytest.raises(ValueError, match="no plan yet"):
        card_paper(replace(file, plan=None), printed_at=NOON)


def test_the_command_writes_the_paper(file: TripFile, tmp_path: Path, capsys: Any) -> None:
    out = tmp_path / "made" / "briefing.pdf"
    call_command("briefing", str(file.trip.pk), "--out", str(out))
    assert out.read_bytes().startswith(b"%PDF")
    assert "words read aloud" in capsys.readouterr().out
    with pytest.raises(CommandError, match="There is no trip"):
        call_command("briefing", "999999", "--out", str(out))
    blocked = tmp_path / "file"
    blocked.write_text("x")
    with pytest.raises(CommandError, match="cannot be written"):
        call_command("briefing", str(file.trip.pk), "--out", str(blocked / "b.pdf"))
