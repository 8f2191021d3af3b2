"""The one way a form comes in and goes out, with what an action refused at its field."""

from __future__ import annotations

from collections.abc import Callable

from django import forms
from django.core.exceptions import NON_FIELD_ERRORS, ValidationError
from django.http import HttpRequest, HttpResponse, QueryDict
from django.shortcuts import render


def typed(request: HttpRequest) -> QueryDict | None:
    """What was sent, even when it is nothing at all; None where nothing was sent yet."""
    return request.POST if request.method == "POST" else None


def refuse(form: forms.BaseForm, refusal: ValidationError) -> None:
    """Put the sentences of a refusal at their field, or above the form."""
    if not hasattr(refusal, "error_dict"):
        form.add_error(None, refusal)
        return
    for name, errors in refusal.error_dict.items():
        known = name in form.fields and name != NON_FIELD_ERRORS
        form.add_error(name if known else None, errors)


def carried_out(form: forms.BaseForm, action: Callable[[], object]) -> bool:
    """Whether a valid form's action went through; a refusal is put into the form."""
    if not form.is_valid():
        return False
    try:
        action()
    except ValidationError as refusal:
        refuse(form, refusal)
        return False
    return True


def form_page(
    request: HttpRequest,
    form: forms.BaseForm,
    title: str,
    template: str = "days/form.html",
    **context: object,
) -> HttpResponse:
    """The page of a form; after a refusal with all that was typed, as 422."""
    status = 422 if request.method == "POST" else 200
    return render(request, template, {"title": title, "form": form, **context}, status=status)
