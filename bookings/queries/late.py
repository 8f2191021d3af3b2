"""Questions about late money: which papers are past their day, and what was said about them."""

from __future__ import annotations

import datetime
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from django.db.models import F, Q, QuerySet

from bookings.models import BankLine, Booking, Message, MessageKind, MoneyEntry, MoneyShare
from bookings.queries.bank import lines_to_do
from bookings.queries.money import Kind, exact_sum


def invoices_with_credit(pks: Iterable[int]) -> QuerySet[MoneyEntry]:
    """The invoices of bookings, the one due first before the others, one query.

    Each carries `booking_pk` and `credited`, what its credit notes took off, or None.
    """
    return (
        MoneyEntry.objects.filter(kind=Kind.INVOICE, shares__booking__in=list(pks))
        .annotate(booking_pk=F("shares__booking"), credited=exact_sum("credit_notes__amount"))
        .order_by("due_on", "pk")
    )


def maybe_late(
    first: datetime.date, last: datetime.date, asked: Iterable[int]
) -> QuerySet[Booking]:
    """Bookings with an invoice that was due in these days, and those that were asked already."""
    shares = MoneyShare.objects.filter(
        entry__kind=Kind.INVOICE, entry__due_on__range=(first, last), booking__isnull=False
    )
    return (
        Booking.objects.filter(Q(pk__in=shares.values("booking")) | Q(pk__in=list(asked)))
        .select_related("party__client", "trip__offer")
        .order_by("pk")
    )


def reminder_cause(booking_pk: int, due_on: datetime.date, which: str) -> str:
    """The cause of one reminder: of a booking, of the sum due on a day, and which of them it is."""
    return f"{MessageKind.REMINDER.value} booking {booking_pk} {due_on} {which}"


@dataclass(frozen=True, slots=True)
class Told:
    """What was said about the late money of a booking: for the sum due on which day, and when."""

    booking_pk: int
    due_on: str
    at: datetime.datetime


def told_about(bookings: Sequence[Booking]) -> dict[int, list[Told]]:
    """Every reminder of these bookings, by rule or by hand, the newest first; one query.

    Whatever became of it: one that was taken back was thought better of.
    """
    found: dict[int, list[Told]] = {booking.pk: [] for booking in bookings}
    parties = {booking.party_id for booking in bookings}
    rows = Message.objects.filter(kind=MessageKind.REMINDER, party__in=parties)
    for cause, at in rows.order_by("-made_at", "-pk").values_list("cause", "made_at"):
        _kind, _booking, number, due_on, *_rest = cause.split(" ")
        if int(number) in found:
            found[int(number)].append(Told(int(number), due_on, at))
    return found


def told_since(at: datetime.datetime) -> set[int]:
    """The bookings that were reminded from a moment on."""
    rows = Message.objects.filter(kind=MessageKind.REMINDER, made_at__gte=at)
    return {int(cause.split(" ")[2]) for cause in rows.values_list("cause", flat=True)}


def parties_with_money_here(pks: Iterable[int]) -> set[int]:
    """Those of the parties whose money stands on account, for no day yet."""
    rows = (
        MoneyShare.objects.filter(party__in=list(pks), booking=None)
        .order_by()
        .values_list("party")
        .annotate(sum=exact_sum("owed"))
    )
    return {pk for pk, owed in rows if owed < 0}


def all_lines_to_do() -> list[BankLine]:
    return list(lines_to_do())
