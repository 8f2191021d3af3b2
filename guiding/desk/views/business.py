"""What every page knows of the business, and the closed door of sign-up."""

from __future__ import annotations

import zoneinfo
from collections.abc import Callable

from allauth.account.adapter import DefaultAccountAdapter
from django.conf import settings
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import Resolver404, resolve, reverse
from django.utils import timezone

from bookings.models import Business

_NAV = (
    ("Today", "today"),
    ("Diary", "diary"),
    ("Parties", "party_list"),
    ("Spots", "spot_list"),
    ("Gear", "gear"),
    ("Money", "money"),
    ("Safety", "safety"),
    ("Setup", "setup"),
)


class BusinessMiddleware:
    """Sets the business's zone; before there is a business, leads to the first run."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        business = Business.objects.first()
        request.business = business  # type: ignore[attr-defined]
        if business is None and not _open_before_the_first_run(request.path_info):
            return redirect("first_run")
        zone = zoneinfo.ZoneInfo(business.zone) if business else zoneinfo.ZoneInfo("UTC")
        with timezone.override(zone):
            return self.get_response(request)


def _open_before_the_first_run(path: str) -> bool:
    return path == reverse("first_run") or path.startswith("/static/")


def context(request: HttpRequest) -> dict[str, object]:
    """`business`, `nav` and the name of the `program` for every template."""
    business = getattr(request, "business", None)
    if not getattr(request, "user", None) or not request.user.is_authenticated:
        return {"business": business, "nav": [], "program": settings.PROGRAM}
    try:
        here = resolve(request.path_info).route.split("/")[0]
    except Resolver404:
        here = ""
    entries = [(label, reverse(name)) for label, name in _NAV]
    return {
        "business": business,
        "program": settings.PROGRAM,
        "nav": [(label, url, url.strip("/").split("/")[0] == here) for label, url in entries],
        "user_menu": [
            ("Password", reverse("account_change_password")),
            ("Second factor", reverse("mfa_index")),
        ],
    }


class ClosedSignup(DefaultAccountAdapter):
    """Logins are made in Setup by an owner, never by a stranger."""

    def is_open_for_signup(self, request: HttpRequest) -> bool:
        return False
