"""Photographs for tests: signed sheets, as a phone would hand them in."""

from __future__ import annotations

from io import BytesIO

from PIL import Image, ImageDraw


def photograph(
    width: int = 900, height: int = 1200, kind: str = "JPEG", *, where: bool = True
) -> BytesIO:
    """A sheet with a few lines; the camera wrote the place beside it."""
    picture = Image.new("RGB", (width, height), "white")
    pen = ImageDraw.Draw(picture)
    for y in range(80, height - 80, 60):
        pen.line((60, y, width - 60, y), fill="black", width=3)
    out = BytesIO()
    exif = Image.Exif()
    if where and kind == "JPEG":
        exif[0x010F] = "A camera maker"
        exif[0x0112] = 6  # lies on its side
        exif.get_ifd(0x8825)[2] = (53.0, 25.0, 12.0)  # GPS latitude
        picture.save(out, kind, exif=exif)
    else:
        picture.save(out, kind)
    out.seek(0)
    return out
