"""The language in which a client reads: theirs, or the one chosen at the top of the page."""

from __future__ import annotations

from copy import copy

from django.core.exceptions import ValidationError
from django.http import HttpRequest
from django.utils.translation import get_language_from_request

from bookings.models import Business, Party
from bookings.sheets.client_phrases import said_in
from bookings.sheets.client_words import WORDS, words_of
from bookings.views.private import Tongue, own_language

_LOCALES = {"de": "de_DE", "en": "en_IE"}


def reader(request: HttpRequest, party: Party | None = None) -> Tongue:
    """What was asked for by `?lang=`, else the client's own language, else the business's.

    `manner` is the business with the reader's way of writing days and numbers.
    """
    for language in (request.GET.get("lang", ""), _own(request, party), own_language()):
        if language in WORDS:
            return Tongue(language, words_of(language), _in_manner(language))
    return Tongue("en", words_of("en"), _in_manner("en"))


def _own(request: HttpRequest, party: Party | None) -> str:
    """Of a client we know what they read; of a stranger what their browser asks for."""
    if party is not None:
        told = party.client.language
    elif request.headers.get("Accept-Language"):
        told = get_language_from_request(request)
    else:
        return ""
    return told.replace("_", "-").split("-")[0]


def _in_manner(language: str) -> Business | None:
    business = Business.objects.first()
    if business is None or business.locale.startswith(language):
        return business
    own = copy(business)
    own.locale = _LOCALES[language]
    return own


def frame(request: HttpRequest, tongue: Tongue) -> dict[str, object]:
    """What every page of a client shows around its content, in the reader's language."""
    chosen = request.GET.get("lang", "")
    business = tongue.manner
    return {
        "w": tongue.words,
        "page_language": tongue.language,
        "business": business,
        "ring": tongue.words["ring"].format(guide=getattr(business, "guide_name", "")),
        "lang_query": f"?lang={chosen}" if chosen in WORDS else "",
        "languages": [(code, WORDS[code]["language"]) for code in WORDS if code != tongue.language],
    }


def said(refusal: ValidationError, language: str) -> ValidationError:
    """What an action refused, in the words of a language."""
    if hasattr(refusal, "error_dict"):
        return ValidationError(
            {
                name: [said_in(language, text) for text in ValidationError(errors).messages]
                for name, errors in refusal.error_dict.items()
            }
        )
    return ValidationError([said_in(language, text) for text in refusal.messages])
