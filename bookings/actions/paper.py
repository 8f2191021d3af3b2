"""A sheet signed with a pen: its photograph made safe, and signed records that rest on it."""

from __future__ import annotations

import datetime
import io
import warnings
from collections.abc import Sequence
from hashlib import sha256
from typing import BinaryIO

from django.contrib.auth.models import User
from django.core.exceptions import ValidationError
from django.core.files.base import ContentFile
from django.db import transaction
from django.utils import timezone
from PIL import Image, ImageOps, UnidentifiedImageError

from bookings.actions.handed_in import Circumstances, FormSigned
from bookings.actions.signatures import sign
from bookings.models import PaperSheet, Participant, Signature, TextVersion, Trip
from bookings.queries.signers import Signer

MOST_BYTES = 15 * 1024 * 1024
_MOST_PIXELS = 60_000_000
_LEAST_SIDE, _LONG_SIDE, _QUALITY = 300, 2400, 82
_KINDS = ("JPEG", "PNG", "WEBP")


def photo_of_sheet(file: BinaryIO, size: int) -> bytes:
    """The photograph as a fresh JPEG: turned upright, no larger than can be read, nothing else.

    What the camera wrote beside the picture, its place above all, is gone. ValidationError with a
    sentence when it is no picture of ours.
    """
    if size > MOST_BYTES:
        raise ValidationError(
            {"photo": "The photograph is larger than 15 MB. Take it with fewer pixels."}
        )
    refusal = ValidationError(
        {"photo": "This is no photograph that can be read. Give a JPEG, PNG or WebP file."}
    )
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("error", Image.DecompressionBombWarning)
            with Image.open(file, formats=_KINDS) as taken:
                if taken.width * taken.height > _MOST_PIXELS:
                    raise refusal
                if min(taken.size) < _LEAST_SIDE:
                    raise ValidationError(
                        {"photo": "The photograph is too small to read. Take a larger one."}
                    )
                upright = ImageOps.exif_transpose(taken).convert("RGB")
    except (UnidentifiedImageError, OSError, ValueError, SyntaxError, Image.DecompressionBombError):
        raise refusal from None
    except Image.DecompressionBombWarning:
        raise refusal from None
    upright.thumbnail((_LONG_SIDE, _LONG_SIDE))
    fresh = Image.new("RGB", upright.size)
    fresh.paste(upright)
    out = io.BytesIO()
    fresh.save(out, "JPEG", quality=_QUALITY, optimize=True)
    return out.getvalue()


def sign_on_paper(
    *,
    trip: Trip,
    person: Participant,
    signer: Signer,
    texts: Sequence[TextVersion],
    form: FormSigned,
    photo: bytes,
    user: User,
    at: datetime.datetime | None = None,
) -> list[Signature]:
    """Records of a sheet signed by hand and seen by the guide; `photo` from `photo_of_sheet`."""
    at = at or timezone.now()
    sheet = PaperSheet(sha256=sha256(photo).hexdigest(), stored_at=at, stored_by=user)
    sheet.file.save("sheet.jpg", ContentFile(photo), save=False)
    name = user.get_full_name() or user.get_username()
    how = Circumstances(
        method=Signature.Method.PAPER,
        identified_by=f"in person by {name}, who keeps the sheet",
        own_means="pen on paper",
        sheet=sheet,
        witness=name,
    )
    try:
        with transaction.atomic():
            sheet.save()
            signatures = sign(
                trip=trip, person=person, signer=signer, texts=texts, form=form, how=how, at=at
            )
            if all(signature.sheet_id != sheet.pk for signature in signatures):
                sheet.delete()  # pressed twice: the first sheet stands
                _drop(sheet)
            return signatures
    except BaseException:
        _drop(sheet)
        raise


def _drop(sheet: PaperSheet) -> None:
    """Take the file away again that belongs to no record."""
    if sheet.file.name:
        sheet.file.storage.delete(sheet.file.name)
