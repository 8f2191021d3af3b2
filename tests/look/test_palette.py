"""Contrast in both schemes, computed from the stylesheet itself (WCAG 2.2, 1.4.3 and 1.4.11)."""

import pytest

from guiding.drawings.palette import DARK, LIGHT, palette_rules, palette_variables
from tests.look.stylesheet import TEXT, contrast, luminance, properties

SCHEMES = ["light", "dark as the device says", "dark as chosen"]
GROUNDS = ["paper", "raised", "sunk", "good-wash", "wait-wash", "stop-wash", "tell-wash"]
INKS = ["ink", "soft", "slate", "kelp", "rust", "ochre"]
ON_BUTTONS = [("on-kelp", "kelp"), ("on-kelp", "kelp-deep"), ("on-rust", "rust")]


@pytest.mark.parametrize("scheme", SCHEMES)
def test_text_stands_out_from_every_ground(scheme: str) -> None:
    colours = properties(scheme)
    pairs = [(ink, ground) for ink in INKS for ground in GROUNDS] + ON_BUTTONS
    weak = {
        pair: round(contrast(colours[pair[0]], colours[pair[1]]), 2)
        for pair in pairs
        if contrast(colours[pair[0]], colours[pair[1]]) < 4.5
    }
    assert not weak


@pytest.mark.parametrize("scheme", SCHEMES)
def test_edges_of_controls_and_the_focus_ring_stand_out(scheme: str) -> None:
    colours = properties(scheme)
    pairs = [(shape, ground) for shape in ("edge", "slate") for ground in ("paper", "raised")]
    weak = [pair for pair in pairs if contrast(colours[pair[0]], colours[pair[1]]) < 3]
    assert not weak


def test_the_two_dark_palettes_are_one() -> None:
    assert properties("dark as chosen") == properties("dark as the device says")


def test_dark_is_the_light_turned_round() -> None:
    light, dark = properties("light"), properties("dark as chosen")
    assert light.keys() == dark.keys()
    assert luminance(light["paper"]) > 0.7 > 0.1 > luminance(dark["paper"])


@pytest.mark.parametrize(("scheme", "palette"), [("light", LIGHT), ("dark as chosen", DARK)])
def test_drawings_have_the_colours_of_their_own_palette(scheme: str, palette: object) -> None:
    wanted = dict(line.strip("-;").split(": ") for line in palette_variables(palette).splitlines())
    here = {name: value for name, value in properties(scheme).items() if name.startswith("draw-")}
    assert here == wanted


def test_every_class_of_a_drawing_has_its_rule() -> None:
    missing = [rule for rule in palette_rules().splitlines() if rule not in TEXT]
    assert not missing


def test_contrast_is_that_of_the_standard() -> None:
    # WCAG 2.2 defines black on white as 21:1; oklch(0 0 0) and oklch(1 0 0) are black and white.
    assert contrast("oklch(0 0 0)", "oklch(1 0 0)") == pytest.approx(21, abs=0.01)
    # #777777 (lightness 0.5693) on white is the well-known near miss of 4.48:1; from memory.
    assert contrast("oklch(.5693 0 0)", "oklch(1 0 0)") == pytest.approx(4.48, abs=0.02)
