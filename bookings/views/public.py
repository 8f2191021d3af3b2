"""The page where anybody may ask: no account, no cookie; robots and floods stay outside."""

from __future__ import annotations

from django.contrib.auth.decorators import login_not_required
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone, translation
from django.utils.cache import patch_vary_headers
from django.views.decorators.csrf import csrf_exempt
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods, require_safe

from bookings.actions.parties import open_enquiry
from bookings.forms.client import PublicEnquiryForm
from bookings.models import Business
from bookings.views.client_tongue import frame, reader, said
from bookings.views.form_page import typed
from bookings.views.private import Tongue
from bookings.views.throttle import count_try, tries

_MOST = 10
_PERSON = ("given_name", "family_name", "email", "phone")
_WISH = ("heads", "minors", "offer", "day_from", "day_until", "wishes")


# Without the token against forged requests: there is no sign-in that somebody could misuse.
@sensitive_post_parameters()
@csrf_exempt
@login_not_required
@require_http_methods(["GET", "HEAD", "POST"])
def ask(request: HttpRequest) -> HttpResponse:
    """A first question. A robot gets the same friendly answer, and nothing is written."""
    tongue = reader(request)
    with translation.override(tongue.language):
        return _ask(request, tongue)


def _ask(request: HttpRequest, tongue: Tongue) -> HttpResponse:
    form = PublicEnquiryForm(typed(request), on=timezone.localdate(), words=tongue.words)
    status = 422 if request.method == "POST" else 200
    if request.method == "POST" and tries(request, "enquiry") >= _MOST:
        form.add_error(None, tongue.words["flood"])
        status = 429
    elif form.is_bound and form.is_valid():
        if form.is_from_a_robot():
            return _thanked(request, tongue)
        person = {name: form.cleaned_data[name] for name in _PERSON}
        try:
            open_enquiry(
                country=Business.objects.get().country,
                person=person | {"language": tongue.language},
                source="our page",
                **{name: form.cleaned_data[name] for name in _WISH},
            )
        except ValidationError as refusal:
            form.refuse(said(refusal, tongue.language))
        else:
            count_try(request, "enquiry")
            return _thanked(request, tongue)
    context = frame(request, tongue) | {"title": tongue.words["public_title"], "form": form}
    response = render(request, "bookings/public_ask.html", context, status=status)
    patch_vary_headers(response, ["Accept-Language"])
    return response


def _thanked(request: HttpRequest, tongue: Tongue) -> HttpResponse:
    return redirect(f"{reverse('asked')}{frame(request, tongue)['lang_query']}")


@login_not_required
@require_safe
def asked(request: HttpRequest) -> HttpResponse:
    tongue = reader(request)
    context = frame(request, tongue) | {"title": tongue.words["thanks_title"]}
    response = render(request, "bookings/public_asked.html", context)
    patch_vary_headers(response, ["Accept-Language"])
    return response
