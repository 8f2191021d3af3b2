"""Forms about places on a trip."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from crispy_forms.layout import Layout, Row
from django import forms
from django.utils import timezone

from bookings.forms.layout import PlainForm, framed
from bookings.models import MOST_HEADS, Party, Settlement, Trip


class HoldForm(PlainForm):
    """Places on a trip for a party."""

    party = forms.ModelChoiceField(
        Party.objects.filter(state=Party.State.OPEN).select_related("client"),
        label="Party",
        error_messages={
            "invalid_choice": "This party is closed or gone. Choose one that is open.",
        },
    )
    heads = forms.IntegerField(min_value=1, max_value=MOST_HEADS, label="Heads")

    def __init__(self, *args: Any, button: str = "Hold the places", **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.helper = framed(Layout(Row("party", "heads")), button)


class ChoicesForm(PlainForm):
    """One question for each party of a day that was called off."""

    def __init__(
        self, *args: Any, settlements: Sequence[Settlement], days: Sequence[Trip], **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        self.settlements = {f"choice-{each.pk}": each for each in settlements}
        self.days = {f"trip-{trip.pk}": trip for trip in days}
        for name, each in self.settlements.items():
            self.fields[name] = forms.ChoiceField(
                choices=self._offered(each), required=False, label=str(each.booking.party.client)
            )
        self.helper = framed(Layout(*self.settlements), "Note what they chose")

    def _offered(self, settlement: Settlement) -> list[tuple[str, str]]:
        money = [("refund", "money back"), ("move", "money on account")]
        days = [(name, _day_words(trip)) for name, trip in self.days.items()]
        return [("", "not chosen yet"), *(money if settlement.theirs else []), *days]

    def choices(self) -> dict[Settlement, Trip | str]:
        """What was chosen; who has not chosen yet is left out."""
        return {
            each: self.days.get(self.cleaned_data[name], self.cleaned_data[name])
            for name, each in self.settlements.items()
            if self.cleaned_data[name]
        }


def _day_words(trip: Trip) -> str:
    day, left = timezone.localdate(trip.starts_at), trip.places_left
    return f"{day:%a %-d %b %Y}, {trip.offer} ({left} left)"
