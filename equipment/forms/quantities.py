"""Fields for quantities: a number with or without a unit, metric or imperial, and rows of cells."""

from __future__ import annotations

import re
from decimal import Decimal
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from equipment.rules.quantities import Quantity, WholeQuantity, read_number, read_quantity


def plain_number(value: Any) -> Any:
    """A number of a row as a form shows it: 285 and not 285.0, 1300.00 and not 1300.000."""
    if isinstance(value, float) and value.is_integer():
        return int(value)
    if isinstance(value, Decimal):
        cents = round(value, 2)
        return cents if cents == value else value.normalize()
    return value


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
        if isinstance(value, (Quantity, WholeQuantity)) and value.typed:
            return value.typed
        return f"{value:.10g}" if isinstance(value, (int, float)) else value

    def to_python(self, value: Any) -> Quantity | WholeQuantity | None:
        text = str(value).strip() if value is not None else ""
        if not text:
            return None
        if len(text) > 40:
            raise ValidationError("That is too long for a number.")
        try:
            found = read_quantity(text, self.unit)
        except ValueError as error:
            raise ValidationError(str(error)) from None
        if self.least is not None and found < self.least:
            raise ValidationError(f"Give {self.least:g} {self.unit} or more.")
        if self.most is not None and found > self.most:
            raise ValidationError(f"Give {self.most:g} {self.unit} at most.")
        return found


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
