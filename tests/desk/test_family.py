"""Every paper of a trip, from the rows to the file, checked by readers that are not ours."""

from __future__ import annotations

import io
import shutil
import subprocess
from pathlib import Path
from typing import Any

import pikepdf
import pypdf
import pytest
from django.core.management import CommandError, call_command

from bookings.models import Booking, Business, Trip
from guiding.desk.sheets.family import ALWAYS, trip_family
from guiding.desk.sheets.gather import gather
from tests.season import NOON

pytestmark = [pytest.mark.django_db, pytest.mark.once]
HOSTILE = {
    "markup": "<para>&amp; <b>Áine</b>",
    "long": "N" * 90,
    "right_to_left": "נועה כהן",
    "emoji": "Bo 🐟 Fisher",
}


def _next_trip() -> Trip:
    trip = Trip.objects.filter(starts_at__gt=NOON, status="confirmed", plan__isnull=False).first()
    assert trip is not None
    return trip


def _family(trip: Trip) -> dict[str, bytes]:
    file = gather(trip.pk, business=Business.objects.get())
    assert file is not None
    return trip_family(file, printed_at=NOON)


def _words(content: bytes) -> str:
    reader = pypdf.PdfReader(io.BytesIO(content))
    return " ".join(" ".join(page.extract_text() for page in reader.pages).split())


def test_the_command_writes_every_paper_that_has_something_to_say(
    season: Any, tmp_path: Path
) -> None:
    call_command("papers", str(_next_trip().pk), "--out", str(tmp_path), stdout=io.StringIO())
    names = {file.name for file in tmp_path.iterdir()}
    assert set(ALWAYS) < names
    assert {"briefing.pdf", "card-a6.pdf", "prep-lists.pdf"} <= names
    for file in tmp_path.glob("*.pdf"):
        with pikepdf.open(file) as pdf:
            assert pdf.check_pdf_syntax() == [], file.name
            assert pdf.docinfo["/Title"], file.name
            assert pdf.Root.Lang, file.name
        if shutil.which("qpdf"):
            done = subprocess.run(
                ["qpdf", "--check", str(file)], capture_output=True, text=True, check=False
            )
            assert done.returncode == 0, done.stdout + done.stderr


@pytest.mark.parametrize("name", HOSTILE)
def test_hostile_names_are_printed_as_they_are(season: Any, name: str) -> None:
    trip = _next_trip()
    person = Booking.objects.filter(trip=trip).first().party.participants.first()  # type: ignore[union-attr]
    type(person).objects.filter(pk=person.pk).update(given_name=HOSTILE[name], family_name="")
    made = _family(trip)
    sheet = _words(made["run-sheet.pdf"])
    for word in HOSTILE[name].split():
        if word.isascii():
            assert word[:40] in sheet.replace(" ", "") or word in sheet, word
    assert len(pypdf.PdfReader(io.BytesIO(made["trip-sheet.pdf"])).pages) <= 2


def test_a_note_of_3000_letters_without_a_blank_flows(season: Any) -> None:
    trip = _next_trip()
    Trip.objects.filter(pk=trip.pk).update(note="x" * 3000)
    words = _words(_family(trip)["run-sheet.pdf"]).replace(" ", "")
    assert words.count("x") >= 3000


def test_a_party_of_sixty_has_every_name_on_the_run_sheet(season: Any) -> None:
    trip = _next_trip()
    booking = Booking.objects.filter(trip=trip, status="confirmed").first()
    assert booking is not None
    for n in range(60):
        booking.party.participants.create(given_name=f"Walker{n:02d}", family_name="Strand")
    words = _words(_family(trip)["run-sheet.pdf"])
    assert all(f"Walker{n:02d}" in words for n in range(60))


def test_a_german_party_has_its_own_sheet(season: Any) -> None:
    trip = _next_trip()
    assert not any(name.startswith("trip-sheet-") for name in _family(trip))
    booking = Booking.objects.filter(trip=trip, status="confirmed").first()
    assert booking is not None
    type(booking.party.client).objects.filter(pk=booking.party.client_id).update(language="de")
    made = _family(trip)
    with pikepdf.open(io.BytesIO(made["trip-sheet-de.pdf"])) as pdf:
        assert str(pdf.Root.Lang).startswith("de")
    assert _words(made["trip-sheet-de.pdf"]) != _words(made["trip-sheet.pdf"])


def test_the_same_trip_gives_the_same_bytes(season: Any) -> None:
    trip = _next_trip()
    assert _family(trip) == _family(trip)


def test_a_trip_without_a_plan_says_so_and_writes_nothing(season: Any, tmp_path: Path) -> None:
    trip = _next_trip()
    trip.plan.delete()  # type: ignore[attr-defined]
    with pytest.raises(CommandError, match="no plan yet"):
        call_command("papers", str(trip.pk), "--out", str(tmp_path / "out"))
    assert not (tmp_path / "out").exists()
