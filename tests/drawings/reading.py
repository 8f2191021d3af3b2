"""Reads a drawing back: its words, where they stand, and what else is on it."""

import re
import xml.etree.ElementTree as ET  # what is read was written a line before

from reportlab.graphics.shapes import Drawing, Line, Path, String

from guiding.drawings.fonts import BODY, BODY_BOLD, text_width

SVG = "{http://www.w3.org/2000/svg}"


def words_of(drawing: Drawing) -> list[str]:
    """Every text of a drawing, in the order it was drawn."""
    return [one.text for one in drawing.contents if isinstance(one, String)]


def boxes_of(drawing: Drawing) -> list[tuple[str, float, float, float, float]]:
    """Every text with its left, bottom, right and top, from the letters' own widths."""
    found = []
    for one in drawing.contents:
        if not isinstance(one, String):
            continue
        font = BODY_BOLD if one.fontName == BODY_BOLD else BODY
        width = text_width(one.text, one.fontSize, font)
        left = {"start": one.x, "middle": one.x - width / 2, "end": one.x - width}[one.textAnchor]
        low, high = one.y - 0.2 * one.fontSize, one.y + 0.75 * one.fontSize
        found.append((one.text, left, low, left + width, high))
    return found


def collisions(drawing: Drawing) -> list[tuple[str, str]]:
    """Pairs of texts that touch, and texts that leave the sheet."""
    boxes = boxes_of(drawing)
    found = []
    for place, (text, left, low, right, high) in enumerate(boxes):
        if left < -0.01 or low < -0.01 or right > drawing.width or high > drawing.height:
            found.append((text, "the edge"))
        for other, o_left, o_low, o_right, o_high in boxes[place + 1 :]:
            if left < o_right and o_left < right and low < o_high and o_low < high:
                found.append((text, other))
    return found


def strokes_of(drawing: Drawing, role: str, dashed: bool | None = None) -> list[Line | Path]:
    """Every line drawn in the colour of a role; only dashed or only plain ones if wished."""
    return [
        one
        for one in drawing.contents
        if isinstance(one, (Line, Path))
        and one.strokeColor
        and one.strokeColor.role == role
        and (dashed is None or bool(one.strokeDashArray) == dashed)
    ]


def svg_tree(svg: str) -> ET.Element:
    """The parsed element; fails on anything that is not well-formed."""
    return ET.fromstring(svg)  # noqa: S314


def luminance(colour: str) -> float:
    """Relative luminance of '#rrggbb' (WCAG 2.2, definition of relative luminance)."""
    parts = [int(value, 16) / 255 for value in re.findall("..", colour[1:])]
    red, green, blue = (c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in parts)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: str, other: str) -> float:
    """Contrast ratio of two colours (WCAG 2.2)."""
    light, dark = sorted((luminance(one), luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)
