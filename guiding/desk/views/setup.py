"""Setup: the first run, the business, and where the rest of the data of the desk is."""

from __future__ import annotations

from django.contrib import messages
from django.contrib.auth import login
from django.contrib.auth.decorators import login_not_required, permission_required
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods, require_safe

from bookings.models import Business
from guiding.days.views.form_page import refuse, typed
from guiding.desk.actions.business import save_business
from guiding.desk.actions.first_run import open_business
from guiding.desk.forms import BusinessForm, FirstRunForm


@sensitive_post_parameters()
@login_not_required
@require_http_methods(["GET", "HEAD", "POST"])
def first_run(request: HttpRequest) -> HttpResponse:
    """Asks for the business and the first login; closed for good once they are there."""
    if Business.objects.exists():
        return redirect("today")
    form = FirstRunForm(typed(request))
    if request.method == "POST" and form.is_valid():
        try:
            owner = open_business(**form.cleaned_data)
        except ValidationError as refusal:
            refuse(form, refusal)
        else:
            login(request, owner, backend="allauth.account.auth_backends.AuthenticationBackend")
            messages.success(request, "The desk is open. Next: a spot, an offer and your rates.")
            return redirect("setup")
    status = 422 if request.method == "POST" else 200
    context = {"title": "Open the desk", "form": form}
    return render(request, "desk/first_run.html", context, status=status)


@require_safe
@permission_required("bookings.view_business", raise_exception=True)
def setup(request: HttpRequest) -> HttpResponse:
    return render(request, "desk/setup.html", {"title": "Setup"})


@require_http_methods(["GET", "HEAD", "POST"])
@permission_required("bookings.change_business", raise_exception=True)
def business(request: HttpRequest) -> HttpResponse:
    known = Business.objects.get()
    form = BusinessForm(typed(request), instance=known)
    if request.method == "POST" and form.is_valid():
        try:
            save_business(business=known, **form.cleaned_data)
        except ValidationError as refusal:
            refuse(form, refusal)
        else:
            messages.success(request, "Saved.")
            return redirect("setup")
    status = 422 if request.method == "POST" else 200
    return render(request, "desk/form.html", {"title": "The business", "form": form}, status=status)
