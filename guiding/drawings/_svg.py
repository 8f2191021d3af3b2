"""Writes a drawing as SVG that a strict page accepts: classes and attributes, no inline style."""

import hashlib
import re
from xml.sax.saxutils import escape, quoteattr

from reportlab.graphics.shapes import Circle, Drawing, Line, Path, Polygon, Rect, String
from reportlab.lib.colors import Color

from guiding.drawings.fonts import BODY_BOLD
from guiding.drawings.palette import Ink

_NOT_XML = re.compile("[^\t\n\r\u0020-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")


def write_svg(
    drawing: Drawing,
    *,
    title: str,
    description: str,
    kind: str,
    language: str,
    data: dict[str, str] | None = None,
) -> str:
    """The drawing as one `<svg>` element that scales to the width it is given.

    `data` becomes data attributes, for the page's script.
    """
    height = float(drawing.height)
    body = "".join(_element(shape, height) for shape in drawing.contents)
    # Two strips on a page need two names; the same strip always has the same one.
    digest = hashlib.sha256(f"{kind}|{title}|{description}|{body}".encode()).hexdigest()
    name = f"{kind}-{digest[:10]}"
    extra = "".join(f" data-{key}={quoteattr(value)}" for key, value in (data or {}).items())
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" class="drawing {kind}" role="img"'
        f' viewBox="0 0 {_n(drawing.width)} {_n(height)}" lang={quoteattr(language)}{extra}'
        f' aria-labelledby="{name}-title" aria-describedby="{name}-desc">'
        f'<title id="{name}-title">{_text(title)}</title>'
        f'<desc id="{name}-desc">{_text(description)}</desc>'
        f"{body}</svg>"
    )


def _text(value: str) -> str:
    return escape(_NOT_XML.sub("\ufffd", value))


def _n(value: float) -> str:
    """A number as short as it can be; two decimals are finer than any screen."""
    text = f"{value:.2f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def _element(shape: object, height: float) -> str:
    match shape:
        case Rect():
            return (
                f'<rect x="{_n(shape.x)}" y="{_n(height - shape.y - shape.height)}"'
                f' width="{_n(shape.width)}" height="{_n(shape.height)}"{_pen(shape)}/>'
            )
        case Line():
            return (
                f'<path d="{_run([shape.x1, shape.y1, shape.x2, shape.y2], height)}"{_pen(shape)}/>'
            )
        case Polygon():
            return f'<path d="{_run(shape.points, height)}Z"{_pen(shape)}/>'
        case Circle():
            return (
                f'<circle cx="{_n(shape.cx)}" cy="{_n(height - shape.cy)}"'
                f' r="{_n(shape.r)}"{_pen(shape)}/>'
            )
        case Path():
            return f'<path d="{_path(shape, height)}"{_pen(shape)}/>'
        case String():
            return _string(shape, height)
    raise TypeError(f"The SVG writer knows no {type(shape).__name__}.")


def _run(flat: list[float], height: float) -> str:
    pairs = zip(flat[::2], flat[1::2], strict=True)
    return "M" + "L".join(f"{_n(x)} {_n(height - y)}" for x, y in pairs)


def _path(shape: Path, height: float) -> str:
    words = []
    points = iter(shape.points)
    for operator in shape.operators:
        letter, count = {0: ("M", 1), 1: ("L", 1), 2: ("C", 3), 3: ("Z", 0)}[int(operator)]
        pairs = [f"{_n(next(points))} {_n(height - next(points))}" for _ in range(count)]
        words.append(letter + " ".join(pairs))
    return "".join(words)


def _string(shape: String, height: float) -> str:
    anchor = "" if shape.textAnchor == "start" else f' text-anchor="{shape.textAnchor}"'
    weight = ' font-weight="700"' if shape.fontName == BODY_BOLD else ""
    return (
        f'<text x="{_n(shape.x)}" y="{_n(height - shape.y)}" font-size="{_n(shape.fontSize)}"'
        f' class="{_class("fill", shape.fillColor)}" fill="{_hex(shape.fillColor)}"'
        f"{anchor}{weight}>{_text(shape.text)}</text>"
    )


def _pen(shape: Rect | Line | Polygon | Circle | Path) -> str:
    """Classes for the page's stylesheet, and the same colours for readers without one."""
    classes = []
    fill, fill_colour = "none", getattr(shape, "fillColor", None)
    if fill_colour:
        classes.append(_class("fill", fill_colour))
        fill = _hex(fill_colour)
    line = ""
    if shape.strokeColor:
        classes.append(_class("line", shape.strokeColor))
        line = f' stroke="{_hex(shape.strokeColor)}" stroke-width="{_n(shape.strokeWidth)}"'
        if shape.strokeDashArray:
            dashes = " ".join(f"{one:g}" for one in shape.strokeDashArray)
            line += f' stroke-dasharray="{dashes}"'
    return f' class="{" ".join(classes)}" fill="{fill}"{line}'


def _class(use: str, colour: Color | None) -> str:
    if not isinstance(colour, Ink):
        raise TypeError("A shape of a drawing has a colour without a role.")
    return f"draw-{use}-{colour.role.replace('_', '-')}"


def _hex(colour: Color | None) -> str:
    return f"#{colour.hexval()[2:]}" if colour else "none"
