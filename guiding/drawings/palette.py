"""The colours of every drawing, by what they stand for.

A colour carries its role, so that the same drawing can be written as SVG whose colours come from
the page's stylesheet, and as PDF with the colours themselves.
"""

from dataclasses import dataclass, fields
from functools import cache

from reportlab.lib.colors import Color


class Ink(Color):
    """A colour that knows what it stands for."""

    def __init__(self, role: str, red: float, green: float, blue: float) -> None:
        super().__init__(red, green, blue)
        self.role = role


@dataclass(frozen=True, slots=True)
class Palette:
    """One colour a role, as '#rrggbb'. `engraved` adds lines to the water for grey printers."""

    paper: str
    ink: str
    soft: str
    grid: str
    night: str
    twilight: str
    day: str
    water: str
    ripple: str
    tide: str
    go: str
    caution: str
    stop: str
    block: str
    on_block: str
    moon_lit: str
    moon_dark: str
    engraved: bool = False

    def ink_of(self, role: str) -> Ink:
        """The colour of one role."""
        return _ink(role, getattr(self, role))


@cache
def _ink(role: str, value: str) -> Ink:
    red, green, blue = (int(value[i : i + 2], 16) / 255 for i in (1, 3, 5))
    return Ink(role, red, green, blue)


LIGHT = Palette(
    paper="#fbf7ec",
    ink="#1f2a30",
    soft="#4a555a",
    grid="#a9aca4",
    night="#c2c9d0",
    twilight="#dfe0da",
    day="#fdf8e6",
    water="#a5c3d1",
    ripple="#8cb0c1",
    tide="#2a5871",
    go="#2c6b43",
    caution="#8a5a06",
    stop="#8e3114",
    block="#2f4f62",
    on_block="#fbf7ec",
    moon_lit="#fffdf2",
    moon_dark="#4d5860",
)

DARK = Palette(
    paper="#161b1e",
    ink="#ece6d6",
    soft="#b9b9ae",
    grid="#55605f",
    night="#10161b",
    twilight="#212c34",
    day="#35424a",
    water="#23495e",
    ripple="#315d74",
    tide="#8cc4e0",
    go="#86cf9d",
    caution="#e3b559",
    stop="#f29a7b",
    block="#a9cbdd",
    on_block="#11181c",
    moon_lit="#fff6d8",
    moon_dark="#0b0f12",
)

PRINT = Palette(
    paper="#ffffff",
    ink="#000000",
    soft="#3a3a3a",
    grid="#9a9a9a",
    night="#cfcfcf",
    twilight="#e6e6e6",
    day="#ffffff",
    water="#f4f4f4",
    ripple="#8a8a8a",
    tide="#000000",
    go="#000000",
    caution="#333333",
    stop="#000000",
    block="#2b2b2b",
    on_block="#ffffff",
    moon_lit="#ffffff",
    moon_dark="#404040",
    engraved=True,
)

ROLES = tuple(one.name for one in fields(Palette) if one.name != "engraved")


def palette_variables(palette: Palette) -> str:
    """The colours of one palette as CSS custom properties, one a line: `--draw-ROLE: #rrggbb;`."""
    return "\n".join(
        f"--draw-{role.replace('_', '-')}: {getattr(palette, role)};" for role in ROLES
    )


def palette_rules() -> str:
    """The CSS rules that tie the classes of every SVG drawing to the custom properties.

    A drawing's shapes carry `draw-fill-ROLE` and `draw-line-ROLE`, with the light palette in
    presentation attributes for readers without the stylesheet.
    """
    rules = []
    for role in (role.replace("_", "-") for role in ROLES):
        rules.append(f".draw-fill-{role} {{ fill: var(--draw-{role}); }}")
        rules.append(f".draw-line-{role} {{ stroke: var(--draw-{role}); }}")
    return "\n".join(rules)
