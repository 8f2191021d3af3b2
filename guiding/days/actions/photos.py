"""Photographs of spots: drawn anew, so that nothing but the picture is kept."""

from __future__ import annotations

import datetime
from typing import Any, BinaryIO

from django.core.exceptions import ValidationError
from django.core.files.base import ContentFile
from django.db import transaction
from django.utils import timezone

from equipment.actions.attachments import MOST_BYTES, redrawn
from guiding.days.models import Spot, SpotPhoto

_MOST_EACH = 40


@transaction.atomic
def add_photo(
    *,
    spot: Spot,
    file: BinaryIO,
    size: int,
    title: str = "",
    at: datetime.datetime | None = None,
    by: Any = None,
) -> SpotPhoto:
    """Keep a photograph of a spot, without the place, the time and the camera it came with."""
    if size > MOST_BYTES:
        raise ValidationError(
            {"file": f"The file has {size / 1e6:.0f} MB; the most is {MOST_BYTES / 1e6:.0f} MB."}
        )
    if spot.photos.filter(taken_off_at=None).count() >= _MOST_EACH:
        raise ValidationError({"file": f"{spot} has {_MOST_EACH} pictures; take one off first."})
    content = file.read(MOST_BYTES + 1)
    if content[:5] == b"%PDF-":
        raise ValidationError({"file": "That is a PDF: choose a picture (JPEG, PNG, WebP)."})
    kept, width, height = redrawn(content)
    row = SpotPhoto(
        spot=spot,
        title=title.strip(),
        size=len(kept),
        width=width,
        height=height,
        added_at=at or timezone.now(),
        added_by=by,
    )
    row.file.save("", ContentFile(kept), save=False)
    try:
        row.full_clean()
        row.save()
    except Exception:
        row.file.delete(save=False)
        raise
    return row


@transaction.atomic
def take_off_photo(*, photo: SpotPhoto, at: datetime.datetime | None = None) -> SpotPhoto:
    """Take a picture off the page; the file is kept for whoever has to look back."""
    photo.taken_off_at = at or timezone.now()
    photo.save(update_fields=["taken_off_at"])
    return photo
