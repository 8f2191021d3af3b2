"""What every page behind a private signing link has in common."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import wraps
from types import SimpleNamespace

from django.contrib.auth.decorators import login_not_required
from django.core.cache import cache
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone, translation

from bookings.models import Booking, Business
from bookings.queries.signing_links import OpenLink, ShutLinkError, open_link
from bookings.queries.texts import languages_published
from bookings.sheets.sign_words import WORDS, words_of

_MISSES, _WINDOW_S = 30, 600
_LOCALES = {"de": "de_DE", "en": "en_IE"}

PrivateView = Callable[..., HttpResponse]


@dataclass(frozen=True, slots=True)
class Tongue:
    """The language of a page: its words, and how days and numbers are written in it."""

    language: str
    words: Mapping[str, str]
    manner: object

    @property
    def locale(self) -> str:
        """How days are written: as the business does in its own language."""
        return str(getattr(self.manner, "locale", "en_IE"))


def private_page(view: PrivateView) -> PrivateView:
    """Opens the link and gives the view what it opens; else the page says why it does not."""

    @wraps(view)
    def opened(request: HttpRequest, token: str, *args: object, **kwargs: object) -> HttpResponse:
        at = timezone.now()
        if _tried_too_often(request):
            return closed_off(_shut(request, "too_many", 429))
        try:
            found = open_link(token, at=at)
        except ShutLinkError as shut:
            if shut.reason == "unknown":
                _count_miss(request)
            return closed_off(_shut(request, f"shut_{shut.reason}", 404))
        tongue = _tongue(request, found)
        with translation.override(tongue.language):
            try:
                return closed_off(view(request, found, tongue, token, *args, **kwargs))
            except Http404:
                return closed_off(_shut(request, "shut_else", 404))

    return login_not_required(opened)


def closed_off(response: HttpResponse) -> HttpResponse:
    """Not stored, not indexed, its address not told to the next page."""
    response["Cache-Control"] = "no-store, private"
    response.setdefault("Referrer-Policy", "no-referrer")
    response["X-Robots-Tag"] = "noindex, nofollow, noarchive"
    return response


def not_stored(response: HttpResponse) -> HttpResponse:
    """A page of the desk that no cache and no back button may show again."""
    response["Cache-Control"] = "no-store, private"
    return response


def with_form(response: HttpResponse) -> HttpResponse:
    """A page that sends a form tells the host it stands on, never its address.

    Under 'no-referrer' browsers send 'Origin: null' with a form, and it is refused as a forgery.
    """
    response["Referrer-Policy"] = "strict-origin"
    return response


def tongue_of(language: str) -> Tongue:
    """A language with its words and its way of writing days."""
    business = Business.objects.first()
    own = getattr(business, "locale", "en")
    manner = SimpleNamespace(
        locale=own if own.startswith(language) else _LOCALES.get(language, language),
        currency=getattr(business, "currency", "EUR"),
        zone=getattr(business, "zone", "UTC"),
        units=getattr(business, "units", "metric"),
    )
    return Tongue(language, words_of(language), manner)


def _tongue(request: HttpRequest, found: OpenLink) -> Tongue:
    """What was asked for, or the booker's language, or the business's own."""
    known = [*WORDS, *languages_published(at=timezone.now())]
    for language in (request.GET.get("lang", ""), _bookers_language(found), own_language()):
        if language in known:
            return tongue_of(language)
    return tongue_of("en")


def own_language() -> str:
    business = Business.objects.first()
    return business.locale.split("_")[0] if business else "en"


def _bookers_language(found: OpenLink) -> str:
    link = found.link
    person = link.person or (link.guardian.ward if link.guardian else None)
    booking = Booking.objects.filter(party=person.party_id if person else None)
    told = booking.values_list("party__client__language", flat=True).first() or ""
    return told.replace("_", "-").split("-")[0]


def _shut(request: HttpRequest, reason: str, status: int) -> HttpResponse:
    tongue = tongue_of(own_language())
    told = request.GET.get("lang", "")
    if told in WORDS:
        tongue = tongue_of(told)
    context = {"title": tongue.words["shut_title"], "w": tongue.words, "why": tongue.words[reason]}
    context["page_language"] = tongue.language
    return render(request, "bookings/sign_shut.html", context, status=status)


def _key(request: HttpRequest) -> str:
    return f"signing-miss-{request.META.get('REMOTE_ADDR', '')}"


def _tried_too_often(request: HttpRequest) -> bool:
    return int(cache.get(_key(request), 0)) >= _MISSES


def _count_miss(request: HttpRequest) -> None:
    key = _key(request)
    if not cache.add(key, 1, _WINDOW_S):
        try:
            cache.incr(key)
        except ValueError:  # ran out between the two
            cache.set(key, 1, _WINDOW_S)
