"""Forms of incidents and near misses."""

from __future__ import annotations

import datetime
from typing import Any

from crispy_forms.layout import Fieldset, Layout, Row
from django import forms
from django.utils import timezone

from bookings.forms.layout import DateInput, PlainForm, RowForm, framed
from bookings.models import Trip
from guiding.safety.forms.watch import MomentInput
from guiding.safety.models import Incident, Witness

_DAY, _REACH = datetime.timedelta(days=1), datetime.timedelta(days=120)
_TEXT = forms.Textarea(attrs={"rows": 3})


class IncidentForm(RowForm):
    """The quick entry: what can be typed with cold fingers."""

    class Meta:
        model = Incident
        fields = ["kind", "happened_at", "what", "trip", "spot", "harm", "flying", "minor_hurt"]
        widgets = {"happened_at": MomentInput(), "what": _TEXT}

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        now = timezone.now()
        trips = Trip.objects.filter(starts_at__gt=now - _REACH, starts_at__lt=now + _DAY)
        self.fields["trip"].queryset = trips.select_related("offer").order_by("-starts_at")  # type: ignore[attr-defined]
        self.fields["trip"].label_from_instance = _day_of  # type: ignore[attr-defined]
        self.helper = framed(
            Layout(
                Row("kind", "happened_at"),
                "what",
                Row("trip", "spot"),
                "harm",
                "flying",
                "minor_hurt",
            ),
            "Enter it",
        )


class DetailForm(RowForm):
    """What is learned later."""

    class Meta:
        model = Incident
        fields = [
            "harm",
            "flying",
            "minor_hurt",
            "youngest_born_on",
            "damage_to_others",
            "hazard",
            "people",
            "first_aid",
            "causes",
            "lessons",
        ]
        widgets = {
            "youngest_born_on": DateInput(),
            "people": _TEXT,
            "first_aid": _TEXT,
            "causes": _TEXT,
            "lessons": _TEXT,
        }

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.helper = framed(
            Layout(
                Fieldset(
                    "What came of it",
                    "harm",
                    "flying",
                    "damage_to_others",
                    Row("minor_hurt", "youngest_born_on"),
                ),
                Fieldset("Detail", "hazard", "people", "first_aid", "causes", "lessons"),
            ),
            "Save the detail",
        )


class WitnessForm(RowForm):
    class Meta:
        model = Witness
        fields = ["name", "contact", "statement"]
        widgets = {"statement": _TEXT}

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.helper = framed(Layout(Row("name", "contact"), "statement"), "Add the witness")


class FollowUpForm(PlainForm):
    what = forms.CharField(max_length=300)
    due_on = forms.DateField(label="By", widget=DateInput())

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.helper = framed(Layout("what", "due_on"), "Add it")


class DoneForm(PlainForm):
    note = forms.CharField(label="How", max_length=300)


def _day_of(trip: Trip) -> str:
    return f"{timezone.localdate(trip.starts_at):%a %-d %b %Y}, {trip.offer}"
