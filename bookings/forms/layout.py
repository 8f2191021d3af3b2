"""What every form of the house has in common: its frame, its dates, and how it takes a refusal."""

from __future__ import annotations

from typing import Any

from crispy_forms.helper import FormHelper
from crispy_forms.layout import Layout, Submit
from django import forms
from django.core.exceptions import NON_FIELD_ERRORS, ValidationError


def framed(layout: Layout, button: str, action: str = "") -> FormHelper:
    """The frame of a form: sent by POST, with one button."""
    helper = FormHelper()
    helper.form_method = "post"
    helper.form_action = action
    helper.layout = layout
    helper.add_input(Submit("save", button))
    return helper


class DateInput(forms.DateInput):
    """A date picked from a calendar; for days that lie near."""

    input_type = "date"

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(format="%Y-%m-%d", **kwargs)


class Refusable(forms.BaseForm):
    """A form that shows what an action refused beside the field it is about."""

    def refuse(self, refusal: ValidationError) -> None:
        """Put each sentence at its field; what is about no field of ours stands above the form."""
        if not hasattr(refusal, "error_dict"):
            self.add_error(None, refusal)
            return
        for name, errors in refusal.error_dict.items():
            known = name in self.fields and name != NON_FIELD_ERRORS
            self.add_error(name if known else None, ValidationError(errors))


class PlainForm(Refusable, forms.Form):
    """A form that stands for no row."""


class RowForm(Refusable, forms.ModelForm):
    """Reads what was typed and leaves the row alone: the action alone judges and writes it."""

    def _post_clean(self) -> None:
        pass
