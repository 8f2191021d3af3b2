"""The forms of rigs: a recipe with its parts, what is tied, what lies in the box."""

from __future__ import annotations

from typing import Any

from django import forms

from equipment.forms.layout import helper
from equipment.forms.quantities import QuantityField
from guiding.days.models import Rig, RigPart, Tackle

_EMPTY_LINES = 3


class RigForm(forms.Form):
    """What a recipe is called and for which line; its parts stand in a table below."""

    name = forms.CharField(max_length=60)
    main_strength_kgf = QuantityField(unit="kgf", label="For a main line of")
    bait = forms.CharField(max_length=60, required=False, help_text="Such as squid strip.")
    bait_g = QuantityField(unit="g", label="Bait on one hook", least=0)
    first_dropper_m = QuantityField(unit="m", label="First dropper down the trace", least=0)
    dropper_spacing_m = QuantityField(unit="m", label="From dropper to dropper", least=0)
    ready = forms.IntegerField(label="Tied and ready", min_value=0, max_value=500, initial=0)
    origin = forms.CharField(
        label="Where the recipe comes from",
        max_length=120,
        required=False,
        help_text="A source, or: common practice, no source.",
    )
    note = forms.CharField(
        max_length=1000, required=False, widget=forms.Textarea(attrs={"rows": 2})
    )

    def __init__(self, *args: Any, rig: Rig | None = None, **kwargs: Any) -> None:
        if rig is not None:
            kwargs["initial"] = {
                name: getattr(rig, name) for name in self.base_fields
            } | rig.all_words()
        super().__init__(*args, **kwargs)
        self.helper = helper(
            self,
            (
                "Recipe",
                [
                    ("name", "main_strength_kgf"),
                    ("bait", "bait_g"),
                    ("first_dropper_m", "dropper_spacing_m"),
                    ("ready", "origin"),
                    "note",
                ],
            ),
        )
        self.helper.form_tag = False
        self.helper.disable_csrf = True
        self.helper.layout.pop()  # the button stands under the table of parts


class PartForm(forms.Form):
    """One line of a recipe; a line without a name is left away."""

    kind = forms.ChoiceField(choices=RigPart.Kind.choices, required=False, label="Part")
    name = forms.CharField(max_length=60, required=False, label="What to take")
    count = forms.IntegerField(min_value=1, max_value=200, required=False, label="How many")
    length_m = QuantityField(unit="m", required=False, label="Length, m")
    strength_kgf = QuantityField(unit="kgf", required=False, label="Holds, kgf")
    mass_g = QuantityField(unit="g", required=False, label="Mass, g")
    inside_mm = QuantityField(unit="mm", required=False, label="Hook inside, mm")

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for name in ("count", "length_m", "strength_kgf", "mass_g", "inside_mm"):
            self.fields[name].widget.attrs["size"] = 5

    def clean(self) -> dict[str, Any]:
        found = super().clean() or self.cleaned_data
        told = [name for name in self.fields if name not in ("kind", "name") and found.get(name)]
        if told and not found.get("name"):
            self.add_error("name", "Say what to take, or empty the whole line.")
        return found


PartFormSet = forms.formset_factory(PartForm, extra=_EMPTY_LINES, max_num=40, validate_max=True)


def typed_parts(table: forms.BaseFormSet[PartForm]) -> list[dict[str, Any]]:
    """The lines of a recipe that were filled in, in the order in which they are tied."""
    lines = [form.cleaned_data for form in table.forms if form.cleaned_data.get("name")]
    return [
        {
            "kind": line["kind"],
            "name": line["name"],
            "count": line["count"] or 1,
            "length_m": line["length_m"] or 0.0,
            "strength_kgf": line["strength_kgf"],
            "mass_g": line["mass_g"] or 0.0,
            "inside_mm": line["inside_mm"],
        }
        for line in lines
    ]


def shown_parts(rig: Rig) -> list[dict[str, Any]]:
    """The lines of a recipe as its form shows them."""
    names = ("kind", "name", "count", "length_m", "strength_kgf", "mass_g", "inside_mm")
    return [
        {name: getattr(part, name) or None for name in names} | part.all_words()
        for part in rig.parts.all()
    ]


class UsualRigForm(forms.Form):
    """What the usual beach rig is reckoned from."""

    main_kgf = QuantityField(unit="kgf", label="Main line", initial=22.7, least=1, most=500)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.helper = helper(self, button="Begin with the usual two droppers")
        self.helper.form_method = "get"
        self.helper.disable_csrf = True


class TackleForm(forms.Form):
    """What lies in the box of one thing, by the name that the recipes use."""

    name = forms.CharField(max_length=60, help_text="As it stands in the recipes.")
    unit = forms.ChoiceField(choices=Tackle.Unit.choices, label="Counted in")
    quantity = forms.FloatField(label="In the box", min_value=0)
    sold_in = forms.FloatField(
        label="Sold in lots of", min_value=0.001, initial=1, help_text="A bag of 10, a 50 m spool."
    )

    def __init__(self, *args: Any, tackle: Tackle | None = None, **kwargs: Any) -> None:
        if tackle is not None:
            kwargs["initial"] = {name: getattr(tackle, name) for name in self.base_fields}
        super().__init__(*args, **kwargs)
        self.helper = helper(self, ("", ["name", ("unit", "quantity", "sold_in")]))
