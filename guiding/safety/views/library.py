"""The hazard library, and what is known of a spot."""

from __future__ import annotations

from django.contrib.auth.decorators import permission_required
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from bookings.views.form_page import form_page, typed
from guiding.days.models import Spot
from guiding.safety.actions.assessment import save_spot_safety
from guiding.safety.actions.library import load_library, save_hazard, save_words
from guiding.safety.forms import HazardForm, SpotSafetyForm, WordsForm
from guiding.safety.models import Hazard, SpotSafety
from guiding.safety.rules.matrix import risk_band
from guiding.safety.views.shape import carried_out, lead_on, turned_down

_FORM = ("GET", "HEAD", "POST")


@require_safe
@permission_required("safety.view_hazard", raise_exception=True)
def hazard_list(request: HttpRequest) -> HttpResponse:
    rows = [
        (
            hazard,
            risk_band(hazard.likelihood_before, hazard.consequence_before),
            risk_band(hazard.likelihood_after, hazard.consequence_after),
        )
        for hazard in Hazard.objects.all()
    ]
    return render(request, "safety/hazard_list.html", {"title": "Hazard library", "rows": rows})


@require_POST
@permission_required("safety.add_hazard", raise_exception=True)
def hazard_load(request: HttpRequest) -> HttpResponse:
    """Put the shipped library in; what is there stays as it is."""
    try:
        new = load_library()
    except ValidationError as refusal:
        return turned_down(request, refusal, "hazard_list")
    return lead_on(request, f"{new} rows were new.", "hazard_list")


@require_http_methods(_FORM)
@permission_required("safety.change_hazard", raise_exception=True)
def hazard(request: HttpRequest, pk: int | None = None) -> HttpResponse:
    row = get_object_or_404(Hazard, pk=pk) if pk else None
    form = HazardForm(typed(request), instance=row)
    if carried_out(form, lambda: save_hazard(hazard=row, **form.cleaned_data)):
        return lead_on(request, "Hazard saved; the older wording is kept.", "hazard_list")
    title = row.name if row else "New hazard"
    versions = list(row.history.all()[:20]) if row else []
    words = list(row.words.all()) if row else []
    return form_page(
        request, form, title, "safety/hazard.html", hazard=row, versions=versions, words=words
    )


@require_http_methods(_FORM)
@permission_required("safety.change_hazard", raise_exception=True)
def hazard_words(request: HttpRequest, pk: int) -> HttpResponse:
    """A hazard in another language; `?language=` opens what is there."""
    row = get_object_or_404(Hazard, pk=pk)
    known = row.words.filter(language=request.GET.get("language", "")).first()
    form = WordsForm(typed(request), instance=known)
    if carried_out(form, lambda: save_words(hazard=row, **form.cleaned_data)):
        return lead_on(request, "Words saved.", "hazard", pk)
    return form_page(request, form, f"{row}, in another language", "safety/form.html")


@require_http_methods(_FORM)
@permission_required("safety.change_spotsafety", raise_exception=True)
def spot_safety(request: HttpRequest, pk: int) -> HttpResponse:
    """What a spot is like: it fires hazards and stands on the emergency card."""
    spot = get_object_or_404(Spot, pk=pk)
    known = SpotSafety.objects.filter(spot=spot).first()
    form = SpotSafetyForm(typed(request), instance=known)
    if carried_out(form, lambda: save_spot_safety(spot=spot, **form.cleaned_data)):
        return lead_on(request, f"Saved for {spot}.", "spot", pk)
    return form_page(request, form, f"Safety at {spot}", "safety/form.html")
