"""What is needed to get any day ready: chargers, and what goes along every time."""

from __future__ import annotations

from django.contrib import messages
from django.contrib.auth.decorators import permission_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from guiding.days.actions.prep import copy_house_load, save_charger, save_load_line
from guiding.days.forms.prep import ChargerForm, LoadLineForm
from guiding.days.models import Charger, LoadLine
from guiding.days.rules.prep import GROUP_WORDS, HOUSE_LOAD
from guiding.days.views.form_page import carried_out, form_page, typed


@require_safe
@permission_required("days.view_charger", raise_exception=True)
def charger_list(request: HttpRequest) -> HttpResponse:
    rows = Charger.objects.order_by("-in_use", "place", "label")
    return render(request, "days/charger_list.html", {"title": "Chargers", "rows": rows})


@require_http_methods(["GET", "HEAD", "POST"])
@permission_required("days.change_charger", raise_exception=True)
def charger_edit(request: HttpRequest, pk: int | None = None) -> HttpResponse:
    known = get_object_or_404(Charger, pk=pk) if pk else None
    form = ChargerForm(typed(request), instance=known)
    if carried_out(form, lambda: save_charger(charger=known, **form.cleaned_data)):
        messages.success(request, "Charger saved.")
        return redirect("charger_list")
    return form_page(request, form, str(known) if known else "New charger")


@require_safe
@permission_required("days.view_loadline", raise_exception=True)
def load_list(request: HttpRequest) -> HttpResponse:
    """What goes along on every day beside the numbered gear; the house's list until changed."""
    rows = list(LoadLine.objects.all())
    context = {
        "title": "What goes along",
        "groups": [
            (words, [row for row in rows if row.group == group])
            for group, words in GROUP_WORDS.items()
        ]
        if rows
        else [],
        "count": len(rows),
        "house": [(GROUP_WORDS[group], text, count, per) for group, text, count, per in HOUSE_LOAD],
    }
    return render(request, "days/load_list.html", context)


@require_http_methods(["GET", "HEAD", "POST"])
@permission_required("days.change_loadline", raise_exception=True)
def load_edit(request: HttpRequest, pk: int | None = None) -> HttpResponse:
    known = get_object_or_404(LoadLine, pk=pk) if pk else None
    form = LoadLineForm(typed(request), instance=known)
    if carried_out(form, lambda: save_load_line(line=known, **form.cleaned_data)):
        messages.success(request, "Saved.")
        return redirect("load_list")
    return form_page(request, form, str(known) if known else "New line to load")


@require_POST
@permission_required("days.change_loadline", raise_exception=True)
def load_copy(request: HttpRequest) -> HttpResponse:
    """Write the house's list down as the guide's own."""
    added = copy_house_load()
    messages.success(request, f"{added} lines written down. Change them as you like.")
    return redirect("load_list")
