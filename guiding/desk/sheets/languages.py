"""In which language somebody reads, and our head of paper in it."""

from __future__ import annotations

from dataclasses import replace

from bookings.models import Booking, Business, Client
from guiding.papers.records import Letterhead

# The languages that papers and messages are kept in, and how a reader of each writes dates.
LOCALES = {"en": "en_IE", "de": "de_DE"}


def language_of_client(client: Client | None) -> str:
    """The language of a client, among those we write in; English for any other."""
    asked = (client.language if client else "en").split("_")[0].split("-")[0]
    return asked if asked in LOCALES else "en"


def language_of(booking: Booking | None) -> str:
    """The language of a party."""
    return language_of_client(booking.party.client if booking else None)


def language_of_house(business: Business) -> str:
    """The language of the business's own papers."""
    own = business.locale.split("_")[0]
    return own if own in LOCALES else "en"


def in_language(head: Letterhead, language: str) -> Letterhead:
    """The same head of paper for a reader of a language; nothing given leaves it as it is."""
    if not language or language == head.language:
        return head
    return replace(head, language=language, locale=LOCALES[language])
