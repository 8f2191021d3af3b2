"""What a message would say to a real party: for a look at its words before they are kept."""

from __future__ import annotations

import datetime

from django.conf import settings

from bookings.models import Booking, Business, Client, Quote
from bookings.rules.messages import message_fields
from bookings.sheets.late import late_money
from guiding.desk.sheets.gather import TripFile
from guiding.desk.sheets.languages import language_of
from guiding.desk.sheets.messages import (
    balance_values,
    choices_words,
    forms_values,
    quote_values,
    statement_values,
    trip_values,
)
from guiding.desk.sheets.moved import Meeting, moved_words
from guiding.desk.sheets.reminding import reminder_values
from guiding.desk.sheets.statements import account_statement

_AN_HOUR = datetime.timedelta(hours=1)


def _previewed_statement(
    client: Client, business: Business, at: datetime.datetime
) -> dict[str, str]:
    try:
        statement = account_statement(client, business=business, printed_at=at)
    except ValueError:
        return {}
    return statement_values(statement, client, business)


def preview_values(
    kind: str, file: TripFile, booking: Booking, *, at: datetime.datetime
) -> dict[str, str]:
    """All that a kind may name, from a real party; a dash where there is nothing to tell today."""
    found = trip_values(file, booking, reason="(why, in your words)")
    found |= {
        "page": f"{settings.PUBLIC_URL}/my/…/",
        "answer": f"{settings.PUBLIC_URL}/answer/…/",
        "sign": f"- {booking.party.client}: {settings.PUBLIC_URL}/sign/…/",
        "choices": choices_words(language_of(booking), f"{settings.PUBLIC_URL}/my/…/"),
    }
    if kind == "forms":
        found |= forms_values(file, booking, at=at)
    elif kind == "change":
        found["moved"] = moved_words(file, booking, Meeting.of_trip(file.trip).later(_AN_HOUR))
    elif kind == "price_note":
        quote = booking.quotes.first() or Quote.objects.first()
        found |= quote_values(quote, file.business) if quote else {}
    elif kind == "statement":
        found |= _previewed_statement(booking.party.client, file.business, at)
    elif kind == "reminder":
        late = late_money([booking], on=at.astimezone(file.business.tz).date())
        found |= reminder_values(late[booking.pk], file.business) if late else {}
    elif kind == "balance":
        found |= balance_values(file, booking, on=at.astimezone(file.business.tz).date())[0]
    return {name: found.get(name) or "–" for name in message_fields(kind)}
