"""Forms for line: onto a reel, from reel to reel, and how a spool fills."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from django import forms

from equipment.forms.layout import helper
from equipment.forms.quantities import DayInput, QuantityField
from equipment.models import Line, Reel


class SpoolForm(forms.Form):
    """A new line for a reel."""

    material = forms.ChoiceField(choices=Line.Material.choices)
    colour = forms.CharField(max_length=40, required=False)
    spooled_m = QuantityField(unit="m", least=1, most=10_000, label="Metres spooled")
    diameter_mm = QuantityField(unit="mm", least=0.01, most=5, label="Diameter")
    strength_kgf = QuantityField(
        unit="kgf", least=0.1, most=500, label="Breaking strength", help_text="50 lb may be typed."
    )
    backing_m = QuantityField(
        unit="m", least=0, most=10_000, required=False, label="Backing under it", initial=0
    )
    price_per_m = forms.DecimalField(
        label="Price a metre", min_value=Decimal(0), max_digits=9, decimal_places=4, initial=0
    )
    on = forms.DateField(label="Day", widget=DayInput)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.helper = helper(
            self,
            (
                "",
                [
                    ("material", "colour"),
                    ("spooled_m", "backing_m"),
                    ("diameter_mm", "strength_kgf"),
                    ("price_per_m", "on"),
                ],
            ),
            button="Spool it",
        )

    def clean_backing_m(self) -> float:
        return self.cleaned_data["backing_m"] or 0.0


class MoveForm(forms.Form):
    """The line of this reel goes over to another one."""

    reel = forms.ModelChoiceField(
        queryset=Reel.objects.filter(retired_on=None), label="Onto the reel"
    )
    turned = forms.BooleanField(
        required=False,
        initial=True,
        label="Wound over directly: the worn end comes to lie inside",
    )
    on = forms.DateField(label="Day", widget=DayInput)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.helper = helper(self, button="Move the line")


class TakeOffForm(forms.Form):
    on = forms.DateField(label="Day", widget=DayInput)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.helper = helper(self, button="Take the line off")


class FillForm(forms.Form):
    """How a spool fills with a main line and the backing under it."""

    rated_m = QuantityField(unit="m", least=1, most=100_000, label="Spool holds")
    rated_mm = QuantityField(unit="mm", least=0.01, most=5, label="At a diameter of")
    line_m = QuantityField(unit="m", least=1, most=100_000, label="Main line")
    line_mm = QuantityField(unit="mm", least=0.01, most=5, label="Its diameter")
    backing_mm = QuantityField(unit="mm", least=0.01, most=5, label="Diameter of the backing")

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.helper = helper(
            self,
            ("", [("rated_m", "rated_mm"), ("line_m", "line_mm"), "backing_mm"]),
            button="Work it out",
        )
        self.helper.form_method = "get"
