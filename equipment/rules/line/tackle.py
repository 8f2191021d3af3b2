"""Spool, line class, drag and leader: the arithmetic of tackle."""

from __future__ import annotations

import math
from dataclasses import dataclass
from decimal import ROUND_DOWN, Decimal
from enum import StrEnum

_KG_PER_LB = Decimal("0.45359237")  # exact by definition

# IGFA line classes: kilograms, and the customary name in pounds.
_IGFA_CLASSES_KG_LB: tuple[tuple[int, int], ...] = (
    (1, 2),
    (2, 4),
    (3, 6),
    (4, 8),
    (6, 12),
    (8, 16),
    (10, 20),
    (15, 30),
    (24, 50),
    (37, 80),
    (60, 130),
)


class LineMaterial(StrEnum):
    """What the line is made of."""

    MONO = "mono"
    BRAID = "braid"
    FLUORO = "fluoro"


# Magazine test of terminal knots on a tensile machine.
_KNOT_SHARES: dict[LineMaterial, tuple[float, float]] = {
    LineMaterial.MONO: (0.75, 1.0),
    LineMaterial.BRAID: (0.31, 0.87),
}


@dataclass(frozen=True, slots=True)
class LineClass:
    """A record class: the line must break at or under `class_kg` when tested."""

    class_kg: int
    customary_lb: int
    tested_under_lb: Decimal


@dataclass(frozen=True, slots=True)
class DragBand:
    """Lowest and highest drag to set, in kilograms-force on the spring balance."""

    low_kg: float
    high_kg: float


@dataclass(frozen=True, slots=True)
class KnotBand:
    """What a terminal knot leaves of the line, weakest and strongest knot of the test."""

    low_kg: float
    high_kg: float


def line_capacity_m(
    *, rated_length_m: float, rated_diameter_mm: float, new_diameter_mm: float
) -> float:
    """Metres of another diameter that fill the same spool: L2 = L1 (d1 / d2)^2.

    Equal volume and equal packing (geometry; the same rule is published for reels). Valid for
    positive values; true diameters, which the label of a braid often is not. Raises ValueError.
    """
    _positive(rated_length_m=rated_length_m, rated_diameter_mm=rated_diameter_mm)
    _positive(new_diameter_mm=new_diameter_mm)
    return rated_length_m * (rated_diameter_mm / new_diameter_mm) ** 2


def backing_length_m(
    *,
    spool_length_m: float,
    spool_diameter_mm: float,
    main_length_m: float,
    main_diameter_mm: float,
    backing_diameter_mm: float,
    fill_share: float = 1.0,
) -> float:
    """Metres of backing under the main line so that the spool comes out filled.

    Volume balance: (fill x spool length x spool d^2 - main length x main d^2) / backing d^2. The
    spool is described by its printed length and diameter; fill_share above 0 to 1. Raises
    ValueError where the main line alone does not fit.
    """
    _positive(spool_length_m=spool_length_m, spool_diameter_mm=spool_diameter_mm)
    _positive(main_length_m=main_length_m, main_diameter_mm=main_diameter_mm)
    _positive(backing_diameter_mm=backing_diameter_mm)
    if not 0 < fill_share <= 1:
        raise ValueError(f"fill_share is {fill_share}: give a share above 0 and up to 1.")
    room = fill_share * spool_length_m * spool_diameter_mm**2
    taken = main_length_m * main_diameter_mm**2
    if taken > room * (1 + 1e-9):
        fits_m = room / main_diameter_mm**2
        raise ValueError(
            f"{main_length_m:g} m of {main_diameter_mm:g} mm do not fit: the spool takes "
            f"{fits_m:.0f} m; spool less, or a thinner line."
        )
    return max(0.0, room - taken) / backing_diameter_mm**2


def line_class(*, breaking_load_kg: float) -> LineClass | None:
    """The smallest record class a line meets by its tested breaking load; None above 60 kg.

    A line must break at or under its class (IGFA). Pounds are the exact value cut to two
    decimals, as published, not rounded. Raises ValueError for a load that is not positive.
    """
    _positive(breaking_load_kg=breaking_load_kg)
    for class_kg, customary_lb in _IGFA_CLASSES_KG_LB:
        if breaking_load_kg <= class_kg:
            return LineClass(class_kg, customary_lb, _cut_lb(class_kg))
    return None


def line_classes() -> tuple[LineClass, ...]:
    """Every record class: kilograms, customary pounds, and the pounds a line is tested under."""
    return tuple(LineClass(kg, lb, _cut_lb(kg)) for kg, lb in _IGFA_CLASSES_KG_LB)


def drag_band(
    *, line_strength_kg: float, low_share: float = 0.25, high_share: float = 1 / 3
) -> DragBand:
    """Drag to set for a line: a quarter to a third of its strength before knots.

    Published angling practice; a narrower band (25 to 30 %) is printed too. With a leader lighter
    than the main line, give the leader's strength. Shares 0 to 1, low not above high; ValueError.
    """
    _positive(line_strength_kg=line_strength_kg)
    if not 0 < low_share <= high_share <= 1:
        raise ValueError(
            f"The drag shares {low_share:g} and {high_share:g} are no band: "
            "give 0 < low_share <= high_share <= 1."
        )
    return DragBand(line_strength_kg * low_share, line_strength_kg * high_share)


def drag_rise_ratio(*, full_diameter_mm: float, now_diameter_mm: float) -> float:
    """How many times the set drag is felt once line has left the spool: full over present diameter.

    The same brake torque acts on a smaller arm (geometry; the direction is published). Valid for
    a present diameter above zero and not above the full one. Raises ValueError.
    """
    _positive(full_diameter_mm=full_diameter_mm, now_diameter_mm=now_diameter_mm)
    if now_diameter_mm > full_diameter_mm:
        raise ValueError(
            f"The spool measures {now_diameter_mm:g} mm now and {full_diameter_mm:g} mm full: "
            "measure both over the line."
        )
    return full_diameter_mm / now_diameter_mm


def shock_leader_kg(*, lead_g: float) -> float:
    """Least breaking strain of a shock leader in kilograms for a lead cast, in grams.

    Published rule: 10 lb per ounce of lead; a pound is 16 ounces, so 0.16 kg per gram. Check the
    rules of the beach or club, which may ask for more. Raises ValueError unless positive.
    """
    _positive(lead_g=lead_g)
    return 0.16 * lead_g


def shock_leader_length_m(
    *, rod_length_m: float, spool_diameter_mm: float, turns: int = 6
) -> float:
    """Length of a shock leader in metres: the rod plus some turns on the spool.

    Published: six turns (another source: two rod lengths and two or three turns). The drop from
    the tip to the lead hangs off the same leader: add it. Raises ValueError unless positive.
    """
    _positive(rod_length_m=rod_length_m, spool_diameter_mm=spool_diameter_mm, turns=turns)
    return rod_length_m + turns * math.pi * spool_diameter_mm / 1000


def knotted_line_kg(*, line_strength_kg: float, material: LineMaterial) -> KnotBand:
    """What is left of a line at its terminal knot: worst and best knot of one published test.

    Machine test: mono 75 to 100 %, braid 31 to 87 % of line strength, dry. Nylon is weaker wet
    (published, without a figure), braid mostly is not. Test your own knot. Raises ValueError
    for fluorocarbon, which the test left out, and unless the strength is positive.
    """
    _positive(line_strength_kg=line_strength_kg)
    if material not in _KNOT_SHARES:
        raise ValueError(f"No source gives knots in {material.value}: test your own on a balance.")
    low, high = _KNOT_SHARES[material]
    return KnotBand(line_strength_kg * low, line_strength_kg * high)


def _cut_lb(class_kg: int) -> Decimal:
    return (Decimal(class_kg) / _KG_PER_LB).quantize(Decimal("0.01"), rounding=ROUND_DOWN)


def _positive(**values: float) -> None:
    for name, value in values.items():
        if not 0 < value < math.inf:
            raise ValueError(f"{name} is {value}: give a number above zero.")
