"""The facts of all open cases at once, as plain columns: one query a table, however many cases."""

from __future__ import annotations

import datetime
from dataclasses import dataclass, field
from decimal import Decimal

from django.db.models import Count, F, Q

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
# A filter takes so many numbers at a time.
_AT_ONCE = 500
_NOTE = ("party", "status", "made_at", "valid_until", "booking", "terms__balance_days")
_SHOWN = (
    "heads",
    "minors",
    "day_from",
    "day_until",
    "client__given_name",
    "client__family_name",
)
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
    asks = _asks()
    choices = _choices()
    columns = ("pk", "asked_at", "heads")
    rows = list(Party.objects.filter(state=Party.State.OPEN).values_list(*columns))
    closed = sorted((asks.keys() | choices.keys()) - {pk for pk, *_ in rows})
    wanted = [Q(party__state=Party.State.OPEN)]
    for some in (closed[n : n + _AT_ONCE] for n in range(0, len(closed), _AT_ONCE)):
        rows += Party.objects.filter(pk__in=some).values_list(*columns)
        wanted.append(Q(party__in=some))
    cases = {pk: OpenCase(pk, asked_at, heads) for pk, asked_at, heads in rows}
    for pk, since in asks.items():
        cases[pk].ask_since = since
    for pk, (since, theirs) in choices.items():
        cases[pk].choice_since, cases[pk].theirs = since, theirs
    for which in wanted:
        days = _add_words(cases, which, at)
        _add_bookings(cases, which, days)
        _add_money(cases, which)
    return list(cases.values())


def _asks() -> dict[int, datetime.datetime]:
    """Since when a party waits for an answer, the oldest of its questions."""
    return dict(
        Ask.objects.filter(answered_at=None).order_by("-asked_at").values_list("party", "asked_at")
    )


def _choices() -> dict[int, tuple[datetime.datetime, Decimal]]:
    """Who has still to say what becomes of the money of a called-off day: since when, how much."""
    rows = Settlement.objects.filter(choice=Settlement.Choice.OPEN, paid__gt=F("kept"))
    found: dict[int, tuple[datetime.datetime, Decimal]] = {}
    for party, since, paid, kept in rows.values_list(
        "booking__party", "settled_at", "paid", "kept"
    ):
        found[party] = since, found.get(party, (since, _NOTHING))[1] + paid - kept
    return found


def _add_words(
    cases: dict[int, OpenCase], wanted: Q, at: datetime.datetime
) -> dict[int, int | None]:
    """Names, places waited for and the newest price note of each.

    Gives the days of payment that were agreed, by booking.
    """
    named = Participant.objects.order_by().filter(wanted).values_list("party")
    for pk, count in named.annotate(count=Count("pk")):
        cases[pk].named = count
    waiting = Waiting.objects.filter(wanted, outcome=Waiting.Outcome.WAITS).order_by("-asked_at")
    for pk, since in waiting.values_list("party", "asked_at"):
        cases[pk].waits_since = since
    days: dict[int, int | None] = {}
    notes = Quote.objects.filter(wanted).order_by("made_at", "pk")
    for pk, status, made_at, until, booking, agreed in notes.values_list(*_NOTE):
        run_out = status == Quote.Status.SENT and until <= at
        cases[pk].quote = Quote.Status.LAPSED if run_out else status
        cases[pk].quote_at = made_at
        if status == Quote.Status.ACCEPTED and booking is not None:
            days[booking] = agreed
    return days


def _add_bookings(cases: dict[int, OpenCase], wanted: Q, days: dict[int, int | None]) -> None:
    """Bookings, newest last, with the days of payment of the price note they stand on."""
    rows = Booking.objects.filter(wanted).order_by("pk")
    for row in rows.values(*_COLUMNS, "party", starts_at=F("trip__starts_at")):
        party = row.pop("party")
        row |= {"price": row["price"] or _NOTHING, "deposit": row["deposit"] or _NOTHING}
        cases[party].bookings.append(BookedCase(**row, balance_days=days.get(row["pk"])))


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
    """The parties of a page of the inbox with their clients, in the columns it shows."""
    return Party.objects.select_related("client").only(*_SHOWN).in_bulk(pks)
