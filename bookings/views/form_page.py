"""The one way a form comes in and goes out."""

from __future__ import annotations

from django.forms import BaseForm
from django.http import HttpRequest, HttpResponse, QueryDict
from django.shortcuts import render


def typed(request: HttpRequest) -> QueryDict | None:
    """What was sent, even when it is nothing at all; None where nothing was sent yet."""
    return request.POST if request.method == "POST" else None


def form_page(
    request: HttpRequest,
    form: BaseForm,
    title: str,
    template: str = "bookings/form.html",
    **context: object,
) -> HttpResponse:
    """The page of a form; after a refusal with all that was typed, as 422."""
    status = 422 if request.method == "POST" else 200
    return render(request, template, {"title": title, "form": form, **context}, status=status)
