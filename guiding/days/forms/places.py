"""The forms of closures, days away, photographs and files of places."""

from __future__ import annotations

from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from equipment.forms.layout import helper
from guiding.days.forms.layout import DateInput, RowForm
from guiding.days.forms.tides import text_of
from guiding.days.models import Away, Closure


class ClosureForm(RowForm):
    class Meta:
        model = Closure
        fields = ["first_day", "last_day", "yearly", "reason", "authority", "checked_on"]
        widgets = {"first_day": DateInput(), "last_day": DateInput(), "checked_on": DateInput()}

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields[
            "yearly"
        ].help_text = "A season: only day and month count, and it may run over New Year."
        self.helper = helper(
            self,
            ("Shut", [("first_day", "last_day"), "yearly", "reason"]),
            ("Who says so", [("authority", "checked_on")]),
            button="Save the dates",
        )


class AwayForm(RowForm):
    class Meta:
        model = Away
        fields = ["first_day", "last_day", "reason"]
        widgets = {"first_day": DateInput(), "last_day": DateInput()}

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.helper = helper(
            self, ("Away", [("first_day", "last_day"), "reason"]), button="Save the days"
        )


class PhotoForm(forms.Form):
    file = forms.FileField(
        label="Photograph",
        help_text="JPEG, PNG or WebP, 15 MB at most. Where and when it was taken is left out of "
        "what is kept.",
        widget=forms.FileInput(attrs={"accept": "image/jpeg,image/png,image/webp"}),
    )
    title = forms.CharField(label="What it shows", max_length=120, required=False)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.helper = helper(self, button="Keep it")


class GpxForm(forms.Form):
    file = forms.FileField(
        label="GPX file",
        help_text="Waypoints are read; tracks and routes are passed over.",
        widget=forms.FileInput(attrs={"accept": ".gpx,application/gpx+xml,text/xml"}),
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.helper = helper(self, button="Look at the waypoints")

    def clean_file(self) -> str:
        try:
            return text_of(self.cleaned_data["file"])
        except ValidationError as wrong:
            raise ValidationError(wrong.messages) from None
