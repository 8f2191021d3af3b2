"""Species with their rules, and the catch of a year."""

from __future__ import annotations

from django.contrib import messages
from django.contrib.auth.decorators import permission_required
from django.http import Http404, HttpRequest, HttpResponse, StreamingHttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_safe

from bookings.models import Business
from guiding.days.actions.catches import save_species
from guiding.days.forms.catches import SpeciesForm
from guiding.days.models import SpeciesRule
from guiding.days.rules.catch import CHECK_AGAIN_DAYS
from guiding.days.sheets.catch_return import CatchReturn, catch_return
from guiding.days.views.form_page import carried_out, form_page, typed


@require_safe
@permission_required("days.view_speciesrule", raise_exception=True)
def species_list(request: HttpRequest) -> HttpResponse:
    """Every species with what may be kept of it, and when that was last looked up."""
    rows = list(SpeciesRule.objects.order_by("-in_use", "name_en"))
    today = timezone.localdate()
    old = {
        row.pk
        for row in rows
        if row.checked_on and (today - row.checked_on).days > CHECK_AGAIN_DAYS
    }
    context = {"title": "Fish and their rules", "rows": rows, "old": old}
    return render(request, "days/species_list.html", context)


@require_http_methods(["GET", "HEAD", "POST"])
@permission_required("days.change_speciesrule", raise_exception=True)
def species(request: HttpRequest, pk: int | None = None) -> HttpResponse:
    known = get_object_or_404(SpeciesRule, pk=pk) if pk else None
    imperial = Business.objects.get().units == "imperial"
    form = SpeciesForm(typed(request), instance=known, imperial=imperial)
    if carried_out(form, lambda: save_species(rule=known, **form.cleaned_data)):
        messages.success(request, "Species saved.")
        return redirect("species_list")
    return form_page(request, form, str(known) if known else "New species")


@require_safe
@permission_required("days.view_catch", raise_exception=True)
def catch_year(request: HttpRequest, year: int | None = None) -> HttpResponse:
    """The catch of a year by species, and its table to download."""
    year = year or timezone.localdate().year
    found = _return(year)
    context = {"title": f"Catch of {year}", "found": found, "last": year - 1, "next": year + 1}
    return render(request, "days/catch_year.html", context)


@require_safe
@permission_required("days.view_catch", raise_exception=True)
def catch_year_file(request: HttpRequest, year: int) -> StreamingHttpResponse:
    """The catch of a year as CSV: a row a day and species."""
    response = StreamingHttpResponse(_return(year).lines(), content_type="text/csv; charset=utf-8")
    response["Content-Disposition"] = f'attachment; filename="catch-{year}.csv"'
    response["Cache-Control"] = "private, no-store"
    return response


def _return(year: int) -> CatchReturn:
    try:
        return catch_return(year=year, zone=Business.objects.get().tz)
    except ValueError as missing:
        raise Http404(str(missing)) from None
