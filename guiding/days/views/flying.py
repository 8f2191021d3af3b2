"""The figures for flying, in Setup."""

from __future__ import annotations

from django.contrib import messages
from django.contrib.auth.decorators import permission_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_http_methods

from guiding.days.actions.flying import save_flying_choice
from guiding.days.forms.flying import FlyingForm
from guiding.days.queries.flying import flying_choice, flying_defaults
from guiding.days.views.form_page import carried_out, form_page, typed


@require_http_methods(["GET", "HEAD", "POST"])
@permission_required("days.change_flyingchoice", raise_exception=True)
def flying_figures(request: HttpRequest) -> HttpResponse:
    """Every figure that is a choice and not physics, with the house's own beside it."""
    form = FlyingForm(typed(request), now=flying_defaults())
    if request.method == "POST" and carried_out(form, lambda: save_flying_choice(**form.figures())):
        messages.success(request, "Saved. Every plan of drops goes by these figures now.")
        return redirect("flying_figures")
    return form_page(
        request,
        form,
        "Figures for flying",
        "days/flying_figures.html",
        own=len(flying_choice().figures),
    )
