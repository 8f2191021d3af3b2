"""Scans of papers: looked at before they are kept."""

from __future__ import annotations

import io
from typing import BinaryIO

from django.core.exceptions import ValidationError
from PIL import Image

_MOST_BYTES = 5 * 1024 * 1024


def kept_scan(file: BinaryIO) -> tuple[str, bytes]:
    """A scan as it came, when its content is a PDF or a picture; a picture without its location."""
    content = file.read(_MOST_BYTES + 1)
    if len(content) > _MOST_BYTES:
        raise ValidationError({"file": "The file is larger than 5 MB. Scan it smaller."})
    if content.startswith(b"%PDF-"):
        return "pdf", content
    try:
        with Image.open(io.BytesIO(content), formats=("JPEG", "PNG", "WEBP")) as picture:
            picture.thumbnail((2400, 2400))
            out = io.BytesIO()
            picture.convert("RGB").save(out, "JPEG", quality=85)
    except (OSError, ValueError, SyntaxError, Image.DecompressionBombError):
        raise ValidationError(
            {"file": "That is neither a PDF nor a picture, or it is damaged. Scan it again."}
        ) from None
    return "jpg", out.getvalue()
