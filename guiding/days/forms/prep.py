"""The forms of chargers and of what goes along on every day."""

from __future__ import annotations

from typing import Any

from django import forms

from equipment.forms.layout import helper
from equipment.forms.quantities import QuantityField
from guiding.days.models import Charger, LoadLine


class ChargerForm(forms.ModelForm):
    power_w = QuantityField(unit="W", label="Power of the whole charger", least=1, most=20_000)
    source_wh = QuantityField(
        unit="Wh",
        required=False,
        label="What feeds it holds",
        least=0,
        most=100_000,
        help_text="A battery box. Empty where it does not run out: mains or a generator.",
    )

    class Meta:
        model = Charger
        fields = ["label", "place", "power_w", "slots", "source_wh", "in_use", "note"]

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.helper = helper(
            self,
            ("", [("label", "place"), ("power_w", "slots", "source_wh"), "in_use", "note"]),
            button="Save the charger",
        )

    def _post_clean(self) -> None:
        """The action judges and writes the row."""


class LoadLineForm(forms.ModelForm):
    class Meta:
        model = LoadLine
        fields = ["group", "text", "count", "per", "position", "in_use"]

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.helper = helper(
            self, ("", ["text", ("count", "per"), ("group", "position"), "in_use"])
        )

    def _post_clean(self) -> None:
        """The action judges and writes the row."""
