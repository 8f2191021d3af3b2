"""Forms for service: a record, a rule."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from django import forms

from equipment.forms.layout import helper
from equipment.forms.quantities import DayInput, MomentField
from equipment.models import ServiceRule, Thing


class ServiceForm(forms.Form):
    """A service that was done to a thing."""

    rule_name = forms.CharField(label="What was done", max_length=80)
    done_at = MomentField(label="When")
    done_by = forms.CharField(label="By whom", max_length=100, required=False)
    parts = forms.CharField(label="Parts fitted", max_length=300, required=False)
    cost = forms.DecimalField(
        label="What it cost", min_value=Decimal(0), max_digits=12, decimal_places=3, initial=0
    )
    new_printed_date = forms.DateField(
        label="New printed date",
        required=False,
        widget=DayInput,
        help_text="Where the service brings one, as with flares or a beacon's battery.",
    )
    note = forms.CharField(max_length=300, required=False)

    def __init__(self, *args: Any, thing: Thing, rules: list[str], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if rules:
            self.fields["rule_name"] = forms.ChoiceField(
                label="What was done", choices=[(name, name) for name in rules]
            )
        if thing.expires_on is None:
            del self.fields["new_printed_date"]
        self.helper = helper(
            self, ("", ["rule_name", ("done_at", "done_by"), ("parts", "cost")]), button="Record it"
        )


class DoneForm(forms.Form):
    """Services of the due list that were done: the ticks come as 'thing:rule'."""

    done_by = forms.CharField(label="By whom", max_length=100, required=False)

    def __init__(self, *args: Any, open_items: list[tuple[int, str]], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.open_items = {f"{pk}:{rule}": (pk, rule) for pk, rule in open_items}
        choices = [(key, key) for key in self.open_items]
        self.fields["done"] = forms.MultipleChoiceField(choices=choices)

    def ticked(self) -> list[tuple[int, str]]:
        return [self.open_items[key] for key in self.cleaned_data["done"]]


class RuleForm(forms.ModelForm):
    class Meta:
        model = ServiceRule
        fields = [
            "kind",
            "thing",
            "name",
            "every_days",
            "every_trips",
            "every_flights",
            "every_cycles",
            "every_hours",
            "every_metres",
            "every_km",
            "by_printed_date",
            "lead_days",
            "lead_percent",
            "grounds",
            "mark",
            "in_force",
        ]

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["thing"].label = "For one thing only"
        self.fields[
            "thing"
        ].help_text = "It then stands in the place of the rule of the same name that its kind has."
        self.helper = helper(
            self,
            ("What is to be done", ["name", ("kind", "thing")]),
            (
                "When: the limit that is reached first decides",
                [
                    ("every_days", "every_trips"),
                    ("every_flights", "every_cycles"),
                    ("every_hours", "every_km"),
                    "every_metres",
                    "by_printed_date",
                ],
            ),
            ("Warning", [("lead_days", "lead_percent"), "grounds"]),
            ("Where it comes from", [("mark", "in_force")]),
        )
