"""The forms of tides: typed by hand, read from an official table, or from harmonic constants."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from crispy_forms.layout import Column, Fieldset, Layout, Row
from django import forms
from django.core.exceptions import ValidationError
from django.utils.html import format_html, format_html_join
from django.utils.safestring import SafeString

from bookings.models import Business
from equipment.forms.layout import helper
from guiding.almanac.tide import HeightUnit, RepeatedHour, TurnColumns
from guiding.days.forms.layout import RowForm, framed
from guiding.days.models import TideSource

MOST_BYTES = 2 * 1024 * 1024
_CLOCK_HELP = (
    "It stands on the table. UTC; a zone such as {zone} where summer time comes and goes as on "
    "your watch; or +01:00 for standard time all year."
)


class ClockField(forms.CharField):
    """What the times of a table are written in. Nothing is taken for granted: an hour is a danger.

    The clock of the business and UTC are offered, any other may be typed.
    """

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(max_length=64, label="Clock of the table", **kwargs)
        business = Business.objects.first()
        zone = business.zone if business else "Europe/Dublin"
        self.help_text = _CLOCK_HELP.format(zone=zone)
        self.widget = OfferedInput(offered=list(dict.fromkeys([zone, "UTC"])))


class OfferedInput(forms.TextInput):
    """A box for text that offers a few answers."""

    def __init__(self, offered: Sequence[str]) -> None:
        super().__init__(attrs={"autocomplete": "off", "spellcheck": "false"})
        self.offered = offered

    def render(self, name: str, value: Any, attrs: Any = None, renderer: Any = None) -> SafeString:
        listed = f"offered-{name}"
        box = super().render(name, value, {**(attrs or {}), "list": listed}, renderer)
        rows = format_html_join("", '<option value="{}"></option>', ((x,) for x in self.offered))
        return format_html('{}<datalist id="{}">{}</datalist>', box, listed, rows)


class TideSourceForm(RowForm):
    """A tide by hand: constants or a table, one line each."""

    constants = forms.CharField(
        required=False,
        label="Harmonic constants",
        help_text="One a line: name, amplitude in metres, phase at Greenwich in degrees. "
        "Example: M2 1.34 146",
        widget=forms.Textarea(attrs={"rows": 8, "spellcheck": "false"}),
    )
    table = forms.CharField(
        required=False,
        label="Highs and lows",
        help_text="One a line, or all of a day in its line: day, then time, metres, high or low. "
        "Example: 2026-06-13 05:12 4.1 high 11:20 0.6 low",
        widget=forms.Textarea(attrs={"rows": 8, "spellcheck": "false"}),
    )

    class Meta:
        model = TideSource
        fields = [
            "name",
            "source",
            "table_source",
            "station",
            "datum",
            "mean_level_m",
            "mean_range_m",
            "reference",
            "high_minutes",
            "low_minutes",
            "by_ratio",
            "high_height",
            "low_height",
        ]

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if self.instance.pk and self.instance.imports.filter(kind="table").exists():
            del self.fields["table"]  # thousands of rows from a file are not typed over
        else:
            self.fields["clock"] = ClockField(required=False)
        self.fields["reference"].queryset = TideSource.objects.exclude(  # type: ignore[attr-defined]
            kind=TideSource.Kind.SECONDARY
        ).exclude(pk=self.instance.pk)
        self.helper = framed(
            Layout(
                Fieldset(
                    "The place",
                    "name",
                    "source",
                    "table_source",
                    Row(Column("station"), Column("datum")),
                    Row(Column("mean_level_m"), Column("mean_range_m")),
                ),
                Fieldset("Either constants", "constants"),
                *(
                    [Fieldset("Or a printed table", "clock", "table")]
                    if "table" in self.fields
                    else []
                ),
                Fieldset(
                    "Or differences from another place",
                    "reference",
                    Row(Column("high_minutes"), Column("low_minutes")),
                    Row(Column("by_ratio"), Column("high_height"), Column("low_height")),
                ),
            ),
            "Save the tide",
        )

    def clean(self) -> dict[str, Any]:
        found = super().clean() or self.cleaned_data
        if "clock" in found and not found["clock"]:
            del found["clock"]
            if (found.get("table") or "").strip():
                self.add_error("clock", "Say which clock the times below are written in.")
        return found


def text_of(sent: Any) -> str:
    """The text of a file that was sent; ValidationError where it is none or far too large."""
    if sent.size > MOST_BYTES:
        raise ValidationError(f"The file has {sent.size / 1e6:.1f} MB; 2 MB is the most.")
    try:
        return str(sent.read().decode("utf-8-sig"))
    except UnicodeDecodeError:
        raise ValidationError("The file is no text in UTF-8: save it as CSV in UTF-8.") from None


class TideTableForm(forms.Form):
    """An official table of highs and lows with the names of its columns."""

    file = forms.FileField(
        label="The table",
        required=False,
        help_text="CSV with one high or low a row, or one row a day with the columns of its turns "
        "numbered: time 1, height 1, time 2 and so on. 2 MB at most.",
        widget=forms.FileInput(attrs={"accept": ".csv,.txt,text/csv,text/plain"}),
    )
    text = forms.CharField(
        label="Or its rows, pasted",
        required=False,
        strip=False,
        widget=forms.Textarea(attrs={"rows": 5, "spellcheck": "false"}),
    )
    table_source = forms.CharField(
        label="Where the table comes from",
        max_length=300,
        help_text="Publisher and year; printed on every sheet.",
    )
    time_column = forms.CharField(label="Column of the time", initial="time", max_length=80)
    date_column = forms.CharField(
        label="Column of the date",
        required=False,
        max_length=80,
        help_text="Empty where the time holds it. Needed for one row a day.",
    )
    height_column = forms.CharField(label="Column of the height", initial="height", max_length=80)
    kind_column = forms.CharField(
        label="Column of high or low",
        required=False,
        max_length=80,
        help_text="Empty: told from the heights.",
    )
    time_format = forms.CharField(
        label="How the time is written",
        required=False,
        max_length=40,
        help_text="Empty for the usual ways; else such as %d/%m/%Y %H:%M.",
    )
    unit = forms.ChoiceField(
        label="Heights in", choices=[(each.value, each.value) for each in HeightUnit]
    )
    repeated_hour = forms.ChoiceField(
        label="A local time that comes twice in autumn",
        choices=[
            (RepeatedHour.REFUSE.value, "ask me"),
            (RepeatedHour.FIRST.value, "is the first"),
            (RepeatedHour.SECOND.value, "is the second"),
        ],
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["zone"] = ClockField()
        self.helper = helper(
            self,
            ("The table", ["file", "text", "table_source"]),
            (
                "Its columns",
                [
                    ("time_column", "date_column"),
                    ("height_column", "kind_column"),
                    "time_format",
                ],
            ),
            ("Its unit and its clock", [("unit", "zone"), "repeated_hour"]),
        )
        self.helper.form_tag = False
        self.helper.disable_csrf = True
        self.helper.layout.pop()  # two buttons: look at it, load it

    def clean(self) -> dict[str, Any]:
        found = super().clean() or self.cleaned_data
        if found.get("file"):
            try:
                found["text"] = text_of(found["file"])
            except ValidationError as wrong:
                self.add_error("file", wrong)
        elif not (found.get("text") or "").strip():
            self.add_error("file", "Choose the file, or paste its rows.")
        return found

    def reading(self) -> dict[str, Any]:
        """What the import takes."""
        found = self.cleaned_data
        return {
            "text": found["text"],
            "columns": TurnColumns(
                time=found["time_column"],
                height=found["height_column"],
                kind=found["kind_column"],
                date=found["date_column"],
                time_format=found["time_format"],
            ),
            "unit": HeightUnit(found["unit"]),
            "zone": found["zone"],
            "repeated_hour": RepeatedHour(found["repeated_hour"]),
            "table_source": found["table_source"],
            "file_name": found["file"].name if found.get("file") else "",
        }


class ConstantsForm(forms.Form):
    """Harmonic constants of a station from two files."""

    constants = forms.FileField(
        label="Harmonic constants",
        help_text="CSV with station_id, constituent, amplitude_m, phase_gmt_deg and "
        "speed_deg_per_hour.",
    )
    stations = forms.FileField(
        label="Stations",
        help_text="CSV with station_id, name, latitude_deg, longitude_deg, iana_timezone and "
        "z0_MSL_above_MLLW_m.",
    )
    station_id = forms.CharField(label="Number of the station", max_length=40)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.helper = helper(self, button="Load the constants")

    def clean(self) -> dict[str, Any]:
        found = super().clean() or self.cleaned_data
        for name in ("constants", "stations"):
            if found.get(name):
                try:
                    found[f"{name}_text"] = text_of(found[name])
                except ValidationError as wrong:
                    self.add_error(name, wrong)
        return found
