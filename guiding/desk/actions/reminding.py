"""Late money asked for: by rule, or by hand after a look; never twice for one thing."""

from __future__ import annotations

import datetime
import uuid
from collections.abc import Iterator

from django.contrib.auth.models import User
from django.core.exceptions import ValidationError
from django.db import transaction

from bookings.actions.locks import lock_parties
from bookings.actions.outbox import put_in_outbox
from bookings.models import Booking, Business, Message, MessageKind
from bookings.queries.late import reminder_cause
from bookings.rules.mail import Enclosed
from bookings.sheets.late import LateMoney, late_money
from guiding.desk.actions.writing import PDF, written_for
from guiding.desk.queries.due_messages import Due, due_reminder
from guiding.desk.sheets.money import entry_paper, full_entries
from guiding.desk.sheets.reminding import reminder_values

KIND = MessageKind.REMINDER


def write_reminder(due: Due, at: datetime.datetime) -> Iterator[Message | None]:
    """What a rule asks for, once more looked at: money or a mail may have come in between."""
    booking = Booking.objects.get(pk=due.booking_pk or 0)
    lock_parties([booking.party_id])
    again = due_reminder(booking.pk, at=at)
    if again is None or again.cause != due.cause:
        return
    late = _late(booking.pk, at)
    if late is not None:
        yield _put(late, cause=due.cause, at=at)


@transaction.atomic
def send_reminder(
    *,
    booking: Booking,
    subject: str = "",
    body: str = "",
    once: uuid.UUID,
    user: User | None = None,
    at: datetime.datetime,
) -> Message | None:
    """Ask for late money by hand; None where the same press sent it already.

    What a rule would say next waits its days from here on.
    """
    lock_parties([booking.party_id])
    if Message.objects.filter(kind=KIND, cause__endswith=f" by hand {once}").exists():
        return None
    late = _late(booking.pk, at)
    if late is None:
        raise ValidationError("Nothing that was billed is late here: there is nothing to ask for.")
    waits = Message.objects.filter(
        kind=KIND,
        cause__startswith=f"{KIND.value} booking {booking.pk} ",
        state__in=Message.WAITING,
    ).exists()
    if waits:
        raise ValidationError("A reminder of this waits to be sent already: see Mail.")
    cause = reminder_cause(booking.pk, late.newest, f"by hand {once}")
    try:
        return _put(late, cause=cause, at=at, subject=subject, body=body, user=user)
    except ValueError as refusal:
        raise ValidationError(str(refusal)) from None


def _late(booking_pk: int, at: datetime.datetime) -> LateMoney | None:
    booking = Booking.objects.select_related("party__client", "trip__offer").get(pk=booking_pk)
    today = at.astimezone(Business.objects.get().tz).date()
    return late_money([booking], on=today).get(booking_pk)


def _put(
    late: LateMoney,
    *,
    cause: str,
    at: datetime.datetime,
    subject: str = "",
    body: str = "",
    user: User | None = None,
) -> Message | None:
    """Into the outbox, with every late invoice; ValueError where there is no address."""
    party, client = late.booking.party, late.booking.party.client
    if not client.email:
        raise ValueError(f"{client} has no mail address.")
    values = reminder_values(late, Business.objects.get())
    words = written_for(KIND, party, values, at=at, subject=subject, body=body)
    papers = full_entries().filter(pk__in=[paper.invoice.pk for paper in late.papers])
    return put_in_outbox(
        kind=KIND,
        cause=cause,
        to_name=str(client),
        to_mail=client.email,
        subject=words.subject,
        body=words.body,
        party=party,
        trip=late.booking.trip,
        enclosed=[
            Enclosed(f"invoice-{paper.label}.pdf", PDF, entry_paper(paper))
            for paper in papers.order_by("due_on", "pk")
        ],
        by_rule=user is None and "by hand" not in cause,
        user=user,
        at=at,
    )
