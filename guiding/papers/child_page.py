"""The child's own page: five pictures, five rules, large type; alone, or behind a trip sheet."""

from reportlab.graphics.shapes import Circle, Drawing, Line, Path, Polygon, PolyLine, Rect
from reportlab.lib.colors import Color
from reportlab.lib.styles import ParagraphStyle
from reportlab.platypus import Flowable, Paragraph, TableStyle

from guiding.papers.document import Document
from guiding.papers.records import ChildPage
from guiding.papers.setting import Grid, Typesetter
from guiding.papers.styles import Tint

_SIDE = 84.0


def child_page_pdf(page: ChildPage) -> bytes:
    """Builds the child's page as a PDF to hand out or to print at home.

    The same record gives the same bytes. Raises ValueError for a language the papers do not have.
    """
    setter = Document(page.letterhead, 9.5, 1.2, 0.4)
    kind = setter.words.text("child.name")
    return setter.finish(child_page(setter), f"{kind}: {page.title}", page.title).data


def child_page(setter: Typesetter) -> list[Flowable]:
    """A page that a child of seven can read or have read to it."""
    large = ParagraphStyle(
        "child", parent=setter.styles.body, fontSize=17, leading=23, textColor=Tint.INK
    )
    pictures = (_grown_up(), _wave(), _aircraft(), _hook(), _truck())
    rows = [
        [picture, Paragraph(setter.word(f"child.rule_{number}"), large)]
        for number, picture in enumerate(pictures, start=1)
    ]
    table = Grid(
        rows,
        colWidths=[_SIDE + 22, setter.width - _SIDE - 22],
        style=TableStyle(
            [
                ("VALIGN", (0, 0), (-1, -1), "MIDDLE"),
                ("LINEBELOW", (0, 0), (-1, -2), 0.6, Tint.SAND_LINE),
                ("TOPPADDING", (0, 0), (-1, -1), 8),
                ("BOTTOMPADDING", (0, 0), (-1, -1), 8),
                ("LEFTPADDING", (0, 0), (-1, -1), 0),
            ]
        ),
    )
    return [
        setter.heading(setter.word("child.name"), "title"),
        Paragraph(setter.word("child.lead"), large),
        setter.gap(2),
        table,
        setter.gap(2),
        Paragraph(f"<b>{setter.word('child.ask')}</b>", large),
    ]


def _frame() -> Drawing:
    picture = Typesetter.embedded(Drawing(_SIDE, _SIDE))
    picture.add(_plate(0, 0, _SIDE, _SIDE, Tint.SAND, Tint.SAND_LINE))
    return picture


def _plate(x: float, y: float, width: float, height: float, fill: Color, line: Color) -> Rect:
    """A rectangle with round corners."""
    plate = Rect(x, y, width, height, rx=4, ry=4)
    plate.fillColor, plate.strokeColor = fill, line
    return plate


def _person(picture: Drawing, x: float, height: float) -> None:
    head = height * 0.16
    picture.add(Circle(x, 10 + height - head, head, fillColor=Tint.INK, strokeColor=None))
    body = [x, 10 + height - 2 * head, x, 10 + height * 0.35]
    for points in (
        body,
        [
            x - height * 0.2,
            10 + height * 0.42,
            x,
            10 + height * 0.62,
            x + height * 0.2,
            10 + height * 0.42,
        ],
        [x - height * 0.15, 10, x, 10 + height * 0.35, x + height * 0.15, 10],
    ):
        picture.add(
            PolyLine(points, strokeColor=Tint.INK, strokeWidth=height * 0.07, strokeLineCap=1)
        )


def _grown_up() -> Drawing:
    picture = _frame()
    _person(picture, 30, 62)
    _person(picture, 55, 40)
    return picture


def _wave() -> Drawing:
    picture = _frame()
    path = Path(fillColor=Tint.SLATE, strokeColor=None)
    path.moveTo(4, 8)
    path.lineTo(4, 24)
    path.curveTo(22, 24, 26, 70, 56, 68)
    path.curveTo(72, 66, 74, 48, 64, 44)
    path.curveTo(66, 54, 52, 56, 48, 44)
    path.curveTo(46, 32, 60, 24, 80, 24)
    path.lineTo(80, 8)
    path.closePath()
    picture.add(path)
    return picture


def _aircraft() -> Drawing:
    picture = _frame()
    for x in (18, 66):
        picture.add(Line(42, 46, x, 58, strokeColor=Tint.INK, strokeWidth=4))
        picture.add(Line(x - 13, 63, x + 13, 63, strokeColor=Tint.INK, strokeWidth=2.5))
        picture.add(Line(x, 56, x, 63, strokeColor=Tint.INK, strokeWidth=3))
    picture.add(_plate(31, 38, 22, 14, Tint.INK, Tint.INK))
    picture.add(Line(42, 38, 42, 20, strokeColor=Tint.RUST, strokeWidth=1.5))
    picture.add(Circle(42, 17, 4, fillColor=Tint.RUST, strokeColor=None))
    return picture


def _hook() -> Drawing:
    picture = _frame()
    path = Path(fillColor=None, strokeColor=Tint.INK, strokeWidth=5, strokeLineCap=1)
    path.moveTo(52, 62)
    path.lineTo(52, 30)
    path.curveTo(52, 8, 22, 8, 22, 32)
    path.lineTo(22, 40)
    picture.add(path)
    picture.add(PolyLine([22, 41, 31, 33], strokeColor=Tint.INK, strokeWidth=4, strokeLineCap=1))
    picture.add(Circle(52, 67, 5, fillColor=None, strokeColor=Tint.INK, strokeWidth=4))
    return picture


def _truck() -> Drawing:
    picture = _frame()
    picture.add(
        Polygon(
            [8, 26, 8, 50, 44, 50, 44, 62, 62, 62, 70, 46, 78, 44, 78, 26],
            fillColor=Tint.KELP,
            strokeColor=None,
        )
    )
    picture.add(Polygon([48, 48, 48, 58, 60, 58, 65, 48], fillColor=Tint.SAND, strokeColor=None))
    for x in (24, 64):
        picture.add(Circle(x, 26, 9, fillColor=Tint.INK, strokeColor=None))
        picture.add(Circle(x, 26, 3.5, fillColor=Tint.SAND, strokeColor=None))
    return picture
