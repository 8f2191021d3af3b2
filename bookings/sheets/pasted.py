"""A pasted message as the enquiry page shows it: what is proposed, from which words."""

from __future__ import annotations

import datetime
from collections.abc import Mapping
from dataclasses import dataclass

from babel import Locale

from bookings.models import Business, Client
from bookings.queries.parties import known_clients
from bookings.rules.pasted.reading import PastedEnquiry, read_enquiry

_FIELDS = {
    "given_name": "Given name",
    "family_name": "Family name",
    "email": "Mail",
    "phone": "Telephone",
    "heads": "Heads",
    "minors": "Under 18",
    "day_from": "First day",
    "day_until": "Last day",
    "language": "Language",
    "source": "Came by",
}


@dataclass(frozen=True, slots=True)
class PastedSheet:
    """The reading with a label for each proposal, and the clients it may be from."""

    reading: PastedEnquiry
    rows: tuple[tuple[str, str], ...]
    known: tuple[Client, ...]

    @property
    def initial(self) -> Mapping[str, object]:
        return self.reading.values()


def pasted_sheet(text: str, *, business: Business, on: datetime.date) -> PastedSheet:
    """What a message proposes. Raises ValueError for a text that cannot be read."""
    reading = read_enquiry(
        text,
        on=on,
        country=business.country,
        own_mails=[business.email],
        day_first=_day_first(business.locale),
    )
    values = reading.values()
    found = known_clients(str(values.get("email", "")), str(values.get("phone", "")))
    rows = tuple(
        (_FIELDS[each.field], each.words) for each in reading.proposals if each.field in _FIELDS
    )
    return PastedSheet(reading, rows, tuple(found[:3]))


def _day_first(locale: str) -> bool:
    pattern = Locale.parse(locale).date_formats["short"].pattern
    return pattern.index("d") < pattern.index("M")
