"""Setting a paper: paragraphs, tables and panels in one scale of type."""

from collections.abc import Iterable, Sequence
from itertools import accumulate, combinations_with_replacement, pairwise
from typing import Any

from reportlab.graphics.shapes import Drawing
from reportlab.platypus import (
    CondPageBreak,
    Flowable,
    HRFlowable,
    KeepTogether,
    Paragraph,
    Spacer,
    Table,
    TableStyle,
)

from guiding.drawings.fonts import BODY
from guiding.papers.formats import Formats
from guiding.papers.page import Press
from guiding.papers.records import Letterhead
from guiding.papers.styles import Styles, Tint

MARGIN_SHARE = 0.165
_ROW_PT = 200.0  # a row of this height may still be pushed whole to the next page
_HIGHEST_PT = 1e6

Cell = str | Flowable | Sequence[Flowable]
Command = tuple[str, tuple[int, int], tuple[int, int], *tuple[Any, ...]]


class Lines(Paragraph):
    """A paragraph that breaks its lines once a width, however often a table asks."""

    _broken: tuple[float, tuple[float, float]] | None = None

    def wrap(self, width: float, height: float) -> tuple[float, float]:
        if self._broken and self._broken[0] == width and hasattr(self, "blPara"):
            return self._broken[1]
        size = super().wrap(width, height)
        self._broken = (width, size)
        return size


class _Heading(Lines):
    """A heading that is also a bookmark; split over pages, its first part keeps the bookmark."""

    key = outline = ""
    level = 0

    def draw(self) -> None:
        if self.key:
            self.canv.bookmarkHorizontal(self.key, 0, self.height)
            self.canv.addOutlineEntry(self.outline, self.key, self.level, closed=False)
        super().draw()

    def split(self, width: float, height: float) -> list[Flowable]:
        parts: list[Flowable] = super().split(width, height)
        if parts and isinstance(parts[0], _Heading):
            parts[0].key, parts[0].outline = self.key, self.outline
            parts[0].level = self.level
        return parts


class Grid(Table):
    """A table whose cells start in the embedded font, so that no other is named in the file."""

    def __init__(self, *args: Any, **more: Any) -> None:
        super().__init__(*args, **more)
        self.setStyle(TableStyle([("FONTNAME", (0, 0), (-1, -1), BODY)]))


class Box(Flowable):
    """An empty square to tick."""

    def __init__(self, side: float) -> None:
        super().__init__()
        self.width = self.height = side

    def wrap(self, _width: float, _height: float) -> tuple[float, float]:
        return self.width, self.height

    def draw(self) -> None:
        self.canv.setStrokeColor(Tint.INK)
        self.canv.setLineWidth(0.8)
        self.canv.rect(0, 0, self.width, self.height)


class Typesetter(Formats):
    """Sets one paper in its size of type.

    `body_pt` is the size of the body, `leading` and `step_share` line to line and one step of
    space in sizes of the body; `black` sets all of it in black. `width` is the width of the text
    in points.
    """

    def __init__(
        self,
        letterhead: Letterhead,
        body_pt: float = 10.5,
        leading: float = 1.3,
        step_share: float = 0.62,
        black: bool = False,
    ) -> None:
        super().__init__(letterhead)
        self.styles = Styles.of(body_pt, leading, step_share, black)
        self.width = Press.inner_width(letterhead.page_size)
        self._headings = 0

    def para(self, markup: str, style: str = "body") -> Paragraph:
        """A paragraph of markup; user text in it must have gone through `safe`."""
        return Lines(markup, getattr(self.styles, style))

    def text(self, text: str, style: str = "body") -> list[Flowable]:
        """Any text as paragraphs, a blank line starting a new one; nothing when it is empty."""
        parts = [part.strip("\n") for part in text.replace("\r\n", "\n").split("\n\n")]
        return [self.para(self.safe(part), style) for part in parts if part.strip()]

    def labelled(self, label: str, text: str, style: str = "body") -> list[Flowable]:
        """'Label: text' in one paragraph; nothing when the text is empty."""
        if not text.strip():
            return []
        return [self.para(f"<b>{self.word(label)}</b> {self.safe(text)}", style)]

    def bullets(self, texts: Iterable[str], style: str = "bullet") -> list[Flowable]:
        """One bullet a text."""
        chosen = getattr(self.styles, style)
        return [Lines(self.safe(text), chosen, bulletText="•") for text in texts if text]

    def numbered(self, texts: Iterable[str], style: str = "numbered") -> list[Flowable]:
        """Numbered lines."""
        chosen = getattr(self.styles, style)
        return [
            Lines(self.safe(text), chosen, bulletText=f"{number}.")
            for number, text in enumerate(texts, start=1)
        ]

    def heading(self, markup: str, style: str = "heading", level: int = 0) -> Paragraph:
        """A heading and its bookmark."""
        self._headings += 1
        heading = _Heading(markup, getattr(self.styles, style))
        heading.key, heading.level = f"part-{self._headings}", level
        heading.outline = self.letters.bare(_unmarked(markup))
        return heading

    def pairs(
        self, known: Sequence[tuple[str, str]], width: float | None = None, count: int = 2
    ) -> list[Flowable]:
        """Facts as 'label: text' in columns, beside a heading unless `width` is given."""
        told = [
            f"<b>{self.word(label)}</b> {self.safe(text)}" for label, text in known if text.strip()
        ]
        return self.columns(told, count, width or self.column)

    def columns(
        self, lines: Sequence[str], count: int, width: float | None = None
    ) -> list[Flowable]:
        """Lines of markup in columns that hold about as much, read down and then across."""
        if not lines:
            return []
        across = (width or self.width) / count
        paragraphs = [self.para(line, "tight") for line in lines]
        heights = [one.wrap(across - 5, 10_000)[1] for one in paragraphs]
        cuts = _even_cuts(heights, count)
        cells = [paragraphs[start:end] for start, end in pairwise([0, *cuts, len(paragraphs)])]
        return [self.table([cells], [1] * count, pad=0.15, plain=True, width=width)]

    def box(self, size: float = 0.85) -> Box:
        """An empty square to tick, in sizes of the body."""
        return Box(self.styles.body_pt * size)

    def label(self, text: str) -> Paragraph:
        """Any text set as a label."""
        return self.para(self.safe(text), "label")

    def small(self, text: str) -> Paragraph:
        """Any text in small type."""
        return self.para(self.safe(text), "small")

    def beside(self, heading: str, content: Sequence[Flowable]) -> list[Flowable]:
        """A section whose heading stands in the margin; nothing when it has no content."""
        if not content:
            return []
        left = self.width * MARGIN_SHARE
        step = self.styles.step_pt
        commands: list[Command] = [
            ("VALIGN", (0, 0), (-1, -1), "TOP"),
            ("LEFTPADDING", (0, 0), (-1, -1), 0),
            ("RIGHTPADDING", (0, 0), (0, -1), step),
            ("RIGHTPADDING", (1, 0), (1, -1), 0),
            ("TOPPADDING", (0, 0), (-1, -1), step * 0.6),
            ("BOTTOMPADDING", (0, 0), (-1, -1), step * 0.6),
            ("LINEABOVE", (0, 0), (-1, 0), 0.6, Tint.SAND_LINE),
        ]
        head = self.heading(self.word(heading))
        table = Grid(
            [[[head], list(content)]],
            colWidths=[left, self.width - left],
            style=TableStyle(commands),
            splitInRow=1,
            hAlign="LEFT",
        )
        return [KeepTogether([table])]

    def across(
        self, heading: str, content: Sequence[Flowable], lead_pt: float = 0.0
    ) -> list[Flowable]:
        """A section over the full width, its heading on top.

        The heading goes to the next page where less than `lead_pt` of the content, or a few
        lines, would stand below it.
        """
        return [*self.part(self.word(heading), lead_pt), *content]

    def part(self, markup: str, lead_pt: float = 0.0) -> list[Flowable]:
        """A line and a heading that never stand alone at the foot of a page."""
        room = lead_pt + self.styles.body_pt * 7
        return [CondPageBreak(room), self.rule(), self.heading(markup)]

    def rule(self) -> Flowable:
        """The fine line that parts two sections."""
        return HRFlowable(
            width="100%",
            thickness=0.6,
            color=Tint.SAND_LINE,
            spaceBefore=self.styles.step_pt * 0.5,
            spaceAfter=self.styles.step_pt * 0.5,
        )

    @property
    def column(self) -> float:
        """Width of the text beside a heading in the margin."""
        return self.width * (1 - MARGIN_SHARE)

    def gap(self, steps: float = 1.0) -> Spacer:
        """White space in steps of the scale."""
        return Spacer(1, self.styles.step_pt * steps)

    def cell(self, cell: Cell, style: str) -> Flowable | list[Flowable]:
        """A cell of a table: markup becomes a paragraph."""
        if isinstance(cell, str):
            return self.para(cell, style)
        return cell if isinstance(cell, Flowable) else list(cell)

    def table(
        self,
        rows: Sequence[Sequence[Cell]],
        widths: Sequence[float],
        head: Sequence[str] = (),
        right: Sequence[int] = (),
        extra: Sequence[Command] = (),
        pad: float = 0.35,
        plain: bool = False,
        width: float | None = None,
        whole_rows: bool = False,
    ) -> Grid:
        """A table whose header stands on every page; `widths` are shares of the width.

        `right` lists the columns of figures. Rows are parted by fine lines unless `plain`. With
        `whole_rows` a page ends between two rows, unless one is too high for that.
        """
        body = [
            [self.cell(cell, "right" if i in right else "tight") for i, cell in enumerate(row)]
            for row in rows
        ]
        if head:
            labels: list[Flowable | list[Flowable]] = [
                self.para(cell, "label_right" if i in right else "label")
                for i, cell in enumerate(head)
            ]
            body.insert(0, labels)
        total = sum(widths)
        step = self.styles.step_pt * pad
        commands: list[Command] = [
            ("VALIGN", (0, 0), (-1, -1), "TOP"),
            ("LEFTPADDING", (0, 0), (-1, -1), 2.5),
            ("RIGHTPADDING", (0, 0), (-1, -1), 2.5),
            ("TOPPADDING", (0, 0), (-1, -1), step),
            ("BOTTOMPADDING", (0, 0), (-1, -1), step),
        ]
        for column in right:
            if column + 1 not in right:  # words close behind a figure read as one
                commands.append(("LEFTPADDING", (column + 1, 0), (column + 1, -1), 9))
        if not plain:
            commands.append(("LINEBELOW", (0, 0), (-1, -2), 0.4, Tint.SAND_LINE))
        if head:
            commands.append(("LINEBELOW", (0, 0), (-1, 0), 0.9, Tint.SLATE))
        grid = Grid(
            body,
            colWidths=[(width or self.width) * share / total for share in widths],
            repeatRows=1 if head else 0,
            style=TableStyle([*commands, *extra]),
            splitInRow=1,
            hAlign="LEFT",
        )
        if whole_rows:
            grid.wrap(self.width, _HIGHEST_PT)
            heights = grid._rowHeights  # type: ignore[attr-defined]  # reportlab measures them
            grid.splitInRow = int(max(heights, default=0.0) > _ROW_PT)
        return grid

    def panel(
        self,
        content: Sequence[Flowable],
        colour: object = Tint.SAND_LINE,
        ground: object = Tint.SAND,
    ) -> Grid:
        """A box with a strong left edge, on sand ground, for what must be seen first."""
        pad = self.styles.step_pt * 1.6
        return Grid(
            [[list(content)]],
            colWidths=[self.width],
            style=TableStyle(
                [
                    ("BACKGROUND", (0, 0), (-1, -1), ground),
                    ("LINEBEFORE", (0, 0), (0, -1), 3, colour),
                    ("BOX", (0, 0), (-1, -1), 0.6, Tint.SAND_LINE),
                    ("LEFTPADDING", (0, 0), (-1, -1), pad + 2),
                    ("RIGHTPADDING", (0, 0), (-1, -1), pad),
                    ("TOPPADDING", (0, 0), (-1, -1), pad * 0.7),
                    ("BOTTOMPADDING", (0, 0), (-1, -1), pad),
                ]
            ),
            splitInRow=1,
        )

    def rules(self, rules: Sequence[str], cast_only: bool) -> Flowable:
        """The three rules of the day in a panel; the standard three where none are given."""
        told = list(rules[:3])
        if not told:
            third = "trip.rule_3_cast" if cast_only else "trip.rule_3"
            told = [self.words.text(key) for key in ("trip.rule_1", "trip.rule_2", third)]
        heading = self.heading(self.word("trip.rules"))
        return KeepTogether([self.panel([heading, *self.numbered(told, "rule")], Tint.RUST)])

    @staticmethod
    def embedded(drawing: Drawing) -> Drawing:
        """The drawing, told to start in the embedded font so that no other is named in the file."""
        drawing.initialFontName = BODY  # type: ignore[attr-defined]  # reportlab reads it
        return drawing

    def banner(self, markup: str, ground: object = Tint.RUST) -> Flowable:
        """White words on a dark ground, for what must be found in seconds."""
        pad = self.styles.step_pt
        return Grid(
            [[self.heading(markup, "banner")]],
            colWidths=[self.width],
            style=TableStyle(
                [
                    ("BACKGROUND", (0, 0), (-1, -1), ground),
                    ("LEFTPADDING", (0, 0), (-1, -1), pad * 2),
                    ("TOPPADDING", (0, 0), (-1, -1), pad),
                    ("BOTTOMPADDING", (0, 0), (-1, -1), pad * 1.4),
                ]
            ),
        )

    def ticked(self, text: str, width: float) -> Grid:
        """A box to tick with words beside it."""
        side = self.styles.body_pt * 1.6
        return Grid(
            [[self.box(), self.para(self.safe(text), "tight")]],
            colWidths=[side, width - side - 8],
            hAlign="LEFT",
            splitInRow=1,
            style=TableStyle(
                [
                    ("VALIGN", (0, 0), (-1, -1), "TOP"),
                    ("LEFTPADDING", (0, 0), (-1, -1), 0),
                    ("RIGHTPADDING", (0, 0), (-1, -1), 0),
                    ("TOPPADDING", (0, 0), (0, -1), 2.5),
                    ("TOPPADDING", (1, 0), (1, -1), 0),
                    ("BOTTOMPADDING", (0, 0), (-1, -1), 1.5),
                ]
            ),
        )


def _even_cuts(heights: Sequence[float], count: int) -> tuple[int, ...]:
    """Where to cut a run of heights into `count` columns so that the highest is lowest."""
    sums = [0.0, *accumulate(heights)]
    choices = combinations_with_replacement(range(len(heights) + 1), count - 1)

    def columns(cuts: tuple[int, ...]) -> list[float]:
        return [sums[end] - sums[start] for start, end in pairwise([0, *cuts, len(heights)])]

    return min(
        choices, key=lambda cuts: (max(columns(cuts)), [-height for height in columns(cuts)])
    )


def _unmarked(markup: str) -> str:
    """The words of our own simple markup, for the outline."""
    for mark, text in (("<br/>", " "), ("<b>", ""), ("</b>", "")):
        markup = markup.replace(mark, text)
    for mark, text in (("&lt;", "<"), ("&gt;", ">"), ("&amp;", "&")):
        markup = markup.replace(mark, text)
    return markup
