"""Photographs and papers of a thing: looked at before they are kept."""

from __future__ import annotations

import datetime
import io
from typing import Any, BinaryIO

from django.core.exceptions import ValidationError
from django.core.files.base import ContentFile
from django.db import transaction
from django.utils import timezone
from PIL import Image, ImageOps

from equipment.models import Attachment, Thing

MOST_BYTES = 15 * 1024 * 1024
MOST_PIXELS = 60_000_000
LONGEST_SIDE = 2000
_MOST_EACH = 40
_IMAGE_FORMATS = ("JPEG", "PNG", "WEBP")


@transaction.atomic
def attach(
    *,
    thing: Thing,
    file: BinaryIO,
    size: int,
    title: str = "",
    at: datetime.datetime | None = None,
    by: Any = None,
) -> Attachment:
    """Keep a photograph or a PDF with a thing.

    What it is, its content decides, not its name. A photograph is drawn anew, so that nothing but
    its pixels is kept: no place, no time, no camera.
    """
    if size > MOST_BYTES:
        raise ValidationError(
            {"file": f"The file has {size / 1e6:.0f} MB; the most is {MOST_BYTES / 1e6:.0f} MB."}
        )
    if size == 0:
        raise ValidationError({"file": "The file is empty."})
    if Attachment.objects.filter(thing=thing.pk, taken_off_at=None).count() >= _MOST_EACH:
        raise ValidationError(
            {"file": f"{thing.label} has {_MOST_EACH} files; take one off first."}
        )
    content = file.read(MOST_BYTES + 1)
    row = Attachment(thing_id=thing.pk, added_at=at or timezone.now(), added_by=by)
    if content[:5] == b"%PDF-":
        kept = _pdf(content)
        row.kind, row.content_type = Attachment.Kind.PAPER, "application/pdf"
    else:
        kept, row.width, row.height = redrawn(content)
        row.kind, row.content_type = Attachment.Kind.PHOTO, "image/jpeg"
    row.title = title.strip()[:120] or str(row.get_kind_display()).capitalize()
    row.size = len(kept)
    row.file.save("", ContentFile(kept), save=False)
    try:
        row.full_clean()
        row.save()
    except Exception:
        row.file.delete(save=False)
        raise
    return row


@transaction.atomic
def take_off(*, attachment: Attachment, at: datetime.datetime | None = None) -> Attachment:
    """Take a file off the page of its thing; it is kept for whoever has to look back."""
    attachment.taken_off_at = at or timezone.now()
    attachment.save(update_fields=["taken_off_at"])
    return attachment


def _pdf(content: bytes) -> bytes:
    if b"%%EOF" not in content[-2048:]:
        raise ValidationError(
            {"file": "The PDF breaks off before its end. Save or scan it again, then send it."}
        )
    return content


def redrawn(content: bytes) -> tuple[bytes, int, int]:
    """The picture drawn anew, upright, no side longer than the page can use."""
    try:
        with Image.open(io.BytesIO(content), formats=_IMAGE_FORMATS) as picture:
            if picture.width * picture.height > MOST_PIXELS:
                raise ValidationError(
                    {"file": f"The picture has {picture.width} x {picture.height} points: "
                     "make it smaller first."}
                )  # fmt: skip
            upright = ImageOps.exif_transpose(picture)
            upright.thumbnail((LONGEST_SIDE, LONGEST_SIDE))
            plain = Image.new("RGB", upright.size, "white")
            rgba = upright.convert("RGBA")
            plain.paste(rgba, mask=rgba.getchannel("A"))
    except (OSError, SyntaxError, ValueError, Image.DecompressionBombError) as error:
        raise ValidationError(
            {"file": "That is neither a picture (JPEG, PNG, WebP) nor a PDF, or it is damaged."}
        ) from error
    out = io.BytesIO()
    plain.save(out, "JPEG", quality=85, optimize=True)
    return out.getvalue(), plain.width, plain.height
