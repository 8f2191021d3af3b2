"""How the forms of gear are laid out: groups of fields, units behind them, one button."""

from __future__ import annotations

from crispy_forms.bootstrap import AppendedText, FormActions
from crispy_forms.helper import FormHelper
from crispy_forms.layout import Div, Field, Fieldset, Layout, Submit
from django import forms


def helper(
    form: forms.BaseForm, *groups: tuple[str, list[str | tuple[str, ...]]], button: str = "Save"
) -> FormHelper:
    """The layout of a form: groups of a legend and names; a tuple of names stands in one row."""
    made = FormHelper()
    made.form_class = "form"
    made.attrs = {"novalidate": ""}
    rows = [Fieldset(legend, *(_row(form, name) for name in names)) for legend, names in groups]
    named = {name for _, names in groups for one in names for name in _names(one)}
    rest = [_field(form, name) for name in form.fields if name not in named]
    made.layout = Layout(*rows, *rest, FormActions(Submit("save", button, css_class="btn-primary")))
    return made


def _names(one: str | tuple[str, ...]) -> tuple[str, ...]:
    return one if isinstance(one, tuple) else (one,)


def _row(form: forms.BaseForm, one: str | tuple[str, ...]) -> object:
    fields = [_field(form, name) for name in _names(one)]
    return fields[0] if len(fields) == 1 else Div(*fields, css_class="row")


def _field(form: forms.BaseForm, name: str) -> object:
    unit = getattr(form.fields[name], "unit", "")
    return AppendedText(name, unit) if unit else Field(name)
