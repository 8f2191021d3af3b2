"""The forms of flying bait out: permissions, what a day is planned on, the log."""

from __future__ import annotations

import datetime
import uuid
from typing import Any

from django import forms
from django.utils import formats, timezone

from equipment.forms.layout import helper
from equipment.forms.quantities import DayInput, MomentField, QuantityField
from equipment.models import Craft, FlightPack, Reel, Thing
from guiding.days.models import DayPlan, Drop, DropPermit, DropSetup, Rig, Spot

_RIG_ROWS = 3
_DAYS_OFFERED = datetime.timedelta(days=120)


class PermitForm(forms.ModelForm):
    """A permission as it stands on paper, and the spots that the paper covers."""

    height_limit_m = QuantityField(unit="m", required=False, label="Height limit", least=1)
    people_distance_m = QuantityField(unit="m", required=False, label="Distance to people", least=0)
    file = forms.FileField(
        label="Scan or photograph", required=False, help_text="PDF or picture, at most 5 MB."
    )

    class Meta:
        model = DropPermit
        fields = [
            "kind",
            "authority",
            "number",
            "spots",
            "valid_from",
            "valid_until",
            "covers_dropping",
            "copy_kept",
            "height_limit_m",
            "people_distance_m",
            "conditions",
        ]
        widgets = {
            "spots": forms.CheckboxSelectMultiple,
            "valid_from": DayInput(),
            "valid_until": DayInput(),
            "conditions": forms.Textarea(attrs={"rows": 2}),
        }

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.initial |= self.instance.all_words()
        self.fields["spots"].queryset = Spot.objects.order_by("name")  # type: ignore[attr-defined]
        self.helper = helper(
            self,
            (
                "The paper",
                [
                    "kind",
                    ("authority", "number"),
                    ("valid_from", "valid_until"),
                    "copy_kept",
                    "file",
                ],
            ),
            ("What it allows", ["spots", "covers_dropping", "conditions"]),
            ("Its limits", [("height_limit_m", "people_distance_m")]),
            button="Save the permission",
        )

    def _post_clean(self) -> None:
        """The action judges and writes the row."""


class WithdrawForm(forms.Form):
    on = forms.DateField(label="From which day on", widget=DayInput)
    reason = forms.CharField(max_length=200, label="Who withdrew it, and why")

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.helper = helper(self, button="Withdraw it")


class DropSetupForm(forms.Form):
    """What a day's drops are planned on; a box left empty is taken on the safe side."""

    wind_ms = QuantityField(unit="m/s", required=False, label="Mean wind", least=0, most=60)
    gust_ms = QuantityField(unit="m/s", required=False, label="Gusts", least=0, most=80)
    wind_from_deg = QuantityField(unit="°", required=False, label="Wind from", least=0, most=360)
    wave_height_m = QuantityField(unit="m", required=False, label="Waves", least=0, most=30)
    air_c = QuantityField(unit="°C", required=False, label="Air", least=-30, most=50)
    bearing_deg = QuantityField(
        unit="°",
        required=False,
        label="Bearing of the way out",
        least=0,
        most=360,
        help_text="Empty: straight out to sea.",
    )
    height_m = QuantityField(
        unit="m",
        required=False,
        label="Height of flight",
        least=1,
        most=500,
        help_text="Empty: as low as rig and waves allow.",
    )
    people_aside_m = QuantityField(
        unit="m", required=False, label="People stand aside of the pad", least=0, most=1000
    )
    people_back_m = QuantityField(
        unit="m", required=False, label="and back from the water", least=0, most=500
    )

    def __init__(self, *args: Any, plan: DayPlan, setup: DropSetup, **kwargs: Any) -> None:
        names = list(self.base_fields)
        initial = {name: getattr(setup, name) for name in names} | setup.all_words()
        chosen = list(plan.planned_rigs.all())
        for row, one in enumerate(chosen[:_RIG_ROWS], 1):
            initial |= {
                f"rig_{row}": one.rig_id,
                f"rods_{row}": one.rods,
                f"link_{row}": one.words("weak_link_kgf") or one.weak_link_kgf,
            }
        kwargs["initial"] = initial
        super().__init__(*args, **kwargs)
        held = [one.rig_id for one in chosen]
        offered = Rig.objects.filter(shelved_on=None) | Rig.objects.filter(pk__in=held)
        for row in range(1, _RIG_ROWS + 1):
            self._add_row(row, offered, plan.rods)
        rows: list[str | tuple[str, ...]] = [
            (f"rig_{n}", f"rods_{n}", f"link_{n}") for n in range(1, _RIG_ROWS + 1)
        ]
        self.helper = helper(
            self,
            ("Rigs, in the order of the rods", rows),
            ("Wind and sea", [("wind_ms", "gust_ms", "wind_from_deg"), ("wave_height_m", "air_c")]),
            ("The flight", [("bearing_deg", "height_m")]),
            ("Where people stand while it flies", [("people_aside_m", "people_back_m")]),
            button="Save and check",
        )
        self.names = names

    def _add_row(self, row: int, offered: Any, rods: int) -> None:
        self.fields[f"rig_{row}"] = forms.ModelChoiceField(
            offered.distinct(), required=False, label=f"Rig {row}"
        )
        self.fields[f"rods_{row}"] = forms.IntegerField(
            required=False, min_value=1, max_value=20, label="on rods",
            initial=rods if row == 1 else None,
        )  # fmt: skip
        self.fields[f"link_{row}"] = QuantityField(
            unit="kgf", required=False, label="with a weak link of", least=0.05, most=200
        )

    def clean(self) -> dict[str, Any]:
        found = super().clean() or self.cleaned_data
        for row in range(1, _RIG_ROWS + 1):
            if found.get(f"rig_{row}") and not found.get(f"rods_{row}"):
                self.add_error(f"rods_{row}", "Say on how many rods.")
        return found

    def conditions(self) -> dict[str, Any]:
        return {name: self.cleaned_data[name] for name in self.names}

    def rigs(self) -> list[tuple[Rig, int, float | None]]:
        """Each chosen recipe, its rods, and the weak link of the day."""
        found = self.cleaned_data
        return [
            (found[f"rig_{row}"], found[f"rods_{row}"], found[f"link_{row}"])
            for row in range(1, _RIG_ROWS + 1)
            if found.get(f"rig_{row}")
        ]


class _DayField(forms.ModelChoiceField):
    """A planned day, called by its spot and its date."""

    def label_from_instance(self, plan: DayPlan) -> str:
        day = timezone.localtime(plan.session_start)
        return f"{plan.spot}, {formats.date_format(day, 'D j M Y')}"


class DropForm(forms.Form):
    """One drop as it was flown."""

    plan = _DayField(
        DayPlan.objects.none(), required=False, label="Day", empty_label="no booked day"
    )
    at = MomentField(label="Landed at")
    craft = forms.ModelChoiceField(Craft.objects.none())
    pack = forms.ModelChoiceField(FlightPack.objects.none(), label="Flight pack")
    from_percent = QuantityField(unit="%", label="Pack at take-off", least=0, most=100)
    to_percent = QuantityField(unit="%", label="Pack after landing", least=0, most=100)
    new_charge = forms.BooleanField(required=False, label="First flight on this charge")
    distance_m = QuantityField(unit="m", label="Distance", least=1, most=5000)
    height_m = QuantityField(unit="m", label="Height", least=1, most=500, initial=15)
    wind_ms = QuantityField(unit="m/s", label="Mean wind", least=0, most=60)
    wind_off_path_deg = QuantityField(
        unit="°",
        required=False,
        least=0,
        most=180,
        label="Wind off the way out",
        help_text="0 on the nose on the way out, 90 across, 180 from behind.",
    )
    payload_g = QuantityField(unit="g", label="Bait and rig", least=0, most=50_000)
    line_mm = QuantityField(unit="mm", label="Line", least=0.01, most=3)
    reel = forms.ModelChoiceField(Reel.objects.none(), required=False)
    rig = forms.ModelChoiceField(Rig.objects.none(), required=False)
    clip = forms.ModelChoiceField(Thing.objects.none(), required=False, label="Release clip")
    result = forms.ChoiceField(choices=Drop.Result.choices, label="What came of it")
    rig_lost = forms.BooleanField(required=False, label="The rig was lost")
    note = forms.CharField(max_length=300, required=False)
    key = forms.UUIDField(widget=forms.HiddenInput)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        in_use, now = {"retired_on": None}, timezone.now()
        days = DayPlan.objects.filter(
            session_start__gte=now - _DAYS_OFFERED, session_start__lte=now, craft__isnull=False
        )
        for name, rows in (
            ("plan", days.select_related("spot").order_by("-session_start")),
            ("craft", Craft.objects.filter(**in_use)),
            ("pack", FlightPack.objects.filter(**in_use)),
            ("reel", Reel.objects.filter(**in_use)),
            ("rig", Rig.objects.all()),
            ("clip", Thing.objects.filter(kind=Thing.Kind.CLIP, **in_use)),
        ):
            self.fields[name].queryset = rows  # type: ignore[attr-defined]
        self.initial.setdefault("key", uuid.uuid4())
        self.helper = helper(
            self,
            ("When and with what", ["plan", ("at", "craft", "pack")]),
            ("The pack's gauge", [("from_percent", "to_percent"), "new_charge"]),
            (
                "The flight",
                [
                    ("distance_m", "height_m"),
                    ("wind_ms", "wind_off_path_deg"),
                    ("payload_g", "line_mm"),
                ],
            ),
            ("What hung and held", [("reel", "rig", "clip")]),
            ("What came of it", ["result", "rig_lost", "note"]),
            button="Log the drop",
        )


class TakeOutForm(forms.Form):
    reason = forms.CharField(label="Why the entry is wrong", max_length=300)
    key = forms.UUIDField(widget=forms.HiddenInput)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.initial.setdefault("key", uuid.uuid4())
        self.helper = helper(self, button="Take it out of the log")
