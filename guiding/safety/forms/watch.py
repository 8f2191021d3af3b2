"""Forms of the watch."""

from __future__ import annotations

from typing import Any

from crispy_forms.layout import Layout, Row
from django import forms

from bookings.forms.layout import PlainForm, framed


class MomentInput(forms.DateTimeInput):
    """A date and a time of the business's own clock."""

    input_type = "datetime-local"

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(format="%Y-%m-%dT%H:%M", **kwargs)


class WatchForm(PlainForm):
    overdue_at = forms.DateTimeField(label="Overdue from", widget=MomentInput())
    contact_name = forms.CharField(label="Shore contact", max_length=100)
    contact_mail = forms.EmailField(label="Mail")
    contact_phone = forms.CharField(label="Telephone", max_length=32, required=False)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.helper = framed(
            Layout("overdue_at", "contact_name", Row("contact_mail", "contact_phone")),
            "Set the watch",
        )


class StandDownForm(PlainForm):
    reason = forms.CharField(max_length=200)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.helper = framed(Layout("reason"), "Stand the watch down")
