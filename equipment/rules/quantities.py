"""Quantities as people type them: a number with or without a unit, and the words themselves."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from typing import Any

# What one of a unit is in the unit of the column. Inches, pounds and knots are exact by definition.
_LENGTHS_M = {"m": 1.0, "cm": 0.01, "mm": 0.001, "km": 1000.0, "ft": 0.3048, "in": 0.0254,
              "yd": 0.9144}  # fmt: skip
_MASSES_KG = {"kg": 1.0, "g": 0.001, "lb": 0.45359237, "lbs": 0.45359237, "oz": 0.028349523125}
_SPEEDS_MS = {"m/s": 1.0, "km/h": 1 / 3.6, "kn": 1852 / 3600, "mph": 1609.344 / 3600}
_ACCEPTED: dict[str, dict[str, float]] = {
    "m": _LENGTHS_M,
    "mm": {name: metres * 1000 for name, metres in _LENGTHS_M.items()},
    "cm": {name: metres * 100 for name, metres in _LENGTHS_M.items()},
    "in": {name: metres / 0.0254 for name, metres in _LENGTHS_M.items()},
    "kg": _MASSES_KG,
    "g": {name: kilograms * 1000 for name, kilograms in _MASSES_KG.items()},
    "lb": {name: kilograms / 0.45359237 for name, kilograms in _MASSES_KG.items()},
    "kgf": _MASSES_KG | {"kgf": 1.0, "lbf": 0.45359237, "n": 1 / 9.80665},
    "m/s": _SPEEDS_MS,
    "N": {"n": 1.0, "kgf": 9.80665, "kg": 9.80665, "lbf": 4.4482216152605},
    "Ah": {"ah": 1.0, "mah": 0.001},
    "km": {"km": 1.0, "mi": 1.609344},
    "°C": {"°c": 1.0, "c": 1.0},
    "h": {"h": 1.0, "min": 1 / 60},
}
_PART = re.compile(r"\s*([+-]?[\d.,]+)\s*([^\d\s.,+-][^\d\s]*)?")
_THOUSANDS = re.compile(r"^\d{1,3},\d{3}$")


class Quantity(float):
    """A number in the unit of its column; `typed` holds its words where they name another unit."""

    typed: str

    def __new__(cls, value: float, typed: str = "") -> Quantity:
        made = super().__new__(cls, value)
        made.typed = typed
        return made


class WholeQuantity(int):
    """The same, for a column of whole units such as millimetres or grams."""

    typed: str

    def __new__(cls, value: int, typed: str = "") -> WholeQuantity:
        made = super().__new__(cls, value)
        made.typed = typed
        return made


def read_number(text: str) -> float:
    """A number with a point or a comma as its decimal mark; ValueError where it could be either."""
    if _THOUSANDS.match(text):
        raise ValueError(
            f"{text} can be read in two ways: write {text.replace(',', '')} or "
            f"{text.replace(',', '.')}."
        )
    try:
        found = float(text.replace(",", ".") if text.count(",") == 1 else text)
    except ValueError:
        raise ValueError(f"{text} is no number; write digits, such as 2.5.") from None
    if not math.isfinite(found):
        raise ValueError(f"{text} is no number; write digits, such as 2.5.")
    return found


def read_quantity(text: str, unit: str) -> Quantity:
    """What '2.5', '30 lb' or '10 ft 6 in' is in `unit`; ValueError with a sentence."""
    accepted = {name.lower(): by for name, by in _ACCEPTED.get(unit, {unit.lower(): 1.0}).items()}
    total, at, foreign = 0.0, 0, False
    while at < len(text):
        part = _PART.match(text, at)
        if part is None:
            raise ValueError(f"{text!r} is no number of {unit}; write one, such as 2.5.")
        named = (part[2] or unit).lower().rstrip(".")
        if named not in accepted:
            raise ValueError(
                f"The unit {part[2]!r} does not fit here; use one of "
                f"{', '.join(_ACCEPTED.get(unit, accepted))}."
            )
        foreign = foreign or named != unit.lower()
        total += read_number(part[1]) * accepted[named]
        at = part.end()
    return Quantity(round(total, 10), " ".join(text.split()) if foreign else "")


def kept_words(kept: Mapping[str, Any], given: Mapping[str, Any]) -> dict[str, Any]:
    """What a row keeps of how its quantities were typed, once `given` is written into it.

    Words are kept beside the number that they stand for: one that was changed since, by whatever
    hand, no longer answers to them.
    """
    fresh = {
        name: [value.typed, value]
        for name, value in given.items()
        if isinstance(value, (Quantity, WholeQuantity)) and value.typed
    }
    return {name: words for name, words in kept.items() if name not in given} | fresh


def typed_words(kept: Mapping[str, Any], name: str, value: float | None) -> str:
    """The words in which a quantity was typed; empty where it is another number by now."""
    words, stood_for = kept.get(name) or ("", None)
    return str(words) if words and value is not None and stood_for == value else ""
