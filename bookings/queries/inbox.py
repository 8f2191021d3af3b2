"""The facts of all open cases at once, as plain columns: one query a table, however many cases."""

from __future__ import annotations

import datetime
from dataclasses import dataclass, field
from decimal import Decimal

from django.db.models import Count, F, Q, QuerySet

from bookings.models import (
    Ask,
    Booking,
    MoneyEntry,
    MoneyShare,
    Participant,
    Party,
    Quote,
    Settlement,
    Waiting,
)
from bookings.queries.money import exact_sum

_NOTHING = Decimal(0)
_COLUMNS = (
    "pk",
    "status",
    "price",
    "deposit",
    "currency",
    "agreed_on",
    "booked_at",
    "hold_until",
)
_BILLED = [MoneyEntry.Kind.INVOICE, MoneyEntry.Kind.CREDIT_NOTE]


@dataclass(frozen=True, slots=True)
class BookedCase:
    """A booking in a few columns; `balance_days` are those agreed, None where none were."""

    pk: int
    status: str
    price: Decimal
    deposit: Decimal
    currency: str
    agreed_on: datetime.date | None
    booked_at: datetime.datetime
    hold_until: datetime.datetime | None
    starts_at: datetime.datetime
    balance_days: int | None


@dataclass(slots=True)
class OpenCase:
    """One open case in a few columns. `billed` and `settled` are sums by booking."""

    pk: int
    asked_at: datetime.datetime
    heads: int
    named: int = 0
    ask_since: datetime.datetime | None = None
    waits_since: datetime.datetime | None = None
    quote: str = ""
    quote_at: datetime.datetime | None = None
    choice_since: datetime.datetime | None = None
    theirs: Decimal = _NOTHING
    bookings: list[BookedCase] = field(default_factory=list)
    billed: dict[int, Decimal] = field(default_factory=dict)
    settled: dict[int, Decimal] = field(default_factory=dict)


def open_cases(*, at: datetime.datetime) -> list[OpenCase]:
    """Every case that is open, or that waits for an answer although it is closed."""
    cases = {
        pk: OpenCase(pk, asked_at, heads)
        for pk, asked_at, heads in _parties().values_list("pk", "asked_at", "heads")
    }
    wanted = Q(party__in=_parties().order_by().values("pk"))
    _add_words(cases, wanted, at)
    _add_bookings(cases, wanted)
    _add_money(cases, wanted)
    return list(cases.values())


def _parties() -> QuerySet[Party]:
    # A union, not an OR: each part goes by its own index instead of reading every party there is.
    unanswered = Ask.objects.order_by().filter(answered_at=None).values("party")
    choosing = (
        Settlement.objects.order_by()
        .filter(choice=Settlement.Choice.OPEN, paid__gt=F("kept"))
        .values("booking__party")
    )
    still_open = Party.objects.order_by().filter(state=Party.State.OPEN).values("pk")
    return Party.objects.filter(pk__in=still_open.union(unanswered, choosing))


def _add_words(cases: dict[int, OpenCase], wanted: Q, at: datetime.datetime) -> None:
    """Names, questions, places waited for, and the newest price note of each."""
    named = Participant.objects.order_by().filter(wanted).values_list("party")
    for pk, count in named.annotate(count=Count("pk")):
        cases[pk].named = count
    asks = Ask.objects.filter(wanted, answered_at=None).order_by("-asked_at")
    for pk, since in asks.values_list("party", "asked_at"):
        cases[pk].ask_since = since  # the oldest one comes last
    waiting = Waiting.objects.filter(wanted, outcome=Waiting.Outcome.WAITS).order_by("-asked_at")
    for pk, since in waiting.values_list("party", "asked_at"):
        cases[pk].waits_since = since
    notes = Quote.objects.filter(wanted).order_by("made_at", "pk")
    for pk, status, made_at, until in notes.values_list(
        "party", "status", "made_at", "valid_until"
    ):
        run_out = status == Quote.Status.SENT and until <= at
        cases[pk].quote = Quote.Status.LAPSED if run_out else status
        cases[pk].quote_at = made_at


def _add_bookings(cases: dict[int, OpenCase], wanted: Q) -> None:
    """Bookings, newest last, with the days of payment of the price note they stand on."""
    agreed = Quote.objects.filter(wanted, status=Quote.Status.ACCEPTED, booking__isnull=False)
    days = dict(agreed.order_by("answered_at", "pk").values_list("booking", "terms__balance_days"))
    rows = Booking.objects.filter(wanted).order_by("pk")
    for row in rows.values(*_COLUMNS, "party", starts_at=F("trip__starts_at")):
        party = row.pop("party")
        row |= {"price": row["price"] or _NOTHING, "deposit": row["deposit"] or _NOTHING}
        cases[party].bookings.append(BookedCase(**row, balance_days=days.get(row["pk"])))
    chosen = Settlement.objects.filter(
        booking__party__in=_parties().order_by().values("pk"),
        choice=Settlement.Choice.OPEN,
        paid__gt=F("kept"),
    )
    for party, since, paid, kept in chosen.values_list(
        "booking__party", "settled_at", "paid", "kept"
    ):
        cases[party].choice_since = since
        cases[party].theirs += paid - kept


def _add_money(cases: dict[int, OpenCase], wanted: Q) -> None:
    """What each booking was billed, and what was paid or given up of it."""
    rows = (
        MoneyShare.objects.order_by()
        .filter(wanted, booking__isnull=False)
        .values_list("party", "booking")
        .annotate(
            billed=exact_sum("owed", Q(entry__kind__in=_BILLED)),
            rest=exact_sum("owed", ~Q(entry__kind__in=_BILLED)),
        )
    )
    for party, booking, billed, rest in rows:
        cases[party].billed[booking] = billed or _NOTHING
        cases[party].settled[booking] = -(rest or _NOTHING)


def parties_of(pks: list[int]) -> dict[int, Party]:
    """The parties of a page of the inbox, with their clients."""
    return Party.objects.select_related("client", "offer").in_bulk(pks)
