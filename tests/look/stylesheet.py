"""Reads the stylesheet back: its custom properties by scheme, and the contrast between two."""

from __future__ import annotations

import math
import re
from pathlib import Path

import guiding

SHEET = Path(guiding.__file__).parent / "static" / "sandspike" / "desk.css"
TEXT = SHEET.read_text(encoding="utf-8")
_BLOCKS = {
    "light": r"(?m)^:root \{\n  color-scheme: light;(.*?)\n\}",
    "dark as the device says": r'(?s):root:not\(\[data-scheme="light"\]\) \{(.*?)\n  \}',
    "dark as chosen": r'(?s):root\[data-scheme="dark"\] \{(.*?)\n  \}',
}


def properties(scheme: str) -> dict[str, str]:
    """The custom properties of one palette block."""
    found = re.search(_BLOCKS[scheme], TEXT, re.DOTALL)
    assert found, f"the stylesheet has no palette block for {scheme}"
    return dict(re.findall(r"--([\w-]+): ([^;]+);", found.group(1)))


def luminance(colour: str) -> float:
    """Relative luminance (WCAG 2.2) of an `oklch(L C h)` colour.

    OKLCH to linear sRGB by the matrices of Björn Ottosson, 'A perceptual color space for image
    processing' (2020), the ones CSS Color 4 uses; components out of gamut are clipped.
    """
    parts = re.fullmatch(r"oklch\((\S+) (\S+) (\S+)\)", colour)
    assert parts, f"{colour} is not written as oklch(L C h)"
    lightness, chroma, hue = map(float, parts.groups())
    a, b = chroma * math.cos(math.radians(hue)), chroma * math.sin(math.radians(hue))
    long = (lightness + 0.3963377774 * a + 0.2158037573 * b) ** 3
    middle = (lightness - 0.1055613458 * a - 0.0638541728 * b) ** 3
    short = (lightness - 0.0894841775 * a - 1.2914855480 * b) ** 3
    red = 4.0767416621 * long - 3.3077115913 * middle + 0.2309699292 * short
    green = -1.2684380046 * long + 2.6097574011 * middle - 0.3413193965 * short
    blue = -0.0041960863 * long - 0.7034186147 * middle + 1.7076147010 * short
    red, green, blue = (min(max(part, 0.0), 1.0) for part in (red, green, blue))
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: str, other: str) -> float:
    """Contrast ratio of WCAG 2.2 between two `oklch` colours."""
    lighter, darker = sorted((luminance(one), luminance(other)), reverse=True)
    return (lighter + 0.05) / (darker + 0.05)
