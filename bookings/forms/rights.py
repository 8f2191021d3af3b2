"""Forms about what is kept: whose, and for how long."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from crispy_forms.layout import Layout
from django import forms

from bookings.forms.layout import PlainForm, framed
from bookings.rules.retention import KeepRule

MOST_DAYS = 36525


class EmailForm(PlainForm):
    email = forms.EmailField(
        label="Mail address", widget=forms.EmailInput(attrs={"autocomplete": "off"})
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.helper = framed(Layout("email"), "Look what is kept")


class RulesForm(PlainForm):
    """One number of days for each kind."""

    def __init__(self, *args: Any, rules: Sequence[KeepRule], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.rules = rules
        for rule in rules:
            self.fields[rule.kind.value] = forms.IntegerField(
                label=f"{rule.name}: days",
                min_value=1,
                max_value=MOST_DAYS,
                initial=rule.days,
            )

    def changed(self) -> list[tuple[str, int]]:
        """Kinds whose number of days is another than before."""
        return [
            (rule.kind.value, self.cleaned_data[rule.kind.value])
            for rule in self.rules
            if self.cleaned_data[rule.kind.value] != rule.days
        ]
