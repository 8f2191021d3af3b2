"""Forms for the things themselves, one a kind."""

from __future__ import annotations

from typing import Any

from django import forms

from equipment.forms.layout import helper
from equipment.forms.quantities import DayInput, QuantityField, plain_number
from equipment.models import Craft, FlightPack, Reel, Thing

_COMMON = ["label", "model_note", "serial", "bought_on"]
_WORTH = ["price", "salvage", "book_life_years", "book_method"]


class ThingForm(forms.ModelForm):
    """A thing without columns of its own: rod, clip, beacon, vehicle and so on."""

    class Meta:
        model = Thing
        fields = [*_COMMON, "expires_on", "expected_uses", *_WORTH, "note"]
        widgets = {
            "bought_on": DayInput(),
            "expires_on": DayInput(),
            "note": forms.Textarea(attrs={"rows": 3}),
        }

    #: Fields of the kind, in their own group: legend and rows.
    own: tuple[str, list[str | tuple[str, ...]]] | None = None

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.initial = {name: plain_number(one) for name, one in self.initial.items()}
        self.initial |= self.instance.all_words()
        common: list[str | tuple[str, ...]] = ["label", ("model_note", "serial"), "bought_on"]
        if "expires_on" in self.fields:
            common[-1] = ("bought_on", "expires_on")
        worth: list[str | tuple[str, ...]] = [
            ("price", "salvage"),
            ("book_life_years", "book_method"),
        ]
        if "expected_uses" in self.fields:
            worth.insert(1, "expected_uses")
        groups: list[tuple[str, list[str | tuple[str, ...]]]] = [
            ("What it is", common),
            ("What it is worth", worth),
            ("Note", ["note"]),
        ]
        if self.own:
            groups.insert(1, self.own)
        self.helper = helper(self, *groups)


class CraftForm(ThingForm):
    own = (
        "What it can lift and stand",
        [
            "registration",
            ("mass_kg", "max_takeoff_kg"),
            ("rotors", "rotor_diameter_m"),
            "max_thrust_n",
            "wind_limit_ms",
            ("airspeed_out_ms", "airspeed_home_ms"),
            "efficiency",
            "rain_rated",
            "firmware_note",
        ],
    )
    mass_kg = QuantityField(unit="kg", least=0.1, label="Mass with pack")
    max_takeoff_kg = QuantityField(unit="kg", least=0.1, label="Maker's take-off limit")
    rotor_diameter_m = QuantityField(
        unit="m", least=0.05, most=2, label="Rotor diameter", help_text="10 in may be typed."
    )
    max_thrust_n = QuantityField(
        unit="N",
        least=0.1,
        required=False,
        label="Greatest thrust",
        help_text="Left empty, days are planned with twice the empty weight (house default).",
    )
    wind_limit_ms = QuantityField(
        unit="m/s", least=1, label="Maker's wind limit", help_text="25 kn or 30 mph may be typed."
    )
    airspeed_out_ms = QuantityField(unit="m/s", least=1, label="Airspeed loaded", initial=8)
    airspeed_home_ms = QuantityField(unit="m/s", least=1, label="Airspeed empty", initial=12)

    class Meta(ThingForm.Meta):
        model = Craft
        fields = [
            *_COMMON,
            "registration",
            "mass_kg",
            "max_takeoff_kg",
            "max_thrust_n",
            "rotors",
            "rotor_diameter_m",
            "efficiency",
            "airspeed_out_ms",
            "airspeed_home_ms",
            "wind_limit_ms",
            "rain_rated",
            "firmware_note",
            "expected_uses",
            *_WORTH,
            "note",
        ]


class PackForm(ThingForm):
    own = (
        "Cells",
        [
            ("chemistry", "cells_series"),
            "rated_ah",
            "fits",
            ("cycles_before", "expected_cycles"),
            "first_used_on",
        ],
    )
    rated_ah = QuantityField(
        unit="Ah",
        least=0.1,
        most=200,
        label="Rated capacity",
        help_text="As printed on it; 5000 mAh may be typed.",
    )

    class Meta(ThingForm.Meta):
        model = FlightPack
        fields = [
            *_COMMON,
            "chemistry",
            "cells_series",
            "rated_ah",
            "fits",
            "cycles_before",
            "expected_cycles",
            "first_used_on",
            *_WORTH,
            "note",
        ]
        widgets = ThingForm.Meta.widgets | {"first_used_on": DayInput()}


class ReelForm(ThingForm):
    own = ("What it holds", [("rated_m", "rated_mm")])
    rated_m = QuantityField(
        unit="m", least=1, most=10_000, required=False, label="Maker's capacity"
    )
    rated_mm = QuantityField(
        unit="mm", least=0.01, most=5, required=False, label="At a diameter of"
    )

    class Meta(ThingForm.Meta):
        model = Reel
        fields = [*_COMMON, "rated_m", "rated_mm", "expected_uses", *_WORTH, "note"]


_FORMS: dict[str, type[ThingForm]] = {
    Thing.Kind.CRAFT: CraftForm,
    Thing.Kind.PACK: PackForm,
    Thing.Kind.REEL: ReelForm,
}


def form_of(kind: str) -> type[ThingForm]:
    """The form of a kind of thing."""
    return _FORMS.get(kind, ThingForm)


def blank_row(kind: str) -> Thing:
    """A row of a kind for the form of a new thing to check its figures against."""
    return form_of(kind)._meta.model(kind=kind)


class RetireForm(forms.Form):
    on = forms.DateField(label="Out of use since", widget=DayInput)
    reason = forms.CharField(label="Why", max_length=200)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.helper = helper(self, button="Retire it")


class DefectForm(forms.Form):
    what = forms.CharField(label="What is wrong with it", max_length=300)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.helper = helper(self, button="Ground it")


class SignOffForm(forms.Form):
    by = forms.CharField(label="Name of whoever answers for it", max_length=100)
    reason = forms.CharField(label="What was done, or why it may be used again", max_length=300)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.helper = helper(self, button="Sign it off")


class ReasonForm(forms.Form):
    """Why something written is wrong, or why the advice is not followed."""

    reason = forms.CharField(label="Why", max_length=200)

    def __init__(self, *args: Any, button: str = "Save", **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.helper = helper(self, button=button)
