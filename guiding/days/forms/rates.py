"""The forms of rates and of what a season carries."""

from __future__ import annotations

from typing import Any

from crispy_forms.layout import Column, Layout, Row

from guiding.days.forms.layout import DateInput, RowForm, framed
from guiding.days.models import CostBasis, CostRate


class RateForm(RowForm):
    class Meta:
        model = CostRate
        fields = ["driver", "label", "amount", "per", "valid_from", "valid_until"]
        widgets = {"valid_from": DateInput(), "valid_until": DateInput()}

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.helper = framed(
            Layout(
                Row(Column("driver"), Column("label")),
                Row(Column("amount"), Column("per")),
                Row(Column("valid_from"), Column("valid_until")),
            ),
            "Save the rate",
        )


class BasisForm(RowForm):
    class Meta:
        model = CostBasis
        fields = [
            "valid_from",
            "guide_rate",
            "overhead",
            "days_run",
            "days_called_off",
            "call_off_cost",
            "fee_percent",
            "fee_fixed",
            "wished_margin_percent",
        ]
        widgets = {"valid_from": DateInput()}

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.helper = framed(
            Layout(
                "valid_from",
                Row(Column("guide_rate"), Column("overhead")),
                Row(Column("days_run"), Column("days_called_off"), Column("call_off_cost")),
                Row(Column("fee_percent"), Column("fee_fixed"), Column("wished_margin_percent")),
            ),
            "Save",
        )
