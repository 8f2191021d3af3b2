"""The form of Find a day: what a party wishes for."""

from __future__ import annotations

import datetime
from typing import Any

from crispy_forms.helper import FormHelper
from crispy_forms.layout import Div, Fieldset, Layout
from django import forms
from django.core.exceptions import ValidationError
from django.utils.html import format_html_join
from django.utils.safestring import SafeString

from bookings.models import Offer
from bookings.models.offer import MOST_HEADS
from guiding.days.forms.layout import DateInput
from guiding.days.models import PartyWish, Spot

MOST_DAYS = 184
_WEEKDAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
WISH_FIELDS = ("weekdays", "earliest", "latest", "youngest", "bait", "moon", "spot")


class SearchForm(forms.Form):
    """What is looked for; sent by GET, so that a search can be kept as an address."""

    first = forms.DateField(label="From", widget=DateInput())
    last = forms.DateField(label="To", widget=DateInput())
    heads = forms.IntegerField(label="Heads", min_value=1, max_value=MOST_HEADS, initial=2)
    minors = forms.IntegerField(
        label="Under 18", min_value=0, max_value=MOST_HEADS, initial=0, required=False
    )
    youngest = forms.IntegerField(
        label="Age of the youngest", min_value=0, max_value=110, required=False
    )
    offer = forms.ModelChoiceField(
        Offer.objects.none(), label="Offer", required=False, empty_label="every offer"
    )
    spot = forms.ModelChoiceField(
        Spot.objects.none(), label="Spot wished for", required=False, empty_label="any spot"
    )
    weekdays = forms.MultipleChoiceField(
        label="Weekdays",
        required=False,
        choices=[(str(n), name) for n, name in enumerate(_WEEKDAYS)],
        widget=forms.CheckboxSelectMultiple,
        help_text="None ticked: any.",
    )
    earliest = forms.TimeField(
        label="Picked up no earlier than",
        required=False,
        widget=forms.TimeInput(attrs={"type": "time"}, format="%H:%M"),
    )
    latest = forms.TimeField(
        label="Back no later than",
        required=False,
        widget=forms.TimeInput(attrs={"type": "time"}, format="%H:%M"),
    )
    bait = forms.ChoiceField(label="Bait", choices=PartyWish.Bait.choices, required=False)
    moon = forms.ChoiceField(label="Moon", choices=PartyWish.Moon.choices, required=False)
    party = forms.IntegerField(required=False, widget=forms.HiddenInput)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["offer"].queryset = Offer.objects.all()  # type: ignore[attr-defined]
        self.fields["spot"].queryset = Spot.objects.all()  # type: ignore[attr-defined]
        self.helper = FormHelper()
        self.helper.form_tag = False
        self.helper.disable_csrf = True
        self.helper.layout = Layout(
            "party",
            Fieldset("When", Div("first", "last", css_class="row"), "weekdays"),
            Fieldset("Who", Div("heads", "minors", "youngest", css_class="row")),
            Fieldset(
                "What they wish for",
                Div("offer", "spot", css_class="row"),
                Div("earliest", "latest", css_class="row"),
                Div("bait", "moon", css_class="row"),
            ),
        )

    def clean(self) -> dict[str, Any]:
        found = super().clean() or self.cleaned_data
        first, last = found.get("first"), found.get("last")
        if first and last and last < first:
            self.add_error("last", "The last day lies before the first.")
        elif first and last and (last - first).days >= MOST_DAYS:
            self.add_error("last", f"Search {MOST_DAYS} days at a time at most.")
        for name in ("first", "last"):
            day = found.get(name)
            if day and not datetime.date(2000, 1, 1) <= day < datetime.date(2100, 1, 1):
                self.add_error(name, f"The year {day.year} cannot be right: check the date.")
        minors, heads = found.get("minors") or 0, found.get("heads") or 0
        if heads and minors > heads:
            raise ValidationError(f"{minors} minors do not fit in a party of {heads}.")
        return found

    def as_hidden(self) -> SafeString:
        """The search as it stands, typed or begun with, for another form of the page to carry."""
        # Without an id: many forms of one page carry the same fields.
        return format_html_join("", "{}", ((field.as_hidden({"id": False}),) for field in self))

    def wish(self) -> dict[str, Any]:
        """What is kept with the party."""
        found = {name: self.cleaned_data[name] for name in WISH_FIELDS}
        found["weekdays"] = "".join(found["weekdays"])
        found["bait"] = found["bait"] or PartyWish.Bait.ANY
        found["moon"] = found["moon"] or PartyWish.Moon.ANY
        return found
