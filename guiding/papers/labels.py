"""Sheets of labels with square codes, to print and cut."""

from reportlab.lib.units import mm
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import Flowable, KeepInFrame, PageBreak

from guiding.papers.document import Document
from guiding.papers.page import Press
from guiding.papers.qr import QrCode
from guiding.papers.records import GearLabel, LabelSheet
from guiding.papers.setting import Typesetter
from guiding.papers.styles import Tint

_PAD = 2 * mm
_MOST_CODE = 0.45  # share of the label's width that the code may take


def labels_pdf(sheet: LabelSheet) -> bytes:
    """Builds sheets of labels as a PDF: a square code, a name and a few lines each, lines to cut.

    Long names are set smaller until they fit. The same record gives the same bytes. Raises
    ValueError for a language the papers do not have, or a grid that is larger than the page.
    """
    setter = Document(sheet.letterhead, 9.5, 1.15, 0.3)
    across, down = _grid_size(sheet)
    width, height = Press.sheet_size(sheet.letterhead.page_size)
    if across > width or down > height:
        raise ValueError(
            f"The labels need {across / mm:.0f} x {down / mm:.0f} mm; the page has "
            f"{width / mm:.0f} x {height / mm:.0f}. Choose fewer or smaller ones."
        )
    left = (width - across) / 2 if sheet.left_mm is None else sheet.left_mm * mm
    top = (height - down) / 2 if sheet.top_mm is None else sheet.top_mm * mm
    cells: list[GearLabel | None] = [*([None] * sheet.start), *sheet.labels]
    a_page = sheet.columns * sheet.rows
    story: list[Flowable] = []
    for first in range(0, max(len(cells), 1), a_page):
        if first:
            story.append(PageBreak())
        story.append(_Grid(setter, sheet, cells[first : first + a_page], (left, top)))
    title = sheet.title or setter.words.text("labels.name")
    return setter.finish_bare(story, title, title).data


def _grid_size(sheet: LabelSheet) -> tuple[float, float]:
    across = sheet.columns * sheet.width_mm + (sheet.columns - 1) * sheet.gap_mm
    down = sheet.rows * sheet.height_mm + (sheet.rows - 1) * sheet.gap_mm
    return across * mm, down * mm


class _Grid(Flowable):
    """One page of labels, drawn from its own top left corner."""

    def __init__(
        self,
        setter: Typesetter,
        sheet: LabelSheet,
        cells: list[GearLabel | None],
        corner: tuple[float, float],
    ) -> None:
        super().__init__()
        self.setter, self.sheet, self.cells, self.corner = setter, sheet, cells, corner

    def wrap(self, available_width: float, available_height: float) -> tuple[float, float]:
        self.width, self.height = available_width, available_height
        return self.width, self.height

    def draw(self) -> None:
        sheet = self.sheet
        left, top = self.corner
        step_x = (sheet.width_mm + sheet.gap_mm) * mm
        step_y = (sheet.height_mm + sheet.gap_mm) * mm
        for number, label in enumerate(self.cells):
            row, column = divmod(number, sheet.columns)
            x = left + column * step_x
            y = self.height - top - row * step_y - sheet.height_mm * mm
            if label is not None:
                self._label(self.canv, label, x, y)

    def _label(self, canvas: Canvas, label: GearLabel, x: float, y: float) -> None:
        width, height = self.sheet.width_mm * mm, self.sheet.height_mm * mm
        canvas.setStrokeColor(Tint.SAND_LINE)
        canvas.setLineWidth(0.3)
        canvas.setDash(2, 2)
        canvas.rect(x, y, width, height)
        canvas.setDash()
        side = min(height - 2 * _PAD, width * _MOST_CODE)
        QrCode(label.code, side).drawOn(canvas, x + _PAD, y + (height - side) / 2)
        setter = self.setter
        content: list[Flowable] = [
            setter.para(setter.safe(label.name), "large"),
            *(setter.small(line) for line in label.lines),
        ]
        room = width - side - 3 * _PAD
        frame = KeepInFrame(room, height - 2 * _PAD, content, mode="shrink")
        _, used = frame.wrapOn(canvas, room, height - 2 * _PAD)
        frame.drawOn(canvas, x + side + 2 * _PAD, y + (height - used) / 2)
