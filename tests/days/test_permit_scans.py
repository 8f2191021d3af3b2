"""The scan of a permission: judged by its content, kept under a name that says nothing, given out
as a file."""

from __future__ import annotations

import datetime
import io
from typing import Any

import pytest
from django.core.exceptions import ValidationError
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse
from PIL import Image

from guiding.days.actions.permits import save_permit
from guiding.days.models import DropPermit
from guiding.days.queries.drops import permission_on
from tests.factories_days import SpotFactory

DAY = datetime.date(2026, 6, 13)
PDF = b"%PDF-1.7 a permission %%EOF"


def fields(**changes: Any) -> dict[str, Any]:
    return {
        "kind": "aviation",
        "authority": "Demo Aviation Board",
        "number": "DEMO-AV-1",
        "valid_from": DAY,
        "valid_until": DAY,
        "covers_dropping": True,
        **changes,
    }


def test_a_scan_proves_that_the_paper_is_on_file(db: None) -> None:
    spot = SpotFactory()
    save_permit(spots=[spot], **fields(kind="fishery", copy_kept="folder"))
    bare = save_permit(spots=[spot], **fields())
    assert "file" in permission_on(spot=spot, on=DAY).sentence
    save_permit(permit=bare, spots=[spot], file=io.BytesIO(PDF))
    assert permission_on(spot=spot, on=DAY).sentence == ""
    save_permit(permit=bare, spots=[spot], conditions="By day")
    assert DropPermit.objects.get(pk=bare.pk).file.read() == PDF


def test_what_is_no_paper_is_refused_and_a_picture_loses_its_place(db: None) -> None:
    spot = SpotFactory()
    for wrong in (b"<script>alert(1)</script>", b"MZ\x90", b""):
        with pytest.raises(ValidationError, match="neither a PDF nor a picture"):
            save_permit(spots=[spot], file=io.BytesIO(wrong), **fields())
    with pytest.raises(ValidationError, match="larger than 5 MB"):
        save_permit(spots=[spot], file=io.BytesIO(b"%PDF-" + b"0" * 6_000_000), **fields())
    assert not DropPermit.objects.exists()
    picture = io.BytesIO()
    exif = Image.Exif()
    exif[0x010E] = "at the secret spot"
    Image.new("RGB", (40, 30), "white").save(picture, "JPEG", exif=exif)
    picture.seek(0)
    kept = save_permit(spots=[spot], file=picture, **fields())
    assert b"secret spot" not in kept.file.read()


def test_it_is_sent_with_the_form_and_comes_back_as_a_file(desk: Client) -> None:
    spot = SpotFactory()
    sent = SimpleUploadedFile("../../evil <b>.pdf", PDF, "text/html")
    answer = desk.post(reverse("permit_new"), fields(spots=[spot.pk], file=sent))
    assert answer.status_code == 302
    permit = DropPermit.objects.get()
    assert permit.file.name.startswith("permits/")
    assert "evil" not in permit.file.name
    where = reverse("permit_file", args=[permit.pk])
    assert where in desk.get(reverse("permit_list")).content.decode()
    given = desk.get(where)
    assert given["Content-Disposition"] == f'attachment; filename="permission-{permit.pk}.pdf"'
    assert given["X-Content-Type-Options"] == "nosniff"
    assert b"".join(given.streaming_content) == PDF  # type: ignore[arg-type]
    DropPermit.objects.update(file="")
    assert desk.get(where).status_code == 404
