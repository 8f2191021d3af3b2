"""Shapes with roles instead of colours, hatches, and labels that never overlap."""

from collections.abc import Iterable, Sequence
from math import cos, radians, sin
from typing import Any, Literal

from reportlab.graphics.shapes import Circle, Drawing, Line, Path, Polygon, Rect, String

from guiding.drawings.fonts import BODY, BODY_BOLD, register_fonts, text_width
from guiding.drawings.palette import Palette

# A page is read at arm's length from a screen, a paper held closer: sizes of running labels.
_SCREEN_SIZES = (10.5, 12.5, 46.0)
_PAPER_SIZES = (7.0, 8.5, 62.0)

Point = tuple[float, float]
Box = tuple[float, float, float, float]
Anchor = Literal["start", "middle", "end"]
Spot = tuple[float, float, Anchor]

# The letters of a page are the reader's own and may run wider than the ones measured here.
SCREEN_SPARE_SHARE = 0.14
PAPER_SPARE_SHARE = 0.02


def label_size(width: float, spare_share: float) -> float:
    """The size of labels on a sheet of a width, for the screen or for paper."""
    least, most, share = _PAPER_SIZES if spare_share == PAPER_SPARE_SHARE else _SCREEN_SIZES
    return max(least, min(most, width / share))


class Canvas:
    """A drawing under construction; the origin is bottom left."""

    def __init__(
        self,
        width: float,
        height: float,
        palette: Palette,
        spare_share: float = PAPER_SPARE_SHARE,
    ) -> None:
        register_fonts()
        self.drawing = Drawing(width, height)
        self.width = width
        self.height = height
        self.palette = palette
        self.spare_share = spare_share
        self.taken: list[Box] = []

    def rect(
        self,
        x: float,
        y: float,
        width: float,
        height: float,
        fill: str | None = None,
        line: str | None = None,
        weight: float = 0.6,
        dash: Sequence[float] | None = None,
    ) -> None:
        """A rectangle; nothing when it has no size."""
        if width <= 0 or height <= 0:
            return
        self.drawing.add(
            Rect(x, y, width, height, **self._pen(fill, line, dash) | {"strokeWidth": weight})
        )

    def rects(self, boxes: Iterable[Box], fill: str) -> None:
        """Several filled rectangles (left, bottom, right, top) as one shape."""
        path = Path(**self._pen(fill, None, None))
        for left, bottom, right, top in boxes:
            path.moveTo(left, bottom)
            path.lineTo(right, bottom)
            path.lineTo(right, top)
            path.lineTo(left, top)
            path.closePath()
        if path.operators:
            self.drawing.add(path)

    def line(
        self,
        start: Point,
        end: Point,
        line: str,
        weight: float = 0.6,
        dash: Sequence[float] | None = None,
    ) -> None:
        """A straight line."""
        pen = self._pen(None, line, dash)
        pen.pop("fillColor")
        self.drawing.add(Line(*start, *end, strokeWidth=weight, **pen))

    def gapped_line(
        self,
        start: Point,
        end: Point,
        line: str,
        weight: float = 0.6,
        dash: Sequence[float] | None = None,
    ) -> None:
        """A level or upright line that stops short of every label on its way."""
        upright = start[0] == end[0]
        along, across = (1, 0) if upright else (0, 1)
        low, high = sorted((start[along], end[along]))
        here = start[across]
        blocked = sorted(
            (box[along] - 1, box[along + 2] + 1)
            for box in self.taken
            if box[across] - 1 < here < box[across + 2] + 1
        )
        runs = []
        for left, right in [*blocked, (high, high)]:
            if min(left, high) - low > 2.5:  # shorter would be a speck
                runs.append((low, min(left, high)))
            low = max(low, right)
        points = [[((here, v) if upright else (v, here)) for v in run] for run in runs]
        self.strokes(points, line, weight, dash)

    def polygon(
        self,
        points: Sequence[Point],
        fill: str | None = None,
        line: str | None = None,
        weight: float = 0.6,
    ) -> None:
        """A closed shape."""
        flat = [value for point in points for value in point]
        self.drawing.add(Polygon(flat, strokeWidth=weight, **self._pen(fill, line, None)))

    def strokes(
        self,
        runs: Iterable[Sequence[Point]],
        line: str,
        weight: float = 0.6,
        dash: Sequence[float] | None = None,
    ) -> None:
        """Several open lines as one shape."""
        path = Path(strokeWidth=weight, strokeLineJoin=1, **self._pen(None, line, dash))
        empty = True
        for run in runs:
            path.moveTo(*run[0])
            for point in run[1:]:
                path.lineTo(*point)
                empty = False
        if not empty:
            self.drawing.add(path)

    def circle(
        self,
        x: float,
        y: float,
        radius: float,
        fill: str | None = None,
        line: str | None = None,
        weight: float = 0.6,
    ) -> None:
        """A disc."""
        self.drawing.add(Circle(x, y, radius, strokeWidth=weight, **self._pen(fill, line, None)))

    def hatch(
        self,
        outline: Sequence[Point],
        line: str,
        spacing: float,
        slant_deg: float = 45,
        weight: float = 0.6,
    ) -> None:
        """Parallel lines inside a closed shape, the same on screen and on paper."""
        self.strokes(hatch_lines(outline, spacing, slant_deg), line, weight)

    def text(
        self,
        x: float,
        y: float,
        text: str,
        size: float,
        role: str = "ink",
        bold: bool = False,
        anchor: Anchor = "start",
    ) -> None:
        """A text where it is told, with its place taken."""
        self.taken.append(self.box_of(x, y, text, size, bold, anchor))
        self.drawing.add(
            String(
                x,
                y,
                text,
                fontName=BODY_BOLD if bold else BODY,
                fontSize=size,
                textAnchor=anchor,
                fillColor=self.palette.ink_of(role),
            )
        )

    def at_ends(
        self, x: float, y: float, gap: float, first: tuple[str, float], second: tuple[str, float]
    ) -> bool:
        """A bold text that ends left of x and a plain one that begins right of it, if free.

        Kept apart by their anchors, they stay apart in letters wider than the ones measured.
        """
        boxes = (
            self.box_of(x - gap, y, first[0], first[1], True, "end"),
            self.box_of(x + gap, y, second[0], second[1], False, "start"),
        )
        if not all(self.is_free(box) for box in boxes):
            return False
        self.text(x - gap, y, first[0], first[1], bold=True, anchor="end")
        self.text(x + gap, y, second[0], second[1])
        return True

    def place(
        self,
        spots: Iterable[Spot],
        text: str,
        size: float,
        role: str = "ink",
        bold: bool = False,
        within: Box | None = None,
    ) -> Box | None:
        """A label at the first of the spots (x, y, anchor) that is free; None when none is.

        With `within` the label must also lie inside that part of the sheet.
        """
        if not text:
            return None
        left, bottom, right, top = within or (0.0, 0.0, self.width, self.height)
        for x, y, anchor in spots:
            box = self.box_of(x, y, text, size, bold, anchor)
            inside = left <= box[0] and bottom <= box[1] and box[2] <= right and box[3] <= top
            if inside and self.is_free(box):
                self.text(x, y, text, size, role, bold, anchor)
                return box
        return None

    def ringed(self, middles: Iterable[Point], number: int, size: float) -> None:
        """A number in a ring at the first of the middles that is free; left out when none is."""
        radius = size * 0.76
        for x, y in middles:
            whole = (x - radius, y - radius, x + radius, y + radius)
            if self.is_free(whole, gap=0.5):
                self.circle(x, y, radius, fill="paper", line="ink", weight=0.7)
                self.text(x, y - size * 0.34, str(number), size, bold=True, anchor="middle")
                self.taken.append(whole)
                return

    def cut(self, text: str, room: float, size: float) -> str:
        """A text that fits a width, cut with a sign that it was."""
        spare = 1 + self.spare_share
        if text_width(text, size) * spare <= room:
            return text
        while text and text_width(text + "…", size) * spare > room:
            text = text[:-1]
        return text.rstrip(" ·,") + "…"

    def box_of(self, x: float, y: float, text: str, size: float, bold: bool, anchor: Anchor) -> Box:
        """The place a text takes: left, bottom, right, top."""
        width = text_width(text, size, BODY_BOLD if bold else BODY) * (1 + self.spare_share)
        left = {"start": x, "middle": x - width / 2, "end": x - width}[anchor]
        return (left, y - 0.22 * size, left + width, y + 0.78 * size)

    def is_free(self, box: Box, gap: float = 1.0) -> bool:
        """Whether a box lies on the sheet and touches no other label."""
        left, bottom, right, top = box
        if left < 0 or bottom < 0 or right > self.width or top > self.height:
            return False
        return all(
            right + gap <= other[0]
            or other[2] + gap <= left
            or top <= other[1]
            or other[3] <= bottom
            for other in self.taken
        )

    def _pen(
        self, fill: str | None, line: str | None, dash: Sequence[float] | None
    ) -> dict[str, Any]:
        pen: dict[str, Any] = {
            "fillColor": self.palette.ink_of(fill) if fill else None,
            "strokeColor": self.palette.ink_of(line) if line else None,
        }
        if dash:
            pen["strokeDashArray"] = list(dash)
        return pen


def hatch_lines(
    outline: Sequence[Point], spacing: float, slant_deg: float
) -> list[tuple[Point, Point]]:
    """Turn the shape level, cut it with level lines, turn the pieces back."""
    c, s = cos(radians(slant_deg)), sin(radians(slant_deg))
    level = [(x * c + y * s, y * c - x * s) for x, y in outline]
    lowest = min(y for _, y in level)
    highest = max(y for _, y in level)
    # Lines lie on one raster of the whole sheet, so that neighbouring hatches join.
    row = int(lowest // spacing) + 1
    found: list[tuple[Point, Point]] = []
    while row * spacing < highest:
        y = row * spacing
        cuts = sorted(
            ax + (y - ay) * (bx - ax) / (by - ay)
            for (ax, ay), (bx, by) in zip(level, level[1:] + level[:1], strict=True)
            if (ay <= y) != (by <= y)
        )
        for left, right in zip(cuts[::2], cuts[1::2], strict=False):
            if right - left > 0.2:
                found.append(
                    ((left * c - y * s, left * s + y * c), (right * c - y * s, right * s + y * c))
                )
        row += 1
    return found
