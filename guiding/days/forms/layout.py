"""What the forms of days have in common: their frame, their dates, and who judges them."""

from __future__ import annotations

from typing import Any

from crispy_forms.helper import FormHelper
from crispy_forms.layout import Layout, Submit
from django import forms

from equipment.forms.quantities import plain_number


def framed(layout: Layout, button: str) -> FormHelper:
    """The frame of a form: sent by POST, with one button."""
    helper = FormHelper()
    helper.form_method = "post"
    helper.layout = layout
    helper.add_input(Submit("save", button))
    return helper


class DateInput(forms.DateInput):
    """A date picked from a calendar."""

    input_type = "date"

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(format="%Y-%m-%d", **kwargs)


class RowForm(forms.ModelForm):
    """Reads what was typed and leaves the row alone: the action alone judges and writes it."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.initial = {name: plain_number(one) for name, one in self.initial.items()}

    def _post_clean(self) -> None:
        pass
