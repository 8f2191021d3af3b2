"""What the form pack (templates/sandspike) needs: the list of problems, and a tied control."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from django import template
from django.core.exceptions import NON_FIELD_ERRORS
from django.forms import BaseForm, BaseFormSet, BoundField
from django.utils.safestring import SafeString, mark_safe

register = template.Library()


@dataclass(frozen=True, slots=True)
class Problem:
    """One thing to put right, and the control it belongs to."""

    target: str
    label: str
    text: str


@register.filter
def problems(form: BaseForm | BaseFormSet[Any]) -> list[Problem]:
    """All problems of a form in the order of the page, those of the whole form first."""
    if not form.is_bound:
        return []
    if isinstance(form, BaseFormSet):
        found = [Problem("", "", str(text)) for text in form.non_form_errors()]
        for place, line in enumerate(form.forms, start=1):
            found += _problems_of_form(line, f"Line {place}")
        return found
    return _problems_of_form(form)


def _problems_of_form(form: BaseForm, where: str = "") -> list[Problem]:
    found = [Problem("", where, str(text)) for text in form.errors.get(NON_FIELD_ERRORS, [])]
    for field in _as_on_the_page(form):
        if field.is_hidden:
            found += [Problem("", where, str(text)) for text in field.errors]
            continue
        label = f"{where}, {field.label}" if where else str(field.label)
        found += [Problem(_first_control(field), label, str(text)) for text in field.errors]
    return found


def _as_on_the_page(form: BaseForm) -> list[BoundField]:
    """The fields as the layout set them on the page, what stands in none of it last; without a
    layout in their own order."""
    html = getattr(form, "form_html", "")
    if not html:
        return list(form)
    place = {field.name: html.find(f'id="{_first_control(field)}"') for field in form}
    return sorted(form, key=lambda field: (place[field.name] < 0, place[field.name]))


def _first_control(field: BoundField) -> str:
    return field.id_for_label or (f"{field.auto_id}_0" if field.auto_id else "")


@register.filter
def quoted(value: object) -> SafeString:
    """What the form library rendered as a template, fit to stand between double quotes."""
    # It is escaped where it came from a variable; only what its author typed is not.
    return mark_safe(str(value).replace('"', "&quot;").replace("<", "&lt;"))  # noqa: S308


@register.simple_tag
def control(field: BoundField, before: str = "", after: str = "") -> SafeString:
    """The bare control of a field, tied to its help, its problems and its units."""
    attrs: dict[str, str | bool] = {}
    parts = {"before": before, "unit": after}
    units = [f"{field.auto_id}_{part}" for part, text in parts.items() if text]
    if units:
        attrs["aria-describedby"] = " ".join([*units, *(field.aria_describedby or "").split()])
    if field.field.required and not field.form.use_required_attribute:
        attrs["aria-required"] = "true"
    hint = str(field.field.widget.attrs.get("placeholder", "")).lower()
    label = str(field.label).lower()
    if hint and (hint in label or hint.startswith(label)):
        attrs["placeholder"] = False  # the label stands above the box; inside it would vanish
    return field.as_widget(attrs=attrs)
