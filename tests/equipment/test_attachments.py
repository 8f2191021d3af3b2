"""Photographs and papers: what they are their content decides; nothing but pixels is kept."""

from __future__ import annotations

import io

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse
from PIL import Image

from equipment.models import Attachment
from tests.factories_equipment import CraftFactory

pytestmark = pytest.mark.django_db
PDF = b"%PDF-1.4\n1 0 obj<<>>endobj\ntrailer<<>>\n%%EOF\n"


def photograph(side=3000, fmt="JPEG"):
    """A picture that says where it was taken."""
    picture = Image.new("RGB", (side, side // 2), "teal")
    exif = Image.Exif()
    exif[0x010F] = "Marram camera"
    exif.get_ifd(0x8825)[2] = (53.0, 21.0, 0.0)  # latitude
    exif[0x0112] = 6  # lies on its side
    out = io.BytesIO()
    picture.save(out, fmt, exif=exif)
    return out.getvalue()


@pytest.fixture
def craft():
    return CraftFactory()


def send(desk, craft, content, name="photo.jpg", title="Rotor 2"):
    file = SimpleUploadedFile(name, content)
    return desk.post(reverse("attachment_new", args=[craft.pk]), {"file": file, "title": title})


def test_a_photograph_is_drawn_anew_without_its_place(desk, craft):
    assert b"Marram camera" in photograph()
    assert send(desk, craft, photograph()).status_code == 303
    row = Attachment.objects.get()
    kept = row.file.read()
    assert b"Marram camera" not in kept
    with Image.open(io.BytesIO(kept)) as picture:
        assert not picture.getexif()
        assert picture.format == "JPEG"
        assert max(picture.size) == 2000
        assert picture.height > picture.width  # set upright
    assert "photo" not in row.file.name


def test_it_is_given_back_as_a_download_only(desk, craft):
    send(desk, craft, PDF, "manual.exe", title='man"ual/../x')
    row = Attachment.objects.get()
    assert row.kind == "paper"
    page = desk.get(reverse("attachment", args=[row.pk]))
    assert page["Content-Type"] == "application/pdf"
    assert page["Content-Disposition"] == 'attachment; filename="manualx.pdf"'
    assert page["X-Content-Type-Options"] == "nosniff"
    assert b"".join(page) == PDF
    desk.post(reverse("attachment_off", args=[row.pk]))
    assert desk.get(reverse("attachment", args=[row.pk])).status_code == 404


@pytest.mark.parametrize(
    ("content", "name"),
    [
        (b"<html><script>alert(1)</script></html>", "photo.jpg"),
        (b"<svg xmlns='http://www.w3.org/2000/svg' onload='alert(1)'/>", "photo.svg"),
        (b"MZ\x90\x00", "paper.pdf"),
        (photograph(400)[:300], "cut.jpg"),
        (b"%PDF-1.4 half a pap", "paper.pdf"),
        (b"GIF89a\x01\x00\x01\x00", "a.gif"),
    ],
)
def test_what_is_neither_picture_nor_paper_is_refused(desk, craft, content, name):
    page = send(desk, craft, content, name)
    assert page.status_code == 422
    assert not Attachment.objects.exists()


def test_too_large_and_empty_files_are_refused(desk, craft, monkeypatch):
    from equipment.actions import attachments

    monkeypatch.setattr(attachments, "MOST_BYTES", 1000)
    page = send(desk, craft, photograph(800))
    assert page.status_code == 422
    assert "the most is" in page.content.decode()
    monkeypatch.setattr(attachments, "MOST_PIXELS", 100)
    monkeypatch.setattr(attachments, "MOST_BYTES", 10_000_000)
    assert "make it smaller" in send(desk, craft, photograph(800)).content.decode()
    assert send(desk, craft, b"").status_code == 422
    assert not Attachment.objects.exists()
