"""How a form of the desk is laid out and sent."""

from __future__ import annotations

from crispy_forms.helper import FormHelper
from crispy_forms.layout import Layout, Submit


def posted(layout: Layout, button: str) -> FormHelper:
    """A form that is posted, with one button."""
    helper = FormHelper()
    helper.form_method = "post"
    helper.layout = layout
    helper.add_input(Submit("save", button))
    return helper
