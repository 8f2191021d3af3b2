"""The forms of decisions: the decision itself, and the limits of the house."""

from __future__ import annotations

from typing import Any

from django import forms

from equipment.forms.layout import helper
from guiding.days.forms.layout import RowForm
from guiding.days.models import Decision, HouseLimits


class DecideForm(forms.Form):
    """Go, hold or call off, with the words that go with it. `seen` is the forecast looked at."""

    call = forms.ChoiceField(choices=Decision.Verdict.choices)
    reason = forms.CharField(
        label="Because",
        max_length=500,
        required=False,
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
    )
    seen = forms.CharField(required=False, max_length=64, widget=forms.HiddenInput)


class HouseLimitsForm(RowForm):
    class Meta:
        model = HouseLimits
        fields = [
            "wind_caution_share",
            "rain_caution_mm",
            "feels_cold_c",
            "feels_hot_c",
            "duty_h",
            "driving_h",
            "rest_h",
            "forecast_age_h",
            "cautions_to_hold",
            "margin_m",
            "slack_min",
            "walked_days",
        ]

    units = {
        "rain_caution_mm": "mm",
        "feels_cold_c": "°C",
        "feels_hot_c": "°C",
        "duty_h": "h",
        "driving_h": "h",
        "rest_h": "h",
        "forecast_age_h": "h",
        "margin_m": "m",
        "slack_min": "min",
        "walked_days": "days",
    }

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for name, unit in self.units.items():
            self.fields[name].unit = unit  # type: ignore[attr-defined]
        self.helper = helper(
            self,
            ("Work and rest", [("duty_h", "driving_h", "rest_h")]),
            (
                "Weather",
                [("wind_caution_share", "rain_caution_mm"), ("feels_cold_c", "feels_hot_c")],
            ),
            ("The way out", [("margin_m", "slack_min")]),
            ("The decision", [("forecast_age_h", "cautions_to_hold"), "walked_days"]),
            button="Save the limits",
        )
