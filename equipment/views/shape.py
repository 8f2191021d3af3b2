"""The shape every page of gear has: fetch, bind, refuse with what was typed, lead on."""

from __future__ import annotations

import datetime
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, TypeVar

from django import forms
from django.contrib import messages
from django.core.exceptions import NON_FIELD_ERRORS, ValidationError
from django.db.models import QuerySet
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import get_object_or_404, render
from django.utils import timezone

from equipment.models import Craft, FlightPack, Reel, Thing

_T = TypeVar("_T", bound=forms.BaseForm)
_TABLES: dict[str, type[Thing]] = {"craft": Craft, "pack": FlightPack, "reel": Reel}
PAGE_ROWS = 25


def fetch(pk: int, kind: str = "") -> Any:
    """A thing by its id with the columns of its kind, or the page that says there is none."""
    if kind:
        return get_object_or_404(_TABLES[kind], pk=pk)
    thing = get_object_or_404(Thing, pk=pk)
    table = _TABLES.get(thing.kind)
    return table.objects.get(pk=pk) if table else thing


def who(request: HttpRequest) -> str:
    """The name of whoever is signed in, as it stands in records; empty where none is entered."""
    return request.user.get_full_name() if request.user.is_authenticated else ""


def bound(request: HttpRequest, form: type[_T], **kwargs: Any) -> _T:
    """The form with what was sent, or as it is first shown."""
    if request.method == "POST":
        return form(request.POST, request.FILES, **kwargs)
    return form(**kwargs)


def refuse(form: forms.BaseForm, error: ValidationError) -> None:
    """Put the sentences of a refusal where they belong: at their field, or above the form."""
    by_field = error.error_dict if hasattr(error, "error_dict") else {NON_FIELD_ERRORS: [error]}
    for name, errors in by_field.items():
        form.add_error(name if name in form.fields else None, errors)


def carried_out(form: forms.BaseForm, action: Callable[[], object]) -> bool:
    """Whether a valid form's action went through; a refusal is put into the form."""
    if not form.is_valid():
        return False
    try:
        action()
    except ValidationError as error:
        refuse(form, error)
        return False
    return True


def form_page(
    request: HttpRequest, form: forms.BaseForm, *, title: str, back: str, **more: Any
) -> HttpResponse:
    """A page with one form; with something to put right, it says so to programs too."""
    template = more.pop("template", "equipment/form.html")
    status = 422 if form.is_bound and not form.is_valid() else 200
    return render(
        request, template, {"title": title, "form": form, "back": back, **more}, status=status
    )


def lead_on(request: HttpRequest, to: str, said: str) -> HttpResponse:
    """After a change: say what was done, on the page it led to."""
    messages.success(request, said)
    return HttpResponseRedirect(to, status=303)


def turned_down(request: HttpRequest, to: str, error: ValidationError) -> HttpResponse:
    """After a refusal of a button without a form of its own."""
    for sentence in error.messages:
        messages.error(request, sentence)
    return HttpResponseRedirect(to, status=303)


def asked_day(request: HttpRequest) -> datetime.date:
    """The day a list is asked for (`?on=`), else today; what is no day counts as today."""
    try:
        day = datetime.date.fromisoformat(request.GET.get("on", ""))
    except ValueError:
        return timezone.localdate()
    return day if 2000 <= day.year <= 2100 else timezone.localdate()


@dataclass(frozen=True, slots=True)
class Page:
    """One page of a list, without counting the whole of it."""

    rows: list[Any]
    number: int
    has_next: bool

    @property
    def has_previous(self) -> bool:
        return self.number > 1

    @property
    def previous_page_number(self) -> int:
        return self.number - 1

    @property
    def next_page_number(self) -> int:
        return self.number + 1


def page_of(request: HttpRequest, rows: QuerySet[Any], size: int = PAGE_ROWS) -> Page:
    """The page of a list that `?page=` asks for."""
    asked = request.GET.get("page", "1")
    number = int(asked) if asked.isdecimal() and 0 < int(asked[:7]) < 100_000 else 1
    start = (number - 1) * size
    found = list(rows[start : start + size + 1])
    return Page(found[:size], number, len(found) > size)
