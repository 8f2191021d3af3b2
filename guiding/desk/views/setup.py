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
from guiding.desk.forms.business import BusinessForm, CountryForm, FirstRunForm
from guiding.desk.sheets.countries import country_names, country_of
from guiding.desk.sheets.house import house_lacks


@sensitive_post_parameters()
@login_not_required
@require_http_methods(["GET", "HEAD", "POST"])
def first_run(request: HttpRequest) -> HttpResponse:
    """Asks for the country, then the business and the first login; closed once they are there."""
    if Business.objects.exists():
        return redirect("today")
    chosen = _country_asked(request)
    if request.method != "POST" and not chosen.is_valid():
        status = 422 if chosen.is_bound else 200
        context = {"title": "Open the desk", "choose": chosen}
        return render(request, "desk/first_run.html", context, status=status)
    form = FirstRunForm(typed(request), initial=_follows(chosen))
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


def _country_asked(request: HttpRequest, known: str = "") -> CountryForm:
    """The choice of a country, as the address has it."""
    asked = request.GET if "country" in request.GET else None
    return CountryForm(asked, initial={"country": known})


def _follows(chosen: CountryForm) -> dict[str, str]:
    """What is proposed for the country in the address; nothing where there is none."""
    return country_of(chosen.cleaned_data["country"]).proposal() if chosen.is_valid() else {}


@require_safe
@permission_required("bookings.view_business", raise_exception=True)
def setup(request: HttpRequest) -> HttpResponse:
    known = Business.objects.get()
    country = country_names().get(known.country, known.country)
    context = {"title": "Setup", "house": house_lacks(known), "country": country}
    return render(request, "desk/setup.html", context)


@require_http_methods(["GET", "HEAD", "POST"])
@permission_required("bookings.change_business", raise_exception=True)
def business(request: HttpRequest) -> HttpResponse:
    known = Business.objects.get()
    chosen = _country_asked(request, known.country)
    form = BusinessForm(typed(request), instance=known, initial=_follows(chosen))
    if request.method == "POST" and form.is_valid():
        try:
            save_business(business=known, **form.cleaned_data)
        except ValidationError as refusal:
            refuse(form, refusal)
        else:
            messages.success(request, "Saved.")
            return redirect("setup")
    status = 422 if request.method == "POST" else 200
    context = {"title": "The business", "form": form, "choose": chosen}
    return render(request, "desk/business.html", context, status=status)
