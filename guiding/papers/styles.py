"""The look of the papers: palette, type scale, and the styles that text is set in.

One scale of 1.2 from the size of the body; one step of space. The colours are dark enough to
read on a black-and-white printer, and nothing is told by colour alone.
"""

from dataclasses import dataclass
from functools import lru_cache
from typing import Any

from reportlab.lib.colors import Color, HexColor
from reportlab.lib.enums import TA_CENTER, TA_RIGHT
from reportlab.lib.styles import ParagraphStyle

from guiding.drawings.fonts import BODY, BODY_BOLD
from guiding.drawings.palette import LIGHT

RATIO = 1.2


class Tint:
    """The colours of the drawings, by the names that the papers call them."""

    INK: Color = LIGHT.ink_of("ink")
    QUIET: Color = LIGHT.ink_of("soft")
    KELP: Color = LIGHT.ink_of("go")
    SLATE: Color = LIGHT.ink_of("tide")
    RUST: Color = LIGHT.ink_of("stop")
    OCHRE: Color = LIGHT.ink_of("caution")
    SAND: Color = LIGHT.ink_of("paper")
    SAND_LINE: Color = HexColor("#cfc3a4")
    PAPER: Color = HexColor("#ffffff")
    BLACK: Color = HexColor("#000000")


@dataclass(frozen=True, slots=True)
class Styles:
    """Every style of a paper, made from the size of its body."""

    body_pt: float
    step_pt: float
    body: ParagraphStyle
    tight: ParagraphStyle
    right: ParagraphStyle
    strong: ParagraphStyle
    strong_right: ParagraphStyle
    small: ParagraphStyle
    small_right: ParagraphStyle
    caption: ParagraphStyle
    label: ParagraphStyle
    label_right: ParagraphStyle
    value: ParagraphStyle
    large: ParagraphStyle
    bullet: ParagraphStyle
    numbered: ParagraphStyle
    numbered_strong: ParagraphStyle
    rule: ParagraphStyle
    aloud: ParagraphStyle
    kicker: ParagraphStyle
    title: ParagraphStyle
    heading: ParagraphStyle
    business: ParagraphStyle
    banner: ParagraphStyle

    @classmethod
    @lru_cache(maxsize=16)
    def of(cls, body_pt: float, leading: float, step_share: float, black: bool = False) -> "Styles":
        """The styles for a body of this size; the same size gives the same object.

        `leading` and `step_share` are in sizes of the body: line to line, and one step of space.
        In `black` every letter is black or white, for papers that must survive any printer.
        """

        def style(name: str, power: float, **more: Any) -> ParagraphStyle:
            size = round(body_pt * RATIO**power, 1)
            known: dict[str, Any] = {
                "fontName": BODY,
                "fontSize": size,
                "leading": round(size * (leading if power <= 1 else 1.18), 1),
                "textColor": Tint.INK,
                "splitLongWords": 1,
                "bulletFontName": BODY,
                "bulletFontSize": size,
                "allowWidows": 0,
                "allowOrphans": 0,
            }
            told = known | more
            if black and told["textColor"] is not Tint.PAPER:
                told["textColor"] = Tint.BLACK
            return ParagraphStyle(name, **told)

        step = round(body_pt * step_share, 1)
        return cls(
            body_pt=body_pt,
            step_pt=step,
            body=style("body", 0, spaceAfter=step * 0.6),
            tight=style("tight", 0),
            right=style("right", 0, alignment=TA_RIGHT),
            strong=style("strong", 0, fontName=BODY_BOLD),
            strong_right=style("strong right", 0, fontName=BODY_BOLD, alignment=TA_RIGHT),
            small=style("small", -0.7, textColor=Tint.QUIET),
            small_right=style("small right", -0.7, textColor=Tint.QUIET, alignment=TA_RIGHT),
            caption=style("caption", -0.7, textColor=Tint.QUIET, alignment=TA_CENTER),
            label=style("label", -0.7, spaceBefore=2, fontName=BODY_BOLD, textColor=Tint.SLATE),
            label_right=style(
                "label right", -0.7, fontName=BODY_BOLD, textColor=Tint.SLATE, alignment=TA_RIGHT
            ),
            value=style("value", 1, fontName=BODY_BOLD),
            large=style("large", 3, fontName=BODY_BOLD),
            bullet=style("bullet", 0, leftIndent=body_pt, bulletIndent=1),
            numbered=style("numbered", 0, leftIndent=body_pt * 1.5, bulletIndent=1),
            numbered_strong=style(
                "numbered strong", 0, fontName=BODY_BOLD, leftIndent=body_pt * 1.5, bulletIndent=1
            ),
            rule=style("rule", 0.5, fontName=BODY_BOLD, leftIndent=body_pt * 1.7, bulletIndent=0),
            aloud=style("aloud", 0.8, spaceAfter=step * 0.5),
            kicker=style("kicker", 0, fontName=BODY_BOLD, textColor=Tint.KELP),
            title=style("title", 4, fontName=BODY_BOLD, spaceAfter=step),
            heading=style("heading", 0, fontName=BODY_BOLD, textColor=Tint.KELP, spaceAfter=1.5),
            business=style("business", 2, fontName=BODY_BOLD, textColor=Tint.KELP),
            banner=style("banner", 2, fontName=BODY_BOLD, textColor=Tint.PAPER),
        )
