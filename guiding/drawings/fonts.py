"""The embedded type family: one registration for drawings and papers."""

from functools import cache
from importlib.resources import files

from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFError, TTFont

BODY = "Body"
BODY_BOLD = "Body-Bold"
BODY_ITALIC = "Body-Italic"

_FILES = {
    BODY: "OpenSans-Regular.ttf",
    BODY_BOLD: "OpenSans-Bold.ttf",
    BODY_ITALIC: "OpenSans-Italic.ttf",
    "Body-BoldItalic": "OpenSans-BoldItalic.ttf",
}


@cache
def register_fonts() -> tuple[str, ...]:
    """Register Open Sans under the names Body, Body-Bold, Body-Italic and Body-BoldItalic.

    Safe to call any number of times. Raises ValueError when a font file is missing or damaged.
    """
    known = set(pdfmetrics.getRegisteredFontNames())
    for name, file_name in _FILES.items():
        if name in known:
            continue
        path = files("ttf_opensans") / "ttf" / file_name
        try:
            pdfmetrics.registerFont(TTFont(name, str(path)))
        except (TTFError, OSError) as wrong:
            raise ValueError(
                f"The font file {file_name} cannot be read; install the package ttf-opensans again."
            ) from wrong
    pdfmetrics.registerFontFamily(
        BODY, normal=BODY, bold=BODY_BOLD, italic=BODY_ITALIC, boldItalic="Body-BoldItalic"
    )
    return tuple(_FILES)


def text_width(text: str, size: float, font: str = BODY) -> float:
    """Width of a text in one of the embedded fonts, in the unit of `size`."""
    register_fonts()
    return float(pdfmetrics.stringWidth(text, font, size))
