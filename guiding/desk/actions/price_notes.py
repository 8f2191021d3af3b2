"""A price note by mail: with its paper and a fresh link to the client's own page in both."""

from __future__ import annotations

import datetime
import uuid
from collections.abc import Iterator

from django.contrib.auth.models import User
from django.core.exceptions import ValidationError
from django.db import transaction

from bookings.actions.locks import lock_parties
from bookings.actions.outbox import put_in_outbox
from bookings.actions.quotes import send_quote
from bookings.models import Business, Message, MessageKind, Quote
from bookings.queries.messages import by_hand_of_quote
from bookings.queries.quotes import open_quotes
from bookings.rules.mail import Enclosed
from guiding.desk.actions.writing import PDF, own_page
from guiding.desk.queries.due_messages import Due
from guiding.desk.sheets.languages import language_of_client
from guiding.desk.sheets.messages import quote_values, written
from guiding.desk.sheets.money import full_quotes, quote_paper


def write_price_note(due: Due, at: datetime.datetime) -> Iterator[Message | None]:
    """By rule, once it was sent; not where somebody has mailed it by hand in between."""
    if due.quote is None:
        raise ValueError("The price note is gone.")
    lock_parties([due.quote.party_id])
    if not by_hand_of_quote(due.quote.pk).exists():
        yield _put(due.quote, cause=due.cause, at=at, by_rule=True)


@transaction.atomic
def send_price_note(
    *,
    quote: Quote,
    subject: str = "",
    body: str = "",
    once: uuid.UUID,
    user: User | None = None,
    at: datetime.datetime,
) -> Message | None:
    """Mail a price note by hand; a draft is sent with it. None where this press did it already."""
    lock_parties([quote.party_id])
    cause = f"{MessageKind.PRICE_NOTE.value} {quote.pk} by hand {once}"
    if Message.objects.filter(cause=cause).exists():
        return None
    quote = full_quotes().get(pk=quote.pk)
    if quote.status == Quote.Status.DRAFT:
        send_quote(quote=quote, at=at)
    elif not open_quotes(at=at).filter(pk=quote.pk).exists():
        raise ValidationError("This price note is no longer open: draft a new one to send.")
    try:
        return _put(quote, cause=cause, at=at, subject=subject, body=body, user=user)
    except ValueError as refusal:
        raise ValidationError(str(refusal)) from None


def _put(
    quote: Quote,
    *,
    cause: str,
    at: datetime.datetime,
    subject: str = "",
    body: str = "",
    user: User | None = None,
    by_rule: bool = False,
) -> Message | None:
    client = quote.party.client
    if not client.email:
        raise ValueError(f"{client} has no mail address.")
    page = own_page(quote.party, at=at)
    values = quote_values(quote, Business.objects.get()) | {"page": page}
    kind = MessageKind.PRICE_NOTE
    words = written(kind, language_of_client(client), values, subject, body)
    paper = quote_paper(quote, accept_at=page)
    return put_in_outbox(
        kind=kind,
        cause=cause,
        to_name=str(client),
        to_mail=client.email,
        subject=words.subject,
        body=words.body,
        party=quote.party,
        trip=quote.booking.trip if quote.booking else None,
        enclosed=(Enclosed(f"price-note-{quote.pk:05d}.pdf", PDF, paper),),
        by_rule=by_rule,
        user=user,
        at=at,
    )
