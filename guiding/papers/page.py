"""The page that every paper stands on: grid, header, footer, page numbers, bookmarks."""

from collections.abc import Callable
from dataclasses import dataclass
from io import BytesIO
from typing import Any

from reportlab.lib.colors import Color
from reportlab.lib.pagesizes import A4, LETTER
from reportlab.lib.units import mm
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import BaseDocTemplate, Flowable, Frame, PageTemplate, Paragraph

from guiding.drawings.fonts import BODY, BODY_BOLD
from guiding.papers.records import PageSize
from guiding.papers.styles import Tint

MARGIN = 15 * mm
_FOOT = 13 * mm
_GAP = 3 * mm
_CARD_MARGIN = 6 * mm
_CARD_SMALL_PT = 8.0
CARD_MM = (105.0, 148.0)
Size = tuple[float, float]
_SHEETS: dict[PageSize, Size] = {PageSize.A4: A4, PageSize.LETTER: LETTER}


@dataclass(frozen=True, slots=True)
class Furniture:
    """What stands around the text: paragraphs of the header, lines of the footer.

    `head` and `head_right` open the first page; `runner` heads every following page. `foot` is
    the line with title, number and printing time; `page_of` has the places {page} and {pages}.
    """

    head: Paragraph
    head_right: Paragraph
    runner: Paragraph
    foot: str
    foot_below: str
    page_of: str
    small_pt: float


@dataclass(frozen=True, slots=True)
class Facts:
    """What the file says of itself; `band` is written over every page."""

    title: str
    author: str
    subject: str
    language: str
    band: str = ""


class _NumberedCanvas(Canvas):
    """A canvas that writes 'page n of m' once m is known, without building twice."""

    page_of = "{page} / {pages}"
    small_pt = 8.0
    folio_x = 0.0
    folio_y = 0.0

    def save(self) -> None:
        pages = self.getPageNumber() - 1
        for page in range(1, pages + 1):
            self.beginForm(f"folio-{page}")
            self.setFont(BODY, self.small_pt)
            self.setFillColor(Tint.QUIET)
            text = self.page_of.format(page=page, pages=pages)
            self.drawRightString(self.folio_x, self.folio_y, text)
            self.endForm()
        super().save()


def _file_facts(facts: Facts) -> dict[str, Any]:
    return {
        "title": facts.title,
        "author": facts.author,
        "subject": facts.subject,
        "creator": "Sandspike",
        "lang": facts.language,
        "invariant": 1,
        "initialFontName": BODY,
        "displayDocTitle": True,
    }


class _Banded(BaseDocTemplate):
    """A document with words in a band over every page, in the margin where nothing else stands.

    `band_mm` is how far the band begins below the edge of the sheet and where it ends.
    """

    band = ""
    band_mm = (1.0, 5.2)

    def afterPage(self) -> None:  # noqa: N802  the library's name
        # Drawn last: on a sheet without margins nothing may hide it.
        if not self.band:
            return
        width, height = self.pagesize
        upper, lower = (height - mm_below * mm for mm_below in self.band_mm)
        side = self.band_mm[1] * mm
        size = (upper - lower) * 0.68
        self.canv.saveState()
        self.canv.setFillColor(Tint.BLACK)
        self.canv.rect(side, lower, width - 2 * side, upper - lower, stroke=0, fill=1)
        self.canv.setFillColor(Tint.PAPER)
        self.canv.setFont(BODY_BOLD, size)
        self.canv.drawCentredString(width / 2, lower + (upper - lower - 0.72 * size) / 2, self.band)
        self.canv.restoreState()


class _Template(_Banded):
    """A document whose pages carry the furniture."""

    band_mm = (3.5, 9.0)

    def __init__(self, file: BytesIO, size: PageSize, furniture: Furniture, facts: Facts) -> None:
        self.furniture, self.band = furniture, facts.band
        width, height = _SHEETS[size]
        super().__init__(
            file,
            pagesize=(width, height),
            **_file_facts(facts),
        )
        inner = width - 2 * MARGIN
        first = self._first_head_height(inner)
        later = furniture.runner.wrap(inner, height)[1]
        self.addPageTemplates(
            [
                self._page("first", first, self._draw_first),
                self._page("later", later, self._draw_later),
            ]
        )

    def _first_head_height(self, inner: float) -> float:
        left = self.furniture.head.wrap(inner * 0.42, 1000)[1]
        right = self.furniture.head_right.wrap(inner * 0.57, 1000)[1]
        return float(max(left, right))

    def _page(self, name: str, head: float, draw: Callable[[Any, Any], None]) -> PageTemplate:
        width, height = self.pagesize
        top = height - 11 * mm - head - _GAP
        frame = Frame(
            MARGIN, _FOOT + _GAP, width - 2 * MARGIN, top - _FOOT - _GAP, 0, 0, 0, 0, id=name
        )
        return PageTemplate(id=name, frames=[frame], onPage=draw, autoNextPageTemplate="later")

    def _draw_first(self, canvas: _NumberedCanvas, _doc: object) -> None:
        width, height = self.pagesize
        inner = width - 2 * MARGIN
        left, right = self.furniture.head, self.furniture.head_right
        top = height - 11 * mm
        left.drawOn(canvas, MARGIN, top - left.height)
        right.drawOn(canvas, width - MARGIN - inner * 0.57, top - right.height)
        low = top - max(left.height, right.height) - 1.2 * mm
        self._rule(canvas, low, Tint.KELP, 1.4)
        self._draw_foot(canvas)

    def _draw_later(self, canvas: _NumberedCanvas, _doc: object) -> None:
        width, height = self.pagesize
        runner = self.furniture.runner
        runner.wrap(width - 2 * MARGIN, height)
        runner.drawOn(canvas, MARGIN, height - 11 * mm - runner.height)
        self._rule(canvas, height - 11 * mm - runner.height - 1.2 * mm, Tint.KELP, 0.7)
        self._draw_foot(canvas)

    def _draw_foot(self, canvas: _NumberedCanvas) -> None:
        width, _height = self.pagesize
        furniture = self.furniture
        self._rule(canvas, _FOOT, Tint.SAND_LINE, 0.6)
        canvas.setFont(BODY, furniture.small_pt)
        canvas.setFillColor(Tint.QUIET)
        line = _FOOT - furniture.small_pt - 1.5
        canvas.drawString(MARGIN, line, furniture.foot)
        if furniture.foot_below:
            canvas.drawString(MARGIN, line - furniture.small_pt * 1.25, furniture.foot_below)
        canvas.folio_x, canvas.folio_y = width - MARGIN, line
        canvas.page_of, canvas.small_pt = furniture.page_of, furniture.small_pt
        canvas.doForm(f"folio-{canvas.getPageNumber()}")

    def _rule(self, canvas: Canvas, y: float, colour: Color, weight: float) -> None:
        canvas.setStrokeColor(colour)
        canvas.setLineWidth(weight)
        canvas.line(MARGIN, y, self.pagesize[0] - MARGIN, y)


class _Bare(_Banded):
    """A document without furniture: a card with a line at its foot, or labels to the edge."""

    def __init__(self, file: BytesIO, size: Size, margin: float, foot: str, facts: Facts) -> None:
        super().__init__(file, pagesize=size, **_file_facts(facts))
        self.foot, self.margin, self.band = foot, margin, facts.band
        low = margin + (_CARD_SMALL_PT if foot else 0.0)
        frame = Frame(
            margin, low, size[0] - 2 * margin, size[1] - margin - low, 0, 0, 0, 0, id="bare"
        )
        self.addPageTemplates([PageTemplate(id="bare", frames=[frame], onPage=self._draw_foot)])

    def _draw_foot(self, canvas: Canvas, _doc: object) -> None:
        if self.foot:
            canvas.setFont(BODY, _CARD_SMALL_PT - 1)
            canvas.setFillColor(Tint.QUIET)
            canvas.drawString(self.margin, self.margin - 3, self.foot)


@dataclass(frozen=True, slots=True)
class Finished:
    """A finished document and the number of its pages."""

    data: bytes
    pages: int


class Press:
    """Turns flowables into the bytes of a document."""

    @staticmethod
    def inner_width(size: PageSize) -> float:
        """Width between the margins, in points."""
        return float(_SHEETS[size][0] - 2 * MARGIN)

    @staticmethod
    def run(story: list[Flowable], size: PageSize, furniture: Furniture, facts: Facts) -> Finished:
        """The document with its header, footer and facts."""
        file = BytesIO()
        template = _Template(file, size, furniture, facts)
        template.build(story, canvasmaker=_NumberedCanvas)
        return Finished(file.getvalue(), template.page)

    @staticmethod
    def sheet_size(size: PageSize) -> Size:
        """Width and height of a sheet, in points."""
        return _SHEETS[size]

    @staticmethod
    def card_width(size_mm: Size) -> float:
        """Width of the text of a card, in points."""
        return size_mm[0] * mm - 2 * _CARD_MARGIN

    @staticmethod
    def run_card(story: list[Flowable], size_mm: Size, foot: str, facts: Facts) -> Finished:
        """A small card, its foot line on every side."""
        file = BytesIO()
        template = _Bare(file, (size_mm[0] * mm, size_mm[1] * mm), _CARD_MARGIN, foot, facts)
        template.build(story)
        return Finished(file.getvalue(), template.page)

    @staticmethod
    def run_bare(story: list[Flowable], size: PageSize, facts: Facts) -> Finished:
        """Whole sheets without margins, for labels."""
        file = BytesIO()
        template = _Bare(file, _SHEETS[size], 0.0, "", facts)
        template.build(story)
        return Finished(file.getvalue(), template.page)
