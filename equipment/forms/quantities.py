"""Fields for quantities: a number with or without a unit, metric or imperial, and rows of cells."""

from __future__ import annotations

import math
import re
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

# What one of a unit is in the unit of the field. Inches, pounds and knots are exact by definition.
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


class QuantityField(forms.Field):
    """A number in `unit`; '30 lb', '10 ft 6 in' and the like are turned into it."""

    widget = forms.TextInput

    def __init__(self, *, unit: str, least: float | None = None, most: float | None = None,
                 **kwargs: Any) -> None:  # fmt: skip
        super().__init__(**kwargs)
        self.unit, self.least, self.most = unit, least, most
        self.widget.attrs.setdefault("inputmode", "decimal")
        self.widget.attrs.setdefault("autocomplete", "off")

    def prepare_value(self, value: Any) -> Any:
        return f"{value:.10g}" if isinstance(value, (int, float)) else value

    def to_python(self, value: Any) -> float | None:
        text = str(value).strip() if value is not None else ""
        if not text:
            return None
        if len(text) > 40:
            raise ValidationError("That is too long for a number.")
        try:
            found = self._sum(text)
        except ValueError as error:
            raise ValidationError(str(error)) from None
        if self.least is not None and found < self.least:
            raise ValidationError(f"Give {self.least:g} {self.unit} or more.")
        if self.most is not None and found > self.most:
            raise ValidationError(f"Give {self.most:g} {self.unit} at most.")
        return found

    def _sum(self, text: str) -> float:
        accepted = _ACCEPTED.get(self.unit, {self.unit.lower(): 1.0})
        total, at = 0.0, 0
        while at < len(text):
            part = _PART.match(text, at)
            if part is None:
                raise ValueError(f"{text!r} is no number of {self.unit}; write one, such as 2.5.")
            unit = (part[2] or self.unit).lower().rstrip(".")
            if unit not in {name.lower() for name in accepted}:
                raise ValueError(
                    f"The unit {part[2]!r} does not fit here; use one of {', '.join(accepted)}."
                )
            factor = next(by for name, by in accepted.items() if name.lower() == unit)
            total += read_number(part[1]) * factor
            at = part.end()
        return round(total, 10)


class CellsField(forms.Field):
    """One reading a cell, in a row: '3.80 3.81 3.80 3.79'; a single reading counts for one cell."""

    widget = forms.TextInput

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(**{"required": False} | kwargs)
        self.widget.attrs.setdefault("inputmode", "text")
        self.widget.attrs.setdefault("autocomplete", "off")

    def prepare_value(self, value: Any) -> Any:
        return " ".join(f"{one:g}" for one in value) if isinstance(value, (list, tuple)) else value

    def to_python(self, value: Any) -> tuple[float, ...]:
        text = str(value or "").strip()
        if len(text) > 200:
            raise ValidationError("That is too long: give one reading a cell.")
        parts = [part for part in re.split(r"[\s;/|]+", text) if part]
        try:
            return tuple(read_number(part) for part in parts)
        except ValueError as error:
            raise ValidationError(str(error)) from None


class DayInput(forms.DateInput):
    input_type = "date"

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(format="%Y-%m-%d", **kwargs)


class MomentInput(forms.DateTimeInput):
    input_type = "datetime-local"

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(format="%Y-%m-%dT%H:%M", **kwargs)


class MomentField(forms.DateTimeField):
    """A day and a time, where the business is."""

    widget = MomentInput
