"""Every scheme can be read: 4.5 to 1 for words, 3 to 1 for shapes (WCAG 2.2, 1.4.3 and 1.4.11)."""

import pytest

from guiding.drawings.palette import (
    DARK,
    LIGHT,
    PRINT,
    ROLES,
    Palette,
    palette_rules,
    palette_variables,
)
from tests.drawings.reading import contrast

GROUNDS = ("paper", "night", "twilight", "day", "water")
WORDS = [(role, ground) for role in ("ink", "soft", "stop") for ground in GROUNDS[:-1]]
WORDS += [("ink", "water"), ("on_block", "block"), ("go", "paper")]
SHAPES = [(role, ground) for role in ("tide", "stop") for ground in GROUNDS]
SHAPES += [("ink", ground) for ground in GROUNDS] + [("go", "paper"), ("caution", "paper")]
SHAPES += [("block", "paper"), ("moon_lit", "moon_dark")]


@pytest.mark.parametrize("palette", [LIGHT, DARK, PRINT], ids=["light", "dark", "print"])
def test_words_and_shapes_stand_out(palette: Palette) -> None:
    def weak(pairs: list[tuple[str, str]], least: float) -> dict[tuple[str, str], float]:
        ratios = {pair: contrast(*(getattr(palette, role) for role in pair)) for pair in pairs}
        return {pair: round(ratio, 2) for pair, ratio in ratios.items() if ratio < least}

    assert weak(WORDS, 4.5) == {}
    assert weak(SHAPES, 3.0) == {}


def test_print_palette_has_no_colour() -> None:
    for role in ROLES:
        red, green, blue = (getattr(PRINT, role)[i : i + 2] for i in (1, 3, 5))
        assert red == green == blue


def test_stylesheet_covers_every_role() -> None:
    rules, variables = palette_rules(), palette_variables(DARK)
    for role in ROLES:
        name = role.replace("_", "-")
        assert f".draw-fill-{name} {{ fill: var(--draw-{name}); }}" in rules
        assert f".draw-line-{name} {{ stroke: var(--draw-{name}); }}" in rules
        assert f"--draw-{name}: {getattr(DARK, role)};" in variables
