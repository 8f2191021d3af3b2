"""What a message of a trip says: its fields filled in, in the language of the one who reads it."""

from __future__ import annotations

import datetime
import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from bookings.models import Booking, Business, Client, Quote
from bookings.queries.messages import words_of
from bookings.queries.signatures import outstanding
from bookings.rules.messages import filled_text, one_line
from bookings.rules.phones import phone_text
from bookings.sheets.accounts import accounts_of
from bookings.sheets.client_words import part_awaited, yours_when
from guiding.desk.sheets.catches import catch_lines
from guiding.desk.sheets.gather import TripFile, letterhead
from guiding.desk.sheets.languages import in_language, language_of, language_of_client
from guiding.desk.sheets.trip_sheet import DECIDED_BEFORE
from guiding.papers.formats import Formats
from guiding.papers.records import AccountStatement

# What was paid goes back or waits for another day: whoever booked says which, on their own page.
_CHOICES = {
    "en": "You choose: another day, or all your money back. Say which on your own page:\n{page}",
    "de": "Sie wählen: ein anderer Tag, oder Ihr ganzes Geld zurück. Sagen Sie es auf Ihrer "
    "eigenen Seite:\n{page}",
}
_CHOSEN_BY_BOOKER = {
    "en": "Whoever booked chooses now: another day, or all the money back.",
    "de": "Wer gebucht hat, wählt jetzt: ein anderer Tag, oder das ganze Geld zurück.",
}
_BALANCE = {
    "en": (
        "{amount} is left to pay.",
        "{amount} of yours is held by us.",
        "Nothing is left to pay.",
    ),
    "de": (
        "{amount} sind noch zu zahlen.",
        "{amount} liegen als Guthaben bei uns.",
        "Es ist nichts mehr zu zahlen.",
    ),
}
_OWN_LINKS = {
    "en": "Everybody who has to sign was sent a link of their own.",
    "de": "Wer unterschreiben muss, hat einen eigenen Link bekommen.",
}
_HAND_ON = {
    "en": "{names} ({signer} signs; we know no mail address of theirs: please hand it on)",
    "de": (
        "{names} (es unterschreibt {signer}; wir kennen keine eigene Mailadresse: bitte "
        "weitergeben)"
    ),
}
_NO_CATCH = {"en": "It was good to have you with us.", "de": "Schön, dass Sie dabei waren."}


@dataclass(frozen=True, slots=True)
class Written:
    """Subject and text, ready to be looked at or sent."""

    subject: str
    body: str


def formats(business: Business, language: str) -> Formats:
    """Days, clocks and money the way a reader of this language expects them."""
    head = letterhead(
        business, number="", printed_at=datetime.datetime(2000, 1, 1, tzinfo=datetime.UTC)
    )
    return Formats(in_language(head, language))


def written(
    kind: str, language: str, values: Mapping[str, str], subject: str = "", body: str = ""
) -> Written:
    """Words with their fields filled in: those given, else those kept for the language.

    Raises ValueError for a field that is unknown or has nothing to put in.
    """
    words = words_of(kind, language)
    return Written(
        one_line(filled_text(kind, subject or words.subject, values)),
        _without_gaps(filled_text(kind, body or words.body, values)),
    )


def _without_gaps(text: str) -> str:
    """No blanks at the ends of lines, no two empty lines where a field had nothing to say."""
    lines = "\n".join(line.rstrip() for line in text.splitlines())
    return re.sub(r"\n{3,}", "\n\n", lines).strip() + "\n"


def house_values(business: Business, first_name: str) -> dict[str, str]:
    return {
        "first_name": first_name,
        "business": business.name,
        "guide": business.guide_name,
        "guide_phone": phone_text(business.phone),
    }


def trip_values(
    file: TripFile,
    booking: Booking | None,
    *,
    first_name: str = "",
    reason: str = "",
    catch: str = "",
) -> dict[str, str]:
    """What a message about a trip may name, for one party."""
    trip, business = file.trip, file.business
    language = language_of(booking)
    shape = formats(business, language)
    if booking and not first_name:
        first_name = booking.party.client.given_name
    overdue_at = file.plan.overdue_at if file.plan else None
    return house_values(business, first_name) | {
        "trip": trip.offer.name,
        "day": shape.day(shape.local(trip.starts_at).date()),
        "meet_time": shape.time(trip.starts_at),
        "meet_place": trip.meeting_place,
        "back_time": shape.time_on(trip.ends_at, shape.local(trip.starts_at).date()),
        "spot": file.plan.spot.name if file.plan else trip.meeting_place,
        "heads": str(booking.heads) if booking else "",
        "decision_time": shape.when(trip.starts_at - DECIDED_BEFORE),
        "reason": reason.strip(),
        "choices": _CHOSEN_BY_BOOKER[language],
        "catch": catch.strip() or catch_lines(file, booking, shape) or _NO_CATCH[language],
        "overdue_time": shape.when(overdue_at) if overdue_at else "–",
    }


def choices_words(language: str, page: str) -> str:
    """What may be chosen after a day was called off; without a page, that somebody else chooses."""
    return _CHOICES[language].format(page=page) if page else _CHOSEN_BY_BOOKER[language]


def statement_values(
    statement: AccountStatement, client: Client, business: Business
) -> dict[str, str]:
    language = language_of_client(client)
    shape, balance = formats(business, language), statement.balance
    owed, held, even = _BALANCE[language]
    told = owed if balance > 0 else held if balance < 0 else even
    amount = shape.money(abs(balance), statement.currency)
    return house_values(business, client.given_name) | {"balance": told.format(amount=amount)}


def signing_lines(asked: Iterable[tuple[str, str]], language: str) -> str:
    """Links to sign, a line each with whom they are for."""
    lines = [f"- {names}: {address}" for names, address in asked]
    return "\n".join(lines) or _OWN_LINKS[language]


def handed_on(names: str, signer: str, language: str) -> str:
    """For whom a link is that the booker hands on, and why it comes to them."""
    return _HAND_ON[language].format(names=names, signer=signer)


def forms_values(file: TripFile, booking: Booking, *, at: datetime.datetime) -> dict[str, str]:
    """With what is missing of one party; `missing` is empty when nothing is."""
    found = outstanding(file.trip, at=at)
    lines = [state.sentence for state in found.missing if state.booking.pk == booking.pk]
    return trip_values(file, booking) | {"missing": "\n".join(f"- {line}" for line in lines)}


def balance_values(
    file: TripFile, booking: Booking, *, on: datetime.date
) -> tuple[dict[str, str], datetime.date | None]:
    """With what is left to pay and by when; the day is None where nothing is."""
    (account,) = accounts_of([booking], business=file.business, on=on)
    due = account.next_due
    if due is None or not account.left:
        return {}, None
    language = language_of(booking)
    shape = formats(file.business, language)
    values = trip_values(file, booking) | {
        "due": shape.money(due.left, booking.currency),
        "due_day": shape.day(due.due_on),
        "yours": part_awaited(booking, language),
    }
    return values, due.due_on


def quote_values(quote: Quote, business: Business) -> dict[str, str]:
    client = quote.party.client
    language = language_of_client(client)
    shape = formats(business, language)
    return house_values(business, client.given_name) | {
        "offer": quote.offer_name,
        "total": shape.money(quote.total, quote.currency),
        "deposit": shape.money(quote.deposit, quote.currency),
        "valid_until": shape.when(quote.stands_until),
        "yours": yours_when(quote, language),
    }
