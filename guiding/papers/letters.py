"""Any text, made fit to stand in a paragraph: escaped, composed, and honest about lost letters.

The embedded family holds Latin, Greek and Cyrillic. A letter that it lacks is printed as the
family's own empty box, one a letter, and a footnote says so; a copied text still holds the
letter itself. Nothing is dropped but what nobody can see (controls and direction marks).
"""

import re
import unicodedata
from xml.sax.saxutils import escape

from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont

from guiding.drawings.fonts import register_fonts

BOX = "\u25a1"
_SPACES = {0x202F: "\u00a0", 0x2028: "\n", 0x2029: "\n", 0x0085: "\n", 0x0009: " "}
_RIGHT_TO_LEFT = re.compile("[\u0590-\u08ff\ufb1d-\ufdff\ufe70-\ufefc]{2,}")
_BEYOND = 0xFFFF
_UNSEEN = ("Cc", "Cf")


class Letters:
    """The letters of one paper; `missing` turns true once a text held one the font lacks."""

    def __init__(self) -> None:
        self.missing = False
        found = (pdfmetrics.getFont(name) for name in register_fonts())
        self._fonts = [font for font in found if isinstance(font, TTFont)]

    def plain(self, text: str) -> str:
        """The text as it will be drawn: composed, without controls, lost letters marked."""
        if text.isascii() and text.isprintable():
            return text
        composed = unicodedata.normalize("NFC", text)
        # A reader of the file takes letters from right to left as they lie on the page.
        laid = _RIGHT_TO_LEFT.sub(lambda run: run[0][::-1], composed)
        return "".join(self._letter(letter) for letter in laid)

    @staticmethod
    def bare(text: str) -> str:
        """The text for the facts of a file, which need no font: controls taken out."""
        kept = [letter for letter in text if unicodedata.category(letter) not in _UNSEEN]
        return "".join("\ufffd" if unicodedata.category(x) == "Cs" else x for x in kept)

    def safe(self, text: str) -> str:
        """The text as paragraph markup: nothing in it can act as markup, lines stay lines."""
        return escape(self.plain(text)).replace("\n", "<br/>")

    def _letter(self, letter: str) -> str:
        code = ord(letter)
        if code in _SPACES:
            return _SPACES[code]
        kind = unicodedata.category(letter)
        if kind in _UNSEEN:
            return "\n" if letter == "\n" else ""
        if code in self._fonts[0].face.charToGlyph:
            known = self._fonts[0].face.charToGlyph[code] != 0
            self.missing = self.missing or not known
            return letter
        self.missing = True
        if code > _BEYOND or kind == "Cs":
            letter = BOX
        self._teach(ord(letter))
        return letter

    def _teach(self, code: int) -> None:
        """Point a letter at the font's box: it is seen as a box and copied as itself."""
        for font in self._fonts:
            font.face.charToGlyph.setdefault(code, 0)
            font.face.charWidths.setdefault(code, font.face.defaultWidth)
