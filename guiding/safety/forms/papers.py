"""Forms of papers in date."""

from __future__ import annotations

from typing import Any

from crispy_forms.layout import Column, Fieldset, Layout, Row
from django import forms

from bookings.forms.layout import DateInput, PlainForm, RowForm, framed
from equipment.models import Thing
from guiding.safety.models import HeldPaper, PaperKind


class PaperKindForm(RowForm):
    class Meta:
        model = PaperKind
        fields = ["name", "scope", "activity", "hard", "lead_days", "note", "in_force"]

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.helper = framed(
            Layout("name", Row("scope", "activity"), "in_force", "hard", "lead_days", "note"),
            "Save the kind",
        )


class PaperForm(RowForm):
    file = forms.FileField(
        label="Scan or photograph", required=False, help_text="PDF or picture, at most 5 MB."
    )

    class Meta:
        model = HeldPaper
        fields = [
            "kind",
            "thing",
            "spots",
            "number",
            "issuer",
            "valid_from",
            "valid_until",
            "conditions",
            "copy_kept",
        ]
        widgets = {
            "valid_from": DateInput(),
            "valid_until": DateInput(),
            "conditions": forms.Textarea(attrs={"rows": 2}),
            "spots": forms.CheckboxSelectMultiple,
        }

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        machines = [Thing.Kind.CRAFT, Thing.Kind.VEHICLE]
        things = Thing.objects.filter(kind__in=machines, retired_on=None)
        self.fields["thing"].queryset = things  # type: ignore[attr-defined]
        self.helper = framed(
            Layout(
                Fieldset("The paper", "kind", Row(Column("number"), Column("issuer"))),
                Fieldset("What it covers", "thing", "spots"),
                Fieldset("When", Row(Column("valid_from"), Column("valid_until"))),
                Fieldset("Keeping", "conditions", "copy_kept", "file"),
            ),
            "Save the paper",
        )


class WithdrawForm(PlainForm):
    on = forms.DateField(label="From which day", widget=DateInput())
    reason = forms.CharField(max_length=200)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.helper = framed(Layout("on", "reason"), "It holds no more")
