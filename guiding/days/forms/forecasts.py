"""The forms of forecasts: typed in on a phone, or read from a file."""

from __future__ import annotations

import datetime
from dataclasses import fields as columns_of
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.forms import BoundField

from equipment.forms.layout import helper
from equipment.forms.quantities import MomentField, QuantityField
from guiding.days.forms.layout import DateInput
from guiding.days.forms.tides import text_of
from guiding.days.rules.forecasts import ForecastColumns, ForecastUnits
from guiding.days.rules.forecasts.table import HeatUnit, LengthUnit, SpeedUnit
from guiding.days.rules.weather import WeatherHour

# One reading every three hours of daylight: five lines are typed in two minutes.
TIMES = (6, 9, 12, 15, 18, 21)
_SOME_RAIN_MM = 1.0  # what a tick at rain stands for [house]
_POINTS = (
    "N", "NNE", "NE", "ENE", "E", "ESE", "SE", "SSE",
    "S", "SSW", "SW", "WSW", "W", "WNW", "NW", "NNW",
)  # fmt: skip
_FROM = [("", "–"), *((str(n * 22.5), point) for n, point in enumerate(_POINTS))]


class TypedForecastForm(forms.Form):
    """A day's forecast in a few lines; a line that is left empty says nothing of its hours."""

    day = forms.DateField(label="Day", widget=DateInput())
    issued_at = MomentField(label="Issued")
    source = forms.CharField(
        label="Where it comes from", max_length=200, help_text="Whose forecast you read."
    )
    period_s = forms.FloatField(label="Wave period, s", min_value=0, max_value=40, required=False)
    air_c = forms.FloatField(label="Air, °C", min_value=-60, max_value=60, required=False)
    water_c = forms.FloatField(label="Water, °C", min_value=-5, max_value=45, required=False)
    rain = forms.MultipleChoiceField(
        label="Rain from", required=False, widget=forms.CheckboxSelectMultiple
    )
    thunder = forms.MultipleChoiceField(
        label="Thunder from", required=False, widget=forms.CheckboxSelectMultiple
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for hour in TIMES:
            clock = f"{hour:02d}:00"
            self.fields[f"wind_{hour}"] = QuantityField(
                unit="m/s", label=f"{clock} wind", required=False, least=0, most=90
            )
            self.fields[f"gust_{hour}"] = QuantityField(
                unit="m/s", label=f"{clock} gusts", required=False, least=0, most=120
            )
            self.fields[f"from_{hour}"] = forms.ChoiceField(
                label=f"{clock} wind from", required=False, choices=_FROM
            )
            self.fields[f"wave_{hour}"] = QuantityField(
                unit="m", label=f"{clock} waves", required=False, least=0, most=30
            )
        hours = [(str(hour), f"{hour:02d}:00") for hour in TIMES]
        for name in ("rain", "thunder"):
            self.fields[name].choices = hours  # type: ignore[attr-defined]

    def rows(self) -> list[tuple[str, list[BoundField]]]:
        """The lines of the table: the clock and its four boxes."""
        return [(f"{hour:02d}:00", [self[f"{name}_{hour}"] for name in _BOXES]) for hour in TIMES]

    def clean(self) -> dict[str, Any]:
        found = super().clean() or self.cleaned_data
        if not self.errors and not any(self._given(hour) for hour in TIMES):
            raise ValidationError("Give the wind or the waves of one hour at least.")
        return found

    def _given(self, hour: int) -> bool:
        return any(self.cleaned_data.get(f"{name}_{hour}") not in (None, "") for name in _BOXES)

    def hours(self, zone: datetime.tzinfo) -> list[WeatherHour]:
        """The readings in UTC; an empty line is an hour of which nothing is known."""
        return [self._hour(hour, zone) for hour in TIMES]

    def _hour(self, hour: int, zone: datetime.tzinfo) -> WeatherHour:
        found = self.cleaned_data
        clock = datetime.datetime.combine(found["day"], datetime.time(hour), zone)
        at = clock.astimezone(datetime.UTC)
        if not self._given(hour):
            return WeatherHour(at)
        wave, wind_from = found[f"wave_{hour}"], found[f"from_{hour}"]
        return WeatherHour(
            at=at,
            wind_ms=found[f"wind_{hour}"],
            gust_ms=found[f"gust_{hour}"],
            wind_from_deg=float(wind_from) if wind_from else None,
            wave_m=wave,
            period_s=found["period_s"] if wave is not None else None,
            rain_mm=_SOME_RAIN_MM if str(hour) in found["rain"] else 0.0,
            air_c=found["air_c"],
            water_c=found["water_c"],
            thunder=str(hour) in found["thunder"],
        )


_BOXES = ("wind", "gust", "from", "wave")


class ForecastFileForm(forms.Form):
    """A forecast in CSV with the names of its columns."""

    file = forms.FileField(
        label="The forecast",
        help_text="CSV with one hour a row, 2 MB at most.",
        widget=forms.FileInput(attrs={"accept": ".csv,.txt,text/csv,text/plain"}),
    )
    issued_at = MomentField(label="Issued")
    source = forms.CharField(label="Where it comes from", max_length=200)
    speed = forms.ChoiceField(label="Winds in", choices=[(u.value, u.value) for u in SpeedUnit])
    length = forms.ChoiceField(label="Waves in", choices=[(u.value, u.value) for u in LengthUnit])
    heat = forms.ChoiceField(label="Air in", choices=[(u.value, u.value) for u in HeatUnit])
    zone = forms.CharField(
        label="Clock of the table",
        initial="UTC",
        max_length=64,
        help_text="UTC, or a zone such as Europe/Dublin.",
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for each in columns_of(ForecastColumns):
            label = _COLUMN_LABELS[each.name]
            self.fields[f"column_{each.name}"] = forms.CharField(
                label=label, initial=each.default, max_length=80, required=each.name == "time"
            )
        names = [f"column_{each.name}" for each in columns_of(ForecastColumns)]
        pairs: list[str | tuple[str, ...]] = [
            tuple(names[n : n + 2]) for n in range(0, len(names), 2)
        ]
        self.helper = helper(
            self,
            ("The forecast", ["file", ("issued_at", "source")]),
            ("Its units and its clock", [("speed", "length"), ("heat", "zone")]),
            ("The names of its columns", pairs),
            button="Read the forecast",
        )

    def clean_file(self) -> str:
        try:
            return text_of(self.cleaned_data["file"])
        except ValidationError as wrong:
            raise ValidationError(wrong.messages) from None

    def columns(self) -> ForecastColumns:
        """The columns as the reader takes them."""
        found = self.cleaned_data
        return ForecastColumns(
            **{each.name: found[f"column_{each.name}"] for each in columns_of(ForecastColumns)}
        )

    def units(self) -> ForecastUnits:
        """The units as the reader takes them."""
        found = self.cleaned_data
        return ForecastUnits(
            SpeedUnit(found["speed"]),
            LengthUnit(found["length"]),
            HeatUnit(found["heat"]),
            found["zone"],
        )


_COLUMN_LABELS = {
    "time": "Time",
    "wind_ms": "Mean wind",
    "gust_ms": "Gusts",
    "wind_from_deg": "Wind from, °",
    "wave_m": "Waves",
    "period_s": "Wave period, s",
    "wave_from_deg": "Waves from, °",
    "rain_mm": "Rain in the hour, mm",
    "air_c": "Air",
    "water_c": "Water",
    "thunder": "Thunder, yes or no",
    "offset": "Offset from UTC",
}
