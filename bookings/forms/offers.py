"""Forms about what is for sale."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from crispy_forms.layout import Column, Fieldset, Layout, Row
from django import forms

from bookings.forms.layout import DateInput, PlainForm, RowForm, framed
from bookings.models import MOST_HEADS, LadderStep, Offer, OfferExtra


class ShortPrice(forms.DecimalField):
    """An amount of money; kept to the mill, shown without the zeros that nobody typed."""

    def prepare_value(self, value: Any) -> Any:
        if not isinstance(value, Decimal):
            return value
        places = max(2, -int(value.normalize().as_tuple().exponent))
        return f"{value:.{places}f}"


class OfferForm(RowForm):
    class Meta:
        model = Offer
        fields = [
            "name",
            "summary",
            "bring",
            "supplied",
            "hours",
            "fishing_hours",
            "places",
            "minimum_age",
            "heads_per_guide",
            "shared",
            "basis",
            "price",
            "child_price",
            "child_until_age",
            "minimum_charge",
            "tax_percent",
            "deposit_percent",
            "fixed_by",
            "ladder",
            "tide_wanted",
            "night",
            "valid_from",
            "valid_until",
        ]
        field_classes = dict.fromkeys(("price", "child_price", "minimum_charge"), ShortPrice)
        widgets = {
            "summary": forms.Textarea(attrs={"rows": 3}),
            "bring": forms.Textarea(attrs={"rows": 2}),
            "supplied": forms.Textarea(attrs={"rows": 2}),
            "valid_from": DateInput(),
            "valid_until": DateInput(),
        }

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.helper = framed(
            Layout(
                Fieldset("The day", "name", "summary", "bring", "supplied"),
                Fieldset(
                    "Hours and people",
                    Row(Column("hours"), Column("fishing_hours"), Column("places")),
                    Row(Column("minimum_age"), Column("heads_per_guide")),
                    Row(Column("shared"), Column("night"), Column("tide_wanted")),
                ),
                Fieldset(
                    "Price",
                    Row(Column("basis"), Column("price"), Column("minimum_charge")),
                    Row(Column("child_price"), Column("child_until_age")),
                    Row(Column("tax_percent"), Column("deposit_percent"), Column("fixed_by")),
                    Row(Column("ladder")),
                ),
                Fieldset("On sale", Row(Column("valid_from"), Column("valid_until"))),
            ),
            "Save the offer",
        )


class StepForm(PlainForm):
    """From so many heads on, the whole day costs this."""

    heads_from = forms.IntegerField(min_value=1, max_value=MOST_HEADS, label="From heads")
    price = ShortPrice(max_digits=12, decimal_places=3, min_value=0, label="Price of the day")


class LadderStepForm(PlainForm):
    days_before = forms.IntegerField(min_value=0, max_value=365, label="From days before")
    keep_percent = forms.DecimalField(
        max_digits=5, decimal_places=2, min_value=0, max_value=100, label="We keep, in per cent"
    )
    base = forms.ChoiceField(choices=LadderStep.Base.choices, label="Of what")
    may_move = forms.BooleanField(required=False, label="May move the deposit once")
    deposit_if_refilled = forms.BooleanField(
        required=False, label="Only the deposit is kept if the place is taken again"
    )


class LadderForm(PlainForm):
    name = forms.CharField(max_length=80, label="Name of the ladder")


StepFormSet = forms.formset_factory(StepForm, extra=3, can_delete=True, max_num=20)
LadderStepFormSet = forms.formset_factory(LadderStepForm, extra=3, can_delete=True, max_num=20)


class ExtraForm(RowForm):
    class Meta:
        model = OfferExtra
        fields = ["name", "price", "per_head", "tax_percent"]
        field_classes = {"price": ShortPrice}

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.helper = framed(
            Layout("name", Row(Column("price"), Column("tax_percent")), "per_head"),
            "Save the extra",
        )
