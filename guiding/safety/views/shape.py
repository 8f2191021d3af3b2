"""The shape every page of safety has: bind, carry out, refuse with what was typed, lead on."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.urls import reverse

from bookings.forms.layout import Refusable


def carried_out(form: Refusable, action: Callable[[], object]) -> bool:
    """Whether a bound form's action went through; a refusal is put into the form."""
    if not form.is_bound or not form.is_valid():
        return False
    try:
        action()
    except ValidationError as refusal:
        form.refuse(refusal)
        return False
    return True


def lead_on(request: HttpRequest, said: str, name: str, *args: Any) -> HttpResponse:
    """After a change: say what was done, on the page it led to."""
    messages.success(request, said)
    return HttpResponseRedirect(reverse(name, args=args), status=303)


def turned_down(
    request: HttpRequest, refusal: ValidationError, name: str, *args: Any
) -> HttpResponse:
    """After a refusal of a button without a page of its own."""
    messages.error(request, " ".join(refusal.messages))
    return HttpResponseRedirect(reverse(name, args=args), status=303)
