"""The forms of the catch: logged with one press, with all there is to say, and the rules."""

from __future__ import annotations

import uuid
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from bookings.models import Participant
from equipment.forms.layout import helper
from equipment.forms.quantities import MomentField, QuantityField
from equipment.rules.quantities import WholeQuantity
from guiding.days.forms.layout import DateInput, RowForm
from guiding.days.models import Catch, SpeciesRule
from guiding.days.models.catch import LEAST_MM, MOST_FISH, MOST_G, MOST_MM

_MM = {"cm": 10.0, "in": 25.4}
_G = {"kg": 1000.0, "lb": 453.59237}
_FATES = [("released", "released"), ("kept", "kept")]


class _WholeField(QuantityField):
    """A quantity typed in the units of the business and kept in whole units of the table."""

    each: dict[str, float]

    def in_units(self, unit: str) -> None:
        """Read and show it in this unit."""
        self.unit = unit

    def prepare_value(self, value: Any) -> Any:
        if isinstance(value, int) and not getattr(value, "typed", ""):
            return f"{round(value / self.each[self.unit], 2):.10g}"
        return super().prepare_value(value)

    def to_python(self, value: Any) -> WholeQuantity | None:
        found = super().to_python(value)
        if found is None:
            return None
        return WholeQuantity(round(found * self.each[self.unit]), found.typed)


class LengthField(_WholeField):
    """A length of fish, kept in millimetres."""

    each = _MM

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(unit="cm", required=False, **kwargs)

    def validate(self, value: Any) -> None:
        if value is not None and not LEAST_MM <= value <= MOST_MM:
            raise ValidationError("A fish is between 1 cm and 5 m long. Check the number.")


class WeightField(_WholeField):
    """A weight of fish, kept in grams."""

    each = _G

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(unit="kg", required=False, **kwargs)

    def validate(self, value: Any) -> None:
        if value is not None and not 1 <= value <= MOST_G:
            raise ValidationError("Fish weigh between 1 g and 1000 kg. Check the number.")


def _in_units(form: forms.BaseForm, imperial: bool) -> None:
    for each in form.fields.values():
        if isinstance(each, LengthField):
            each.in_units("in" if imperial else "cm")
        elif isinstance(each, WeightField):
            each.in_units("lb" if imperial else "kg")


class PressForm(forms.Form):
    """One press: the button says which species and carries a key of its own."""

    fish = forms.CharField()
    length_mm = LengthField(label="Length")
    count = forms.IntegerField(
        label="How many", min_value=1, max_value=MOST_FISH, required=False, initial=1
    )
    fate = forms.ChoiceField(choices=_FATES, initial="released", required=False)

    def __init__(self, *args: Any, imperial: bool = False, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        _in_units(self, imperial)

    def clean_fish(self) -> tuple[SpeciesRule, uuid.UUID]:
        """The species and the key of a button."""
        number, _, key = str(self.cleaned_data["fish"]).partition(" ")
        species = None
        if number.isdecimal():
            species = SpeciesRule.objects.filter(pk=int(number[:9]), in_use=True).first()
        try:
            found = uuid.UUID(key)
        except ValueError:
            species = None
        if species is None:
            raise ValidationError("That press could not be read: press the fish again.")
        return species, found

    def facts(self) -> dict[str, Any]:
        """What the press says, as the action takes it."""
        told = self.cleaned_data
        species, key = told["fish"]
        return {
            "species": species,
            "key": key,
            "length_mm": told["length_mm"],
            "count": told["count"] or 1,
            "kept": told["fate"] == "kept",
        }


class CatchForm(RowForm):
    """Everything there is to say about fish."""

    species = forms.ModelChoiceField(
        queryset=SpeciesRule.objects.filter(in_use=True), required=False, empty_label="another:"
    )
    other = forms.CharField(
        label="Another species", max_length=60, required=False, help_text="Where the list lacks it."
    )
    length_mm = LengthField(label="Length", help_text="Nose to end of tail. One fish an entry.")
    mass_g = WeightField(label="Weight", help_text="Of all fish of the entry together.")
    at = MomentField(label="Landed at")
    fate = forms.ChoiceField(
        label="Released or kept", choices=_FATES, initial="released", widget=forms.RadioSelect
    )
    once = forms.UUIDField(widget=forms.HiddenInput)

    class Meta:
        model = Catch
        fields = ["count", "length_mm", "mass_g", "at", "person", "rod", "bait", "note"]
        widgets = {"note": forms.Textarea(attrs={"rows": 2})}
        help_texts = {"note": "Such as: bled and could not be let go; a tag with its number."}

    def __init__(
        self, *args: Any, people: list[Participant], imperial: bool = False, **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        _in_units(self, imperial)
        self.initial |= self.instance.all_words()
        chosen = Participant.objects.filter(pk__in=[person.pk for person in people])
        person = self.fields["person"]
        person.queryset, person.empty_label = chosen, "nobody in particular"  # type: ignore[attr-defined]
        person.label = "Caught by"
        known = self.instance.species_id
        if known:  # a species out of use stays what it was
            species = SpeciesRule.objects.filter(in_use=True) | SpeciesRule.objects.filter(pk=known)
            self.fields["species"].queryset = species.order_by("name_en")  # type: ignore[attr-defined]
        self.helper = helper(
            self,
            ("Fish", [("species", "other"), ("count", "length_mm", "mass_g"), "fate", "at"]),
            ("Who and how", [("person", "rod", "bait"), "note"]),
            button="Save",
        )

    def clean(self) -> dict[str, Any]:
        told = super().clean() or self.cleaned_data
        other = " ".join((told.get("other") or "").split())
        if not told.get("species") and not other:
            self.add_error("species", "Choose the species, or write its name beside it.")
        elif told.get("species") and other:
            self.add_error("other", "Choose a species or write one, not both.")
        return told

    def facts(self) -> dict[str, Any]:
        """What was typed, as the action takes it."""
        told = dict(self.cleaned_data)
        told["species"] = told.pop("other") or told["species"]
        told["kept"] = told.pop("fate") == "kept"
        told["key"] = told.pop("once")
        return told


class SpeciesForm(RowForm):
    """A species and its rule, as the guide has looked it up."""

    least_mm = LengthField(label="Shortest that may be kept")
    most_mm = LengthField(label="Longest that may be kept")

    class Meta:
        model = SpeciesRule
        fields = [
            "name_en",
            "name_de",
            "least_mm",
            "most_mm",
            "bag_limit",
            "closed_from",
            "closed_to",
            "protected",
            "source",
            "checked_on",
            "in_use",
        ]
        widgets = {
            "closed_from": DateInput(),
            "closed_to": DateInput(),
            "checked_on": DateInput(),
        }

    def __init__(self, *args: Any, imperial: bool = False, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        _in_units(self, imperial)
        self.initial |= self.instance.all_words()
        self.helper = helper(
            self,
            ("Species", [("name_en", "name_de"), "in_use"]),
            (
                "What may be kept",
                [
                    ("least_mm", "most_mm", "bag_limit"),
                    ("closed_from", "closed_to"),
                    "protected",
                ],
            ),
            ("Where that stands", [("source", "checked_on")]),
            button="Save the species",
        )
