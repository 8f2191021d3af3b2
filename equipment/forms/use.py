"""Forms of the use log: one entry, a whole day."""

from __future__ import annotations

import datetime
import uuid
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from django import forms
from django.forms import BoundField

from equipment.forms.layout import helper
from equipment.forms.quantities import DayInput, MomentField, QuantityField
from equipment.models import Thing, UseEntry
from equipment.models.use import fits

Kind = UseEntry.Kind


class CountField(QuantityField):
    """A count on the page of a day; `head` is the head of its column."""

    def __init__(self, head: str, unit: str, label: str) -> None:
        super().__init__(unit=unit, least=0, required=False, label=label)
        self.head = head
        self.widget.attrs["size"] = 5


class TickField(forms.BooleanField):
    """Something that happened or not, on the page of a day."""

    def __init__(self, head: str, label: str) -> None:
        super().__init__(required=False, label=label)
        self.head = head


_HIDDEN = {Kind.REVERSAL}


class UseForm(forms.Form):
    """One use of one thing."""

    kind = forms.ChoiceField(label="What happened")
    amount = QuantityField(
        unit="", label="How much or how many", initial=1, help_text="A number above zero."
    )
    at = MomentField(label="When")
    note = forms.CharField(required=False, max_length=300)
    key = forms.UUIDField(widget=forms.HiddenInput)

    def __init__(self, *args: Any, thing: Thing, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        chosen = [
            (kind.value, kind.label)
            for kind in Kind
            if kind not in _HIDDEN and fits(kind, thing.kind)
        ]
        self.fields["kind"] = forms.ChoiceField(label="What happened", choices=chosen)
        self.initial.setdefault("key", uuid.uuid4())
        self.helper = helper(self, ("", [("kind", "amount"), "at", "note"]), button="Log it")


class ReverseForm(forms.Form):
    reason = forms.CharField(label="Why the entry is wrong", max_length=300)
    key = forms.UUIDField(widget=forms.HiddenInput)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.initial.setdefault("key", uuid.uuid4())
        self.helper = helper(self, button="Take it out of the log")


@dataclass(frozen=True, slots=True)
class DayRow:
    """One thing on the page of a whole day: its bound fields, in the order of the columns."""

    thing: Thing
    out: BoundField
    fields: list[BoundField]


@dataclass(frozen=True, slots=True)
class DayGroup:
    """Things of one kind, with the heads of their columns."""

    label: str
    heads: list[str]
    rows: list[DayRow]


# What is asked about each kind of thing after a day; events are ticked, the rest is counted.
_COLUMNS: dict[str, list[Kind]] = {
    Thing.Kind.CRAFT: [Kind.FLIGHT, Kind.HOURS, Kind.CRASH, Kind.IMMERSION],
    Thing.Kind.PACK: [Kind.CYCLE, Kind.SWELLING, Kind.CRASH, Kind.IMMERSION],
    Thing.Kind.REEL: [Kind.CUT_BACK_M, Kind.LOST_M, Kind.FISH, Kind.IMMERSION],
    Thing.Kind.ROD: [Kind.FISH],
    Thing.Kind.CLIP: [Kind.DROP, Kind.CRASH],
    Thing.Kind.VEHICLE: [Kind.KM],
}
_REST = "everything else"  # kinds without an entry: ticked as having been along, at the end
_TICKED = {Kind.CRASH, Kind.IMMERSION, Kind.SWELLING}
_UNITS: dict[str, str] = {Kind.CUT_BACK_M: "m", Kind.LOST_M: "m", Kind.KM: "km", Kind.HOURS: "h"}
_HEADS: dict[str, str] = {
    Kind.FLIGHT: "flights",
    Kind.CYCLE: "cycles",
    Kind.DROP: "drops",
    Kind.FISH: "fish",
    Kind.CUT_BACK_M: "cut back",
    Kind.LOST_M: "lost",
}


class DayForm(forms.Form):
    """What every thing went through on one day, on one page."""

    on = forms.DateField(label="Day", widget=DayInput)
    note = forms.CharField(required=False, max_length=300)
    batch = forms.UUIDField(widget=forms.HiddenInput)
    trip = forms.UUIDField(widget=forms.HiddenInput, required=False)

    def __init__(self, *args: Any, things: Sequence[Thing], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.things = things
        self.initial.setdefault("batch", uuid.uuid4())
        for thing in things:
            self.fields[f"{thing.pk}-out"] = forms.BooleanField(
                required=False, label=f"{thing.label} was along"
            )
            for kind in _COLUMNS.get(thing.kind, []):
                self.fields[f"{thing.pk}-{kind}"] = _day_field(thing, kind)

    @property
    def groups(self) -> list[DayGroup]:
        groups: dict[str, DayGroup] = {}
        for thing in self.things:
            columns = _COLUMNS.get(thing.kind, [])
            heads = [str(_HEADS.get(kind, Kind(kind).label)) for kind in columns]
            label = thing.get_kind_display() if columns else _REST
            group = groups.setdefault(label, DayGroup(label, heads, []))
            row = DayRow(
                thing,
                self[f"{thing.pk}-out"],
                [self[f"{thing.pk}-{kind}"] for kind in columns],
            )
            group.rows.append(row)
        rest = groups.pop(_REST, None)
        return [*groups.values(), *([rest] if rest else [])]

    def uses(self) -> list[tuple[Thing, str, float]]:
        """What was filled in: thing, kind of use, amount. Who was along has a trip to its name."""
        found: list[tuple[Thing, str, float]] = []
        for thing in self.things:
            logged: list[tuple[Thing, str, float]] = []
            for kind in _COLUMNS.get(thing.kind, []):
                value = self.cleaned_data.get(f"{thing.pk}-{kind}")
                if value:
                    logged.append((thing, kind, float(value)))
            if logged or self.cleaned_data.get(f"{thing.pk}-out"):
                found += [(thing, Kind.TRIP, 1.0), *logged]
        return found

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        if not self.errors and not self.uses():
            raise forms.ValidationError("Nothing is filled in: tick what was along.")
        return cleaned


def _day_field(thing: Thing, kind: str) -> forms.Field:
    head = str(_HEADS.get(kind, Kind(kind).label)).capitalize()
    label = f"{thing.label}: {head.lower()}"
    if kind in _TICKED:
        return TickField(head, label)
    unit = _UNITS.get(kind, "")
    return CountField(head, unit, label)


class ImportForm(forms.Form):
    file = forms.FileField(label="CSV file", widget=forms.FileInput(attrs={"accept": ".csv"}))

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.helper = helper(self, button="Look through it")


def moment_on(day: datetime.date, now: datetime.datetime) -> datetime.datetime:
    """Noon of a day where the business is, or now where noon is still to come."""
    noon = datetime.datetime.combine(day, datetime.time(12), tzinfo=now.tzinfo)
    return min(noon, now) if day == now.date() else noon
