"""The form of a day's plan."""

from __future__ import annotations

from typing import Any

from crispy_forms.layout import Column, Fieldset, Layout, Row
from django import forms

from equipment.models import Craft, FlightPack, Reel, Thing
from guiding.days.forms.layout import RowForm, framed
from guiding.days.models import DayPlan


class PlanForm(RowForm):
    """What a planned day uses, and the gear that goes along."""

    packs = forms.ModelMultipleChoiceField(
        FlightPack.objects.none(),
        required=False,
        label="Flight packs",
        widget=forms.CheckboxSelectMultiple,
    )
    reels = forms.ModelMultipleChoiceField(
        Reel.objects.none(), required=False, label="Reels", widget=forms.CheckboxSelectMultiple
    )

    class Meta:
        model = DayPlan
        fields = [
            "craft",
            "vehicle",
            "rods",
            "soak_min",
            "turn_min",
            "drops",
            "drop_m",
            "bait_g",
            "road_km",
            "sand_km",
            "guide_hours",
            "bait_kg",
            "rigs",
            "line_m",
            "pack_cycles",
            "price_per_head",
            "note",
        ]
        widgets = {"note": forms.Textarea(attrs={"rows": 3})}

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["packs"].queryset = FlightPack.objects.filter(retired_on=None)  # type: ignore[attr-defined]
        self.fields["reels"].queryset = Reel.objects.filter(retired_on=None)  # type: ignore[attr-defined]
        vehicles = Thing.objects.filter(kind=Thing.Kind.VEHICLE, retired_on=None)
        self.fields["vehicle"].queryset = vehicles  # type: ignore[attr-defined]
        self.fields["craft"].queryset = Craft.objects.filter(retired_on=None)  # type: ignore[attr-defined]
        if self.instance.pk:
            self.initial["packs"] = list(self.instance.packs.all())
            self.initial["reels"] = list(self.instance.reels.all())
        self.helper = framed(
            Layout(
                Fieldset("Gear", Row(Column("craft"), Column("vehicle")), "packs", "reels"),
                Fieldset(
                    "Fishing",
                    Row(Column("rods"), Column("soak_min"), Column("turn_min")),
                    Row(Column("drops"), Column("drop_m"), Column("bait_g")),
                ),
                Fieldset(
                    "What the day uses up",
                    Row(Column("road_km"), Column("sand_km"), Column("guide_hours")),
                    Row(Column("bait_kg"), Column("rigs"), Column("line_m")),
                    Row(Column("pack_cycles"), Column("price_per_head")),
                ),
                "note",
            ),
            "Save the plan",
        )
