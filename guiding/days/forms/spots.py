"""The form of a spot, its places in any notation, its wind limits by direction."""

from __future__ import annotations

import re
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from bookings.models import Business
from equipment.forms.layout import helper
from equipment.forms.quantities import QuantityField
from equipment.rules.quantities import Quantity, WholeQuantity
from guiding.almanac.coordinates import position_of, position_text
from guiding.almanac.position import Position
from guiding.days.forms.layout import DateInput, RowForm
from guiding.days.models import Spot, WindLimit

_LONGEST_PLACE = 80
_BARE = re.compile(r"[+-]?[\d.,]+")
_IMPERIAL = {"m": "ft", "mm": "in", "km": "mi", "m/s": "mph"}


class PositionField(forms.Field):
    """A place in any usual notation: decimal, degrees and minutes, UTM or MGRS."""

    widget = forms.TextInput

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(**kwargs)
        self.widget.attrs |= {"autocomplete": "off", "spellcheck": "false"}

    def prepare_value(self, value: Any) -> Any:
        if isinstance(value, Position):
            return position_text(value.latitude_deg, value.longitude_deg)
        return value

    def to_python(self, value: Any) -> Position | None:
        text = str(value).strip() if value is not None else ""
        if not text:
            return None
        if len(text) > _LONGEST_PLACE:
            raise ValidationError("That is too long for a place.")
        try:
            return position_of(text)
        except ValueError as refusal:
            raise ValidationError(str(refusal)) from None


class UnitField(QuantityField):
    """A quantity whose unit has to be typed where the house counts in feet and miles.

    A limit of 5 could be feet or metres there, and the wrong one is a danger: it is not guessed.
    """

    asks_unit = False

    def prepare_value(self, value: Any) -> Any:
        shown = super().prepare_value(value)
        return f"{shown} {self.unit}" if self.asks_unit and shown is not value else shown

    def to_python(self, value: Any) -> Quantity | WholeQuantity | None:
        text = str(value).strip() if value is not None else ""
        if self.asks_unit and text and _BARE.fullmatch(text):
            other = _IMPERIAL[self.unit]
            raise ValidationError(
                f"Write the unit with the number: {text} {other} or {text} {self.unit}."
            )
        return super().to_python(value)


class SpotForm(RowForm):
    """A spot; its places are typed in any notation, its limits in any unit."""

    place = PositionField(
        label="Where the rods stand",
        help_text="Such as 53.28100, -10.52100 or 53 16 51.6 N 10 31 15.6 W, UTM or MGRS.",
    )
    meeting_at = PositionField(label="Where the meeting place is", required=False)
    sill_m = UnitField(
        unit="m",
        label="Sill of the way out, above the datum, m",
        required=False,
        least=-20,
        most=50,
        help_text="The height that shuts the way out. Empty where the tide cuts nobody off.",
    )
    surge_m = UnitField(
        unit="m", label="Allowance for storm surge, m", initial=0, least=0, most=5, required=False
    )
    fish_over_m = UnitField(unit="m", label="Fishes from a tide of, m", required=False)
    fish_under_m = UnitField(unit="m", label="Fishes up to a tide of, m", required=False)
    narrow_m = UnitField(unit="m", label="The narrow place shuts at a tide of, m", required=False)
    wave_caution_m = UnitField(unit="m", label="Caution at waves of, m", initial=1.5)
    wave_stop_m = UnitField(unit="m", label="Stop at waves of, m", initial=2.5)
    wind_stop_ms = UnitField(
        unit="m/s",
        label="Stop at a mean wind of, m/s",
        initial=14,
        help_text="Or typed as 27 kn, 50 km/h, 31 mph.",
    )
    drive_km = UnitField(unit="km", label="Drive, km one way", initial=0, least=0)
    sand_km = UnitField(unit="km", label="On sand, km one way", initial=0, least=0)
    drop_m = UnitField(unit="m", label="Usual drop distance, m", initial=300, least=1, most=2000)
    hook_inside_limit_mm = UnitField(
        unit="mm",
        label="Hooks narrower inside than, mm",
        required=False,
        least=1,
        help_text="Empty where the place sets no limit on the width of hooks.",
    )

    class Meta:
        model = Spot
        fields = [
            "name",
            "ground",
            "seaward_deg",
            "tide_source",
            "sill_m",
            "surge_m",
            "fish_over_m",
            "fish_under_m",
            "sand_before_low_min",
            "sand_after_low_min",
            "narrow_m",
            "beach_slope",
            "walk_out_min",
            "pack_up_min",
            "set_up_min",
            "meeting_place",
            "drive_km",
            "drive_min",
            "sand_km",
            "drop_m",
            "max_party",
            "minors_welcome",
            "wave_stop_m",
            "wave_caution_m",
            "period_caution_s",
            "period_stop_s",
            "wind_stop_ms",
            "flying_light",
            "hook_limit",
            "hook_inside_limit_mm",
            "access",
            "coverage",
            "signal_point",
            "nearest_help",
            "hazards",
            "walked_on",
        ]
        widgets = {
            "access": forms.Textarea(attrs={"rows": 2}),
            "hazards": forms.Textarea(attrs={"rows": 2}),
            "walked_on": DateInput(),
        }

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if Business.objects.filter(units=Business.Units.IMPERIAL).exists():
            for field in self.fields.values():
                if isinstance(field, UnitField):
                    field.asks_unit = True
        spot = self.instance
        self.initial |= spot.all_words()
        if spot.pk:
            self.initial["place"] = Position(spot.latitude, spot.longitude)
            if spot.meeting_latitude is not None and spot.meeting_longitude is not None:
                self.initial["meeting_at"] = Position(spot.meeting_latitude, spot.meeting_longitude)
        self.helper = helper(self, *_SPOT_GROUPS, button="Save the spot")
        self.helper.form_tag = False
        self.helper.disable_csrf = True
        self.helper.layout.pop()  # the button stands under the wind limits

    def clean(self) -> dict[str, Any]:
        """The two places as the columns of the row; nothing given means the form's defaults."""
        found = super().clean() or self.cleaned_data
        place, meeting = found.pop("place", None), found.pop("meeting_at", None)
        if place is not None:
            found["latitude"], found["longitude"] = place.latitude_deg, place.longitude_deg
        found["meeting_latitude"] = meeting.latitude_deg if meeting else None
        found["meeting_longitude"] = meeting.longitude_deg if meeting else None
        if found.get("surge_m", 0) is None:
            found["surge_m"] = 0.0
        return found


_SPOT_GROUPS: tuple[tuple[str, list[str | tuple[str, ...]]], ...] = (
    ("Where", ["name", "place", ("ground", "seaward_deg", "beach_slope")]),
    (
        "Tide",
        ["tide_source", ("sill_m", "surge_m"), ("fish_over_m", "fish_under_m")],
    ),
    (
        "The way",
        [
            "meeting_place",
            "meeting_at",
            ("drive_km", "drive_min", "sand_km"),
            ("walk_out_min", "set_up_min", "pack_up_min"),
            ("sand_before_low_min", "sand_after_low_min", "narrow_m"),
            "access",
        ],
    ),
    (
        "Limits",
        [
            ("wave_caution_m", "wave_stop_m"),
            ("period_caution_s", "period_stop_s"),
            "wind_stop_ms",
            ("max_party", "drop_m"),
            "minors_welcome",
        ],
    ),
    ("The law of the place", ["flying_light", ("hook_limit", "hook_inside_limit_mm")]),
    (
        "If something goes wrong",
        [("coverage", "signal_point"), "nearest_help", "hazards", "walked_on"],
    ),
)


class WindLimitForm(forms.Form):
    """A wind that stops fishing from a part of the compass; an empty line is left away."""

    from_deg = forms.FloatField(label="From, °", min_value=0, max_value=360, required=False)
    to_deg = forms.FloatField(label="Clockwise to, °", min_value=0, max_value=360, required=False)
    stop_ms = QuantityField(unit="m/s", label="Stop at, m/s", least=0.5, most=60, required=False)
    why = forms.CharField(label="Because", max_length=120, required=False)

    def clean(self) -> dict[str, Any]:
        found = super().clean() or self.cleaned_data
        given = [found.get(name) is not None for name in ("from_deg", "to_deg", "stop_ms")]
        if any([*given, found.get("why")]) and not all(given) and not self.errors:
            raise ValidationError("Give both bearings and the wind, or empty the whole line.")
        return found


WindLimitFormSet = forms.formset_factory(WindLimitForm, extra=2, max_num=16, validate_max=True)


def wind_limits_of(lines: forms.BaseFormSet[Any]) -> list[WindLimit]:
    """The lines that were filled in."""
    found = [form.cleaned_data for form in lines.forms]
    limits = [WindLimit(**line) for line in found if line.get("stop_ms") is not None]
    for limit in limits:
        limit.keep_words({"stop_ms": limit.stop_ms})
    return limits


def shown_wind_limits(spot: Spot | None) -> list[dict[str, Any]]:
    """The wind limits of a spot as their lines show them."""
    if spot is None:
        return []
    return [
        {"from_deg": f"{row.from_deg:g}", "to_deg": f"{row.to_deg:g}"}
        | {"stop_ms": row.stop_ms, "why": row.why}
        | row.all_words()
        for row in spot.wind_limits.all()
    ]
