"""What a reminder of late money says: what is owed, since when, on which paper, and how to pay."""

from __future__ import annotations

from bookings.models import Business
from bookings.sheets.late import LateMoney
from bookings.sheets.letterhead import our_side
from bookings.sheets.paying import ways_to_pay
from guiding.desk.sheets.languages import language_of
from guiding.desk.sheets.messages import formats, house_values
from guiding.desk.sheets.paying import other_ways
from guiding.papers.formats import Formats

_WORDS = {
    "en": {
        "paper": "- Invoice {label} of {on}, due {due_on}: {left} open",
        "pay": "How to pay {due}:",
        "to": "To: {name}",
        "reference": "Payment reference: {reference}",
    },
    "de": {
        "paper": "- Rechnung {label} vom {on}, fällig {due_on}: {left} offen",
        "pay": "So zahlen Sie {due}:",
        "to": "Empfänger: {name}",
        "reference": "Zahlungsreferenz: {reference}",
    },
}


def reminder_values(late: LateMoney, business: Business) -> dict[str, str]:
    """What a reminder may name, in the language of the one who booked."""
    booking = late.booking
    language = language_of(booking)
    shape, words = formats(business, language), _WORDS[language]
    lines = [
        words["paper"].format(
            label=paper.invoice.label,
            on=shape.short_day(paper.invoice.on),
            due_on=shape.short_day(paper.due_on),
            left=shape.money(paper.left, booking.currency),
        )
        for paper in late.papers
    ]
    return house_values(business, booking.party.client.given_name) | {
        "trip": booking.trip.offer.name,
        "day": shape.day(shape.local(booking.trip.starts_at).date()),
        "due": shape.money(late.amount, booking.currency),
        "since": shape.day(late.since),
        "invoices": "\n".join(lines),
        "pay": _how(late, business, shape, words),
    }


def _how(late: LateMoney, business: Business, shape: Formats, words: dict[str, str]) -> str:
    """Where to send it; the newest of the papers lends its reference to one payment of all."""
    language = shape.words.language
    ways = ways_to_pay(
        our_side(business), language=language, invoice=late.papers[-1].invoice, amount=late.amount
    )
    lines = [
        words["pay"].format(due=shape.money(late.amount, late.booking.currency)),
        words["to"].format(name=ways.account_name) if ways.account_name else "",
        *ways.lines,
        *(f"{name}: {number}" for name, number in ways.numbers),
        words["reference"].format(reference=ways.reference),
        *other_ways(ways, language),
    ]
    return "\n".join(filter(None, lines))
