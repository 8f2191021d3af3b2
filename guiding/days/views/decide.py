"""One decision with the numbers it was taken on, and the limits of the house."""

from __future__ import annotations

from django.contrib import messages
from django.contrib.auth.decorators import permission_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods, require_safe

from guiding.days.actions.decisions import save_house_limits
from guiding.days.forms.decisions import HouseLimitsForm
from guiding.days.models import Decision
from guiding.days.queries.decisions import house_limits
from guiding.days.rules.decision import replayed
from guiding.days.views.form_page import carried_out, form_page, typed


@require_safe
@permission_required("days.view_decision", raise_exception=True)
def decision(request: HttpRequest, pk: int) -> HttpResponse:
    """A decision worked out again from its own frozen numbers."""
    row = get_object_or_404(Decision.objects.select_related("plan__spot", "plan__trip"), pk=pk)
    context: dict[str, object] = {"title": f"Decision on {row.plan.spot}", "row": row}
    try:
        copy = replayed(row.frozen)
    except ValueError as refusal:
        context["trouble"] = str(refusal)
    else:
        context |= {"copy": copy, "facts": copy.facts, "findings": copy.then}
    return render(request, "days/decision.html", context)


@require_http_methods(["GET", "HEAD", "POST"])
@permission_required("days.change_houselimits", raise_exception=True)
def limits(request: HttpRequest) -> HttpResponse:
    known = house_limits()
    form = HouseLimitsForm(typed(request), instance=known)
    if request.method == "POST" and carried_out(
        form, lambda: save_house_limits(limits=known, **form.cleaned_data)
    ):
        messages.success(request, "Limits saved. Decisions taken before keep those they had.")
        return redirect("house_limits")
    return form_page(request, form, "Limits of every day", "days/house_limits.html")
