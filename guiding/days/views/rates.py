"""What a unit of each driver costs, and what a season carries."""

from __future__ import annotations

from django.contrib import messages
from django.contrib.auth.decorators import permission_required
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_safe

from guiding.days.actions.spots import save_basis, save_rate
from guiding.days.forms import BasisForm, RateForm
from guiding.days.models import CostRate
from guiding.days.queries.rates import basis_on
from guiding.days.views.form_page import form_page, refuse, typed


@require_safe
@permission_required("days.view_costrate", raise_exception=True)
def rate_list(request: HttpRequest) -> HttpResponse:
    today = timezone.localdate()
    return render(
        request,
        "days/rate_list.html",
        {"title": "Rates", "rates": CostRate.objects.all(), "basis": basis_on(on=today)},
    )


@require_http_methods(["GET", "HEAD", "POST"])
@permission_required("days.change_costrate", raise_exception=True)
def rate(request: HttpRequest, pk: int | None = None) -> HttpResponse:
    known = get_object_or_404(CostRate, pk=pk) if pk else None
    form = RateForm(typed(request), instance=known)
    if request.method == "POST" and form.is_valid():
        try:
            save_rate(rate=known, **form.cleaned_data)
        except ValidationError as refusal:
            refuse(form, refusal)
        else:
            messages.success(request, "Rate saved.")
            return redirect("rate_list")
    return form_page(request, form, str(known.label) if known else "New rate")


@require_http_methods(["GET", "HEAD", "POST"])
@permission_required("days.change_costbasis", raise_exception=True)
def basis(request: HttpRequest) -> HttpResponse:
    now = basis_on(on=timezone.localdate())
    form = BasisForm(typed(request), instance=now)
    if request.method == "POST" and form.is_valid():
        try:
            save_basis(**form.cleaned_data)
        except ValidationError as refusal:
            refuse(form, refusal)
        else:
            messages.success(request, "Saved. Days before that date keep the old figures.")
            return redirect("rate_list")
    return form_page(request, form, "What a season carries")
