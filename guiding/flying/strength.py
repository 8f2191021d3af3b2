"""Strength of line and links: newtons inside, kilograms-force and pounds on spool labels."""

from __future__ import annotations

from guiding.flying import ranges
from guiding.flying.defaults import GRAVITY_MS2

_POUND_KG = 0.45359237  # exact by definition


def strength_n_from_kgf(strength_kgf: float) -> float:
    """Strength in newtons of a line sold by kilograms-force.

    strength_kgf: above 0, at most about 1000. ValueError outside. Source: exact definition.
    """
    return ranges.STRENGTH_N.admit(strength_kgf * GRAVITY_MS2)


def strength_n_from_lb(strength_lb: float) -> float:
    """Strength in newtons of a line sold by pounds.

    strength_lb: above 0, at most about 2200. ValueError outside. Source: exact definitions.
    """
    return ranges.STRENGTH_N.admit(strength_lb * _POUND_KG * GRAVITY_MS2)


def strength_kgf_from_n(strength_n: float) -> float:
    """Strength in kilograms-force of a line given in newtons.

    strength_n: above 0, at most 10000. ValueError outside. Source: exact definition.
    """
    return ranges.STRENGTH_N.admit(strength_n) / GRAVITY_MS2


def as_sold(strength_n: float) -> str:
    """A strength in newtons with the kilograms-force that stand on a spool, as words.

    strength_n: above 0, at most 10000. ValueError outside. Source: exact definition.
    """
    return f"{_short(strength_n)} N ({_short(strength_kgf_from_n(strength_n))} kgf)"


def _short(strength: float) -> str:
    return f"{strength:.0f}" if strength >= 100 else f"{strength:.3g}"
