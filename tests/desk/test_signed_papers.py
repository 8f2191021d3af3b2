"""The signed form as a PDF, a record checked in a shell, and the page of the square code."""

from __future__ import annotations

import datetime
import subprocess
import zipfile
from collections.abc import Iterator
from io import BytesIO, StringIO
from pathlib import Path
from typing import Any

import pypdf
import pytest
import time_machine
from django.core.cache import cache
from django.core.management import CommandError, call_command
from django.test import Client as Browser

from bookings.actions.retention import erase_signatures
from bookings.models import Business, Signature
from bookings.queries.records import signed_records
from bookings.queries.signers import of_person
from bookings.sheets.signed import ONE_LINER, record_files, record_zip
from guiding.desk.sheets.signed import signed_form, signed_form_file
from tests.factories import NOON
from tests.factories_signing import (
    ALLERGIC,
    CHILD,
    SECRET_WORDS,
    booked_trip,
    form_of,
    guardian_form,
    link_of,
    on_board,
    signed,
)
from tests.papers import reading

pytestmark = [pytest.mark.django_db, pytest.mark.once]
PROOF = "https://desk.example.org/proof/abc/"


@pytest.fixture(autouse=True)
def at_noon() -> Iterator[None]:
    cache.clear()
    with time_machine.travel(NOON, tick=False):
        yield


def record(**changes: Any) -> Signature:
    trip = booked_trip(heads=1)
    maeve = on_board(trip, "Maeve", family_name="Skerry", email="maeve@example.org")
    signed(trip, maeve, form=form_of(maeve, **changes))
    return signed_records().earliest("record")


def test_a_form_comes_on_the_paper_of_the_house_or_the_one_that_is_asked_for() -> None:
    signature, business = record(), Business.objects.get()

    def wide(page_size: str) -> float:
        data = signed_form_file(
            signature, business=business, printed_at=NOON, proof=PROOF, page_size=page_size
        )
        return round(pypdf.PdfReader(BytesIO(data)).pages[0].mediabox.width)

    assert (wide(""), wide("Letter")) == (595, 612)
    business.paper = "Letter"
    assert (wide(""), wide("A4")) == (612, 595)


def pdf_of(signature: Signature) -> bytes:
    return signed_form_file(
        signature, business=Business.objects.get(), printed_at=NOON, proof=PROOF
    )


def test_the_form_prints_text_mark_and_fingerprints() -> None:
    signature = record()
    data = pdf_of(signature)
    told = reading.text(data)
    plain = reading.squeezed(data)
    for words in signature.text.body.split("\n\n"):
        assert "".join(words.split()) in plain, "the text is printed word for word"
    assert "Maeve Skerry" in told
    assert "private link sent to maeve@example.org" in told
    assert signature.text.sha256 in plain
    assert signature.record.own_hash in plain
    assert signature.record.previous_hash in plain
    assert reading.facts(data)["title"].startswith("Signed form")
    assert reading.loose_fonts(data) == []
    assert pdf_of(signature) == data, "the same record gives the same bytes"


def test_the_drawn_strokes_are_on_the_paper() -> None:
    signature = record()
    paper = signed_form(signature, business=Business.objects.get(), printed_at=NOON, proof=PROOF)
    assert [len(stroke) for stroke in paper.strokes] == [60, 2]
    assert paper.strokes[1] == ((0.1, 0.8), (0.9, 0.82))
    assert paper.verify == PROOF
    assert paper.typed_name == ""


def test_a_guardians_form_names_the_minor_and_who_stays() -> None:
    trip = booked_trip()
    maeve = on_board(trip, "Maeve")
    finn = on_board(trip, "Finn", born_on=CHILD, guardian=maeve)
    form = guardian_form("Maeve", responsible=maeve, health=ALLERGIC)
    signed(trip, finn, signer=of_person(maeve), form=form)
    signature = signed_records().get(participant=finn, text__kind="guardian")
    told = reading.text(pdf_of(signature))
    assert "as mother of Finn, aged 9" in told
    assert "Stays responsible" in told
    for each in signed_records():
        assert SECRET_WORDS not in reading.text(pdf_of(each)), "no health note on any paper"


def test_a_hostile_name_is_printed_as_typed() -> None:
    nasty = "<para>Ma&eve</para> Ольга 李小龍"
    data = pdf_of(record(drawn="", typed=nasty, signer_name=nasty))
    assert "<para>Ma&eve</para>Ольга" in reading.squeezed(data)


def test_a_form_signed_again_says_so() -> None:
    signature = record()
    photos = signed_records().get(text__kind="photos")
    assert signature.participant is not None
    later = NOON + datetime.timedelta(hours=1)
    newer = signed(
        signature.trip,
        signature.participant,
        kinds=("photos",),
        form=form_of("Maeve Skerry", photos="no"),
        at=later,
    )[0]
    assert f"Superseded by {newer.pk}" in reading.text(pdf_of(photos))


# ------------------------------------------------------------------ checked elsewhere


def _shell(folder: Path) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        ["sh", "-c", ONE_LINER], cwd=folder, capture_output=True, text=True, timeout=60
    )


def _unpacked(signature: Signature, folder: Path) -> Path:
    content = record_zip(record_files(signature))
    with zipfile.ZipFile(BytesIO(content)) as archive:
        archive.extractall(folder)
    return folder


def test_the_shell_line_of_the_docs_checks_a_record(tmp_path: Path) -> None:
    signature = record()
    done = _shell(_unpacked(signature, tmp_path))
    assert done.returncode == 0, done.stderr
    assert done.stdout.splitlines()[-1].split() == [signature.record.own_hash, "chain.json"]
    assert ONE_LINER in (tmp_path / "HOW-TO-CHECK.txt").read_text(encoding="utf-8")


@pytest.mark.parametrize("name", ["record.json", "text.txt", "chain.json"])
def test_one_changed_byte_fails_in_the_shell(name: str, tmp_path: Path) -> None:
    folder = _unpacked(record(), tmp_path)
    file = folder / name
    content = bytearray(file.read_bytes())
    content[len(content) // 2] ^= 1
    file.write_bytes(content)
    assert _shell(folder).returncode != 0


@pytest.mark.parametrize("name", ["record.json", "text.txt"])
def test_a_changed_file_with_its_sum_put_right_still_fails(name: str, tmp_path: Path) -> None:
    folder = _unpacked(record(), tmp_path)
    file = folder / name
    file.write_bytes(file.read_bytes().replace(b"a", b"e", 1))
    done = subprocess.run(
        ["sh", "-c", "sha256sum record.json text.txt chain.json > SHA256SUMS"], cwd=folder
    )
    assert done.returncode == 0
    assert _shell(folder).returncode != 0


def test_a_changed_record_is_exported_with_the_sums_it_should_have(tmp_path: Path) -> None:
    signature = record()
    changed = signature.sealed.replace("Maeve", "Maude")
    Signature.objects.filter(pk=signature.pk).update(sealed=changed)
    signature = signed_records().get(pk=signature.pk)
    assert _shell(_unpacked(signature, tmp_path)).returncode != 0


def test_the_command_exports_one_record(tmp_path: Path) -> None:
    signature = record()
    out = tmp_path / "record.zip"
    args = ("verify_waivers", "--export", str(signature.pk), "--out", str(out))
    call_command(*args, stdout=StringIO())
    assert out.read_bytes() == record_zip(record_files(signature))
    with pytest.raises(CommandError, match="There is no signed record 999"):
        call_command("verify_waivers", "--export", "999", "--out", str(out))
    with pytest.raises(CommandError, match="Say where to write it"):
        call_command("verify_waivers", "--export", str(signature.pk))


def test_an_erased_record_has_no_paper_and_no_files(desk: Browser) -> None:
    signature = record()
    erase_signatures([signature], why="a test", at=NOON)
    assert desk.get(f"/signed/{signature.pk}.pdf").status_code == 404
    assert desk.get(f"/signed/{signature.pk}/files/").status_code == 404
    page = desk.get(f"/signed/{signature.pk}/").content.decode()
    assert "was erased when its time was up" in page


# ------------------------------------------------------------------ pages


def test_the_desk_hands_out_form_and_files(desk: Browser) -> None:
    signature = record()
    page = desk.get(f"/signed/{signature.pk}/").content.decode()
    assert f"/signed/{signature.pk}.pdf" in page
    assert "whole" in page
    assert "None" not in page
    form = desk.get(f"/signed/{signature.pk}.pdf")
    assert form.headers["Content-Type"] == "application/pdf"
    assert form.content.startswith(b"%PDF")
    files = desk.get(f"/signed/{signature.pk}/files/")
    assert zipfile.ZipFile(BytesIO(files.content)).testzip() is None
    assert "all whole" in desk.get("/signed/check/").content.decode()


def test_a_copy_is_its_signers_alone(client: Browser) -> None:
    """Each record at each link: one's own opens, every other is not there."""
    trip = booked_trip(heads=3)
    maeve, tomas = on_board(trip, "Maeve"), on_board(trip, "Tomas")
    finn = on_board(trip, "Finn", born_on=CHILD, guardian=maeve)
    doors = {person: link_of(of_person(person), trip)[1] for person in (maeve, tomas, finn)}
    signed(trip, maeve)
    signed(trip, tomas)
    signed(trip, finn, signer=of_person(maeve), form=guardian_form("Maeve", responsible=maeve))
    may = {maeve: {maeve.pk, finn.pk}, tomas: {tomas.pk}, finn: set()}
    for person, token in doors.items():
        for each in Signature.objects.all():
            answer = client.get(f"/sign/{token}/copy/{each.pk}.pdf")
            wanted = 200 if each.participant_id in may[person] else 404
            assert answer.status_code == wanted, (person, each.pk)
            if wanted == 200:
                assert answer.content.startswith(b"%PDF")
    page = client.get(f"/sign/{doors[tomas]}/").content.decode()
    assert page.count("PDF copy") == 4


def test_the_square_code_opens_a_page_that_names_nobody(client: Browser) -> None:
    signature = record()
    page = client.get(f"/proof/{signature.record.own_hash}/").content.decode()
    assert f"Record {signature.pk} is in the chain and whole." in page
    assert "Maeve" not in page
    assert client.get(f"/proof/{'0' * 64}/").status_code == 404
    changed = signature.sealed.replace("Maeve", "Maude")
    Signature.objects.filter(pk=signature.pk).update(sealed=changed)
    page = client.get(f"/proof/{signature.record.own_hash}/").content.decode()
    assert "is not what it was when it was signed" in page
