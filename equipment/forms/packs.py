"""Forms for flight packs: checks of many in a row, and the limits they are judged by."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from django import forms
from django.forms import BoundField
from django.utils import timezone

from equipment.forms.layout import helper
from equipment.forms.quantities import MomentField, QuantityField
from equipment.models import FlightPack
from equipment.rules.packs import LimitRow
from equipment.rules.quantities import read_number

_SEVERAL = re.compile(r"[\s;/|]+")


class CellField(QuantityField):
    """One reading; the first of a row may hold all of them, pasted from a meter."""

    def to_python(self, value: Any) -> Any:
        parts = [part for part in _SEVERAL.split(str(value or "").strip()) if part]
        if len(parts) < 2:
            return super().to_python(value)
        try:
            return [read_number(part) for part in parts[:24]]
        except ValueError as error:
            raise forms.ValidationError(str(error)) from None


@dataclass(frozen=True, slots=True)
class CheckRow:
    """One pack on the page of checks: its bound fields."""

    pack: FlightPack
    volts: list[BoundField]
    mohm: list[BoundField]
    capacity: BoundField
    temperature: BoundField
    swollen: BoundField

    @property
    def problems(self) -> list[str]:
        fields = [*self.volts, *self.mohm, self.capacity, self.temperature, self.swollen]
        return [str(error) for field in fields for error in field.errors]


class ChecksForm(forms.Form):
    """Checks of many packs in a row; a pack without any figure is left out."""

    at = MomentField(label="When")
    by = forms.CharField(label="Who measured", max_length=100, required=False)

    def __init__(self, *args: Any, packs: Sequence[FlightPack], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.packs = packs
        for pack in packs:
            for cell in range(1, pack.cells_series + 1):
                self.fields[f"{pack.pk}-v-{cell}"] = _cell(f"{pack.label}, cell {cell}, volts", "V")
                self.fields[f"{pack.pk}-r-{cell}"] = _cell(
                    f"{pack.label}, cell {cell}, milliohms", "mΩ"
                )
            self.fields[f"{pack.pk}-capacity"] = _small(f"{pack.label}, measured capacity", "Ah")
            self.fields[f"{pack.pk}-temperature"] = _small(f"{pack.label}, temperature", "°C")
            self.fields[f"{pack.pk}-swollen"] = forms.BooleanField(
                required=False, label=f"{pack.label} is swollen"
            )

    @property
    def rows(self) -> list[CheckRow]:
        return [
            CheckRow(
                pack,
                [self[f"{pack.pk}-v-{cell}"] for cell in range(1, pack.cells_series + 1)],
                [self[f"{pack.pk}-r-{cell}"] for cell in range(1, pack.cells_series + 1)],
                self[f"{pack.pk}-capacity"],
                self[f"{pack.pk}-temperature"],
                self[f"{pack.pk}-swollen"],
            )
            for pack in self.packs
        ]

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        if self.errors:
            return cleaned
        if not self.checks():
            raise forms.ValidationError("Nothing is filled in: enter at least one figure.")
        return cleaned

    def checks(self) -> list[tuple[FlightPack, dict[str, Any]]]:
        """What was measured, pack by pack."""
        found = []
        for pack in self.packs:
            figures = {
                "cells_v": self._cells(pack, "v"),
                "cells_mohm": self._cells(pack, "r"),
                "capacity_ah": self.cleaned_data.get(f"{pack.pk}-capacity"),
                "temperature_c": self.cleaned_data.get(f"{pack.pk}-temperature"),
                "swollen": self.cleaned_data.get(f"{pack.pk}-swollen", False),
            }
            if any(value not in (None, (), False) for value in figures.values()):
                found.append((pack, figures))
        return found

    def _cells(self, pack: FlightPack, which: str) -> tuple[float, ...]:
        typed = [
            self.cleaned_data.get(f"{pack.pk}-{which}-{cell}")
            for cell in range(1, pack.cells_series + 1)
        ]
        if isinstance(typed[0], list):
            return tuple(typed[0])
        return tuple(one for one in typed if one is not None and not isinstance(one, list))

    def point_at(self, pack: FlightPack, name: str, sentences: list[str]) -> None:
        """Put a refusal of the action at the field of the pack it is about."""
        field = {
            "cells_v": f"{pack.pk}-v-1",
            "cells_mohm": f"{pack.pk}-r-1",
            "capacity_ah": f"{pack.pk}-capacity",
            "temperature_c": f"{pack.pk}-temperature",
            "at": "at",
        }.get(name)
        for sentence in sentences:
            if field is None:
                self.add_error(None, f"{pack.label}: {sentence}")
            else:
                self.add_error(field, sentence)


def _cell(label: str, unit: str) -> CellField:
    field = CellField(unit=unit, required=False, label=label)
    field.widget.attrs |= {"size": 4, "aria-label": label}
    return field


def _small(label: str, unit: str) -> QuantityField:
    field = QuantityField(unit=unit, required=False, label=label)
    field.widget.attrs |= {"size": 5, "aria-label": label}
    return field


_LIMIT_LABELS = {
    "retire_health_share": "Retire below a health of",
    "watch_health_share": "Watch below a health of",
    "retire_resistance_factor": "Retire at a resistance of",
    "retire_sibling_factor": "Retire at a resistance, beside its siblings, of",
    "watch_resistance_factor": "Watch at a resistance of",
    "ground_spread_mv": "Ground above a spread of the cells of",
    "watch_spread_mv": "Watch from a spread of the cells of",
    "ground_cell_v": "Ground below a cell at rest of",
    "ground_cell_liion_v": "Ground below a Li-ion cell at rest of",
    "overcharge_v": "Ground above a full cell by",
    "watch_temperature_c": "Watch above a temperature of",
    "watch_cycles": "Watch from cycles",
    "retire_cycles": "Retire at cycles",
    "watch_age_months": "Watch from an age of",
    "retire_age_months": "Retire at an age of",
    "watch_check_days": "Watch when not checked for",
    "stored_full_days": "Remind when left full or empty for",
    "pair_health_share": "Packs of a pair: health apart at most",
    "pair_resistance_factor": "Packs of a pair: resistance at most",
}


class LimitsForm(forms.Form):
    """The limits packs are judged by, one field a limit, with its default and its mark."""

    def __init__(self, *args: Any, table: Sequence[LimitRow], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for row in table:
            source = f", {row.source}" if row.source else ""
            self.fields[row.name] = forms.FloatField(
                label=_LIMIT_LABELS.get(row.name, row.name.replace("_", " ").capitalize()),
                initial=row.value,
                min_value=0,
                help_text=f"In {row.unit}. Default {row.default:g}: {row.mark.value}{source}.",
            )
        self.helper = helper(self)


class ChargeForm(forms.Form):
    """Which packs were charged full, or brought to storage charge."""

    packs = forms.ModelMultipleChoiceField(queryset=FlightPack.objects.filter(retired_on=None))
    full = forms.TypedChoiceField(
        choices=[("1", "charged full"), ("0", "brought to storage charge")],
        coerce=lambda typed: typed == "1",
    )


def now_shown() -> dict[str, object]:
    return {"at": timezone.localtime()}
