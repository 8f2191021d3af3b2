"""The forms of the desk."""

from __future__ import annotations

from typing import Any

from crispy_forms.helper import FormHelper
from crispy_forms.layout import Column, Layout, Row, Submit
from django import forms

from bookings.forms.layout import PlainForm
from bookings.models import Offer
from guiding.days.forms.spots import PositionField
from guiding.days.models import Spot
from guiding.desk.forms.layout import posted
from guiding.desk.sheets.labels import MOST_START
from guiding.safety.forms.watch import MomentInput


class NewTripForm(forms.Form):
    """Which offer, where and when: enough to propose the hours."""

    offer = forms.ModelChoiceField(Offer.objects.all())
    spot = forms.ModelChoiceField(Spot.objects.all())
    day = forms.DateField(widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"))
    places = forms.IntegerField(min_value=1, max_value=60, required=False)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        helper = FormHelper()
        helper.form_tag = False  # the page's own form carries the party along
        helper.disable_csrf = True
        helper.layout = Layout(
            Row(Column("offer"), Column("spot")), Row(Column("day"), Column("places"))
        )
        helper.add_input(Submit("look", "Look at the day"))
        self.helper = helper


class ChangeTripForm(PlainForm):
    """Another time or another place; what is booked, priced and planned else stays."""

    starts_at = forms.DateTimeField(label="We meet at", widget=MomentInput())
    ends_at = forms.DateTimeField(label="Back at the latest", widget=MomentInput())
    meeting_place = forms.CharField(max_length=200, label="Where we meet")
    meeting_at = PositionField(
        required=False, label="Its position", help_text="As typed anywhere: decimal, minutes, UTM."
    )
    session_start = forms.DateTimeField(
        required=False,
        label="Fishing from",
        widget=MomentInput(),
        help_text="Left empty it moves as much as the meeting.",
    )
    session_end = forms.DateTimeField(
        required=False, label="Fishing until", widget=MomentInput(), help_text="Likewise."
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.helper = posted(
            Layout(
                Row(Column("starts_at"), Column("ends_at")),
                Row(Column("meeting_place"), Column("meeting_at")),
                Row(Column("session_start"), Column("session_end")),
            ),
            "Change it and tell everybody",
        )

    def clean(self) -> dict[str, Any]:
        """A new place whose position is not given has none: the old point would lead astray."""
        found = super().clean() or self.cleaned_data
        point = found.pop("meeting_at", None)
        if "meeting_place" in self.changed_data and "meeting_at" not in self.changed_data:
            point = None
        found["meeting_latitude"] = point.latitude_deg if point else None
        found["meeting_longitude"] = point.longitude_deg if point else None
        return found


class CallOffForm(forms.Form):
    reason = forms.CharField(max_length=200, label="Why the day is called off")


class LabelsForm(forms.Form):
    """Which labels to print, and where on the sheet they begin. Nothing ticked stands for all."""

    thing = forms.TypedMultipleChoiceField(required=False, coerce=int, empty_value=[])
    start = forms.IntegerField(
        label="Places used already",
        required=False,
        initial=0,
        min_value=0,
        max_value=MOST_START,
        help_text="On the first sheet, counted row by row from the top left.",
    )
    paper = forms.ChoiceField(
        required=False, choices=[("", "as in Setup"), ("A4", "A4"), ("Letter", "US Letter")]
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        # Whether there is such a thing is for the sheet to say: it knows the day.
        self.fields["thing"].valid_value = str.isdecimal  # type: ignore[attr-defined]
