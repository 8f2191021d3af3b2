"""Forms about money: amounts as people type them, each button with a key of its own."""

from __future__ import annotations

import datetime
import uuid
from collections.abc import Sequence
from decimal import Decimal, InvalidOperation
from typing import Any

from crispy_forms.bootstrap import AppendedText
from crispy_forms.layout import Column, Layout, Row
from django import forms
from django.utils import timezone

from bookings.forms.layout import DateInput, PlainForm, framed
from bookings.models import MOST_HEADS, Booking, MoneyEntry, Settlement, Trip
from bookings.rules.money import minor_units


class MoneyField(forms.DecimalField):
    """An amount: with a comma or a point, with or without the sign of its currency."""

    widget = forms.TextInput

    def __init__(self, *, currency: str = "EUR", **kwargs: Any) -> None:
        self.currency = currency
        super().__init__(max_digits=12, decimal_places=3, **kwargs)

    def widget_attrs(self, widget: forms.Widget) -> dict[str, Any]:
        return {"inputmode": "decimal", "autocomplete": "off"}

    def to_python(self, value: Any) -> Any:
        if isinstance(value, str):
            value = _plain_amount(value)
        return super().to_python(value)

    def prepare_value(self, value: Any) -> Any:
        """Shown with the digits of its currency: 290.00 and not 290.000."""
        try:
            amount = Decimal(value)
            digits = max(minor_units(self.currency), -int(amount.normalize().as_tuple().exponent))
        except (InvalidOperation, TypeError, ValueError):
            return value
        return f"{amount:.{digits}f}" if amount.is_finite() else value


def _plain_amount(typed: str) -> str:
    """The last comma or point with one to three digits behind it is the decimal mark."""
    kept = "".join(sign for sign in typed if sign.isdigit() or sign in ".,-")
    whole, mark, part = kept.rpartition("," if kept.rfind(",") > kept.rfind(".") else ".")
    if not mark:
        return kept or typed
    grouped = len(part) == 3 and (kept.count(mark) > 1 or (whole.strip("0-") and mark == ","))
    whole = whole.replace(",", "").replace(".", "")
    return f"{whole}{part}" if grouped else f"{whole}.{part}"


class _Keyed(PlainForm):
    """A form whose button, pressed twice, does its work once."""

    key = forms.UUIDField(widget=forms.HiddenInput, required=False)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        kwargs["initial"] = {"key": uuid.uuid4()} | (kwargs.get("initial") or {})
        super().__init__(*args, **kwargs)


def _way() -> forms.ChoiceField:
    return forms.ChoiceField(choices=MoneyEntry.Way.choices, label="How")


class PaymentForm(_Keyed):
    """Money that came in."""

    amount = MoneyField(label="Amount")
    moved_on = forms.DateField(label="On", widget=DateInput())
    way = _way()
    bookings = forms.ModelMultipleChoiceField(
        Booking.objects.none(),
        label="For",
        required=False,
        widget=forms.CheckboxSelectMultiple,
        help_text="None ticked: what is due first. What is over stays on account.",
    )
    note = forms.CharField(max_length=300, required=False, label="Note")
    again = forms.BooleanField(
        required=False, label="The same amount came a second time", widget=forms.HiddenInput
    )

    def __init__(
        self, *args: Any, bookings: Sequence[Booking], currency: str, **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        pks = [booking.pk for booking in bookings]
        choices = Booking.objects.filter(pk__in=pks).select_related("trip__offer", "party__client")
        self.fields["bookings"].queryset = choices  # type: ignore[attr-defined]
        self.fields["bookings"].label_from_instance = _day_and_offer  # type: ignore[attr-defined]
        if len(pks) < 2:
            del self.fields["bookings"]
        layout = ["key", Row(Column(AppendedText("amount", currency)), "moved_on", "way")]
        layout += ["bookings"] if len(pks) > 1 else []
        self.helper = framed(Layout(*layout, "note", "again"), "Record the payment")

    def ask_again(self) -> None:
        """After the first refusal of a twin, offer to say that it is meant."""
        self.fields["again"].widget = forms.CheckboxInput()


def _day_and_offer(booking: Booking) -> str:
    day = timezone.localdate(booking.trip.starts_at)
    return f"{day:%-d %B %Y}, {booking.trip.offer} ({booking.party.client})"


class RefundForm(_Keyed):
    """Money that goes back."""

    amount = MoneyField(label="Amount")
    moved_on = forms.DateField(label="On", widget=DateInput())
    way = _way()
    reason = forms.CharField(max_length=300, label="What for")

    def __init__(self, *args: Any, currency: str, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        amount = Column(AppendedText("amount", currency))
        self.helper = framed(
            Layout("key", Row(amount, "moved_on", "way"), "reason"), "Record the refund"
        )


class ReasonForm(_Keyed):
    """Why something is corrected, given up or taken out."""

    reason = forms.CharField(max_length=300, label="Why")

    def __init__(self, *args: Any, button: str, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.helper = framed(Layout("key", "reason"), button)


class AmountReasonForm(ReasonForm):
    """How much of it, and why."""

    amount = MoneyField(label="Amount")

    def __init__(self, *args: Any, button: str, currency: str, **kwargs: Any) -> None:
        super().__init__(*args, button=button, **kwargs)
        self.helper = framed(
            Layout("key", Row(Column(AppendedText("amount", currency)), "reason")), button
        )


class HeadsForm(PlainForm):
    """A party of another size."""

    heads = forms.IntegerField(max_value=MOST_HEADS, label="Heads")
    children = forms.IntegerField(
        min_value=0, max_value=MOST_HEADS, initial=0, required=False, label="Of them children"
    )

    def clean_children(self) -> int:
        return self.cleaned_data["children"] or 0


class DateForm(PlainForm):
    """Another day for a booking, and from whose side the wish comes."""

    trip = forms.ModelChoiceField(Trip.objects.none(), label="To")
    by = forms.ChoiceField(
        choices=[("client", "the client wishes it"), ("guide", "we ask for it")], label="Because"
    )

    def __init__(self, *args: Any, trips: Sequence[Trip], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        pks = [trip.pk for trip in trips]
        self.fields["trip"].queryset = (  # type: ignore[attr-defined]
            Trip.objects.filter(pk__in=pks).select_related("offer").order_by("starts_at")
        )
        self.fields["trip"].label_from_instance = _trip_words  # type: ignore[attr-defined]


def _trip_words(trip: Trip) -> str:
    day, left = timezone.localdate(trip.starts_at), trip.places_left
    return f"{day:%a %-d %b %Y}, {trip.offer}: {left} place{'' if left == 1 else 's'} left"


class CancelForm(PlainForm):
    """Who cancels, and whether somebody else has taken the place."""

    by = forms.ChoiceField(
        choices=[("client", "the client cancels"), ("guide", "we cancel")], label="From whose side"
    )
    refilled = forms.BooleanField(required=False, label="Somebody else has taken the place")


class ChoiceForm(PlainForm):
    """What a client wants with money that is theirs."""

    choice = forms.ChoiceField(
        choices=[(Settlement.Choice.REFUND, "money back"), (Settlement.Choice.MOVE, "another date")]
    )


class BankFileForm(PlainForm):
    """A statement as the bank gives it out."""

    file = forms.FileField(
        label="Bank statement as CSV",
        help_text="At most 2 MB. The same lines read twice are known again.",
        widget=forms.ClearableFileInput(attrs={"accept": ".csv,text/csv"}),
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.helper = framed(Layout("file"), "Read the file")

    def clean_file(self) -> Any:
        file = self.cleaned_data["file"]
        if file.size > 2 * 1024 * 1024:
            raise forms.ValidationError("The file is larger than 2 MB. Export a shorter span.")
        return file


def today_first(on: datetime.date, **more: Any) -> dict[str, Any]:
    """What a money form starts with: today, by bank."""
    return {"moved_on": on, "way": MoneyEntry.Way.BANK} | more
