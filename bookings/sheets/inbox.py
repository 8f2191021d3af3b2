"""The inbox: every case that is open with the next thing it needs and the money it owes."""

from __future__ import annotations

import datetime
from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal

from bookings.models import Booking, Business, Party
from bookings.queries.inbox import BookedCase, OpenCase, open_cases, parties_of
from bookings.rules.dues import DueNow, instalments_left, overdue_amount
from bookings.rules.money import rounded_money
from bookings.rules.needs import LAST_OF_OURS, CaseFacts, Need, next_need
from bookings.rules.prices import instalment_plan

_NOTHING = Decimal(0)


@dataclass(frozen=True, slots=True)
class InboxLine:
    """A case by its number, with what it needs; `owes` is all it has still to pay."""

    party_pk: int
    need: Need
    owes: Decimal
    currency: str
    trip_at: datetime.datetime | None


@dataclass(frozen=True, slots=True)
class InboxRow:
    """A line of the inbox with its party, for a page."""

    party: Party
    need: str
    money: Decimal
    owes: Decimal
    currency: str
    since: datetime.datetime
    urgency: int
    trip_at: datetime.datetime | None


def inbox(*, business: Business, at: datetime.datetime) -> list[InboxLine]:
    """All cases to look at, by what they need next, then by how long they have waited.

    Light lines, a constant number of queries; `rows_of` fetches the parties of a page of them.
    """
    lines = [_line(case, business, at) for case in open_cases(at=at)]
    return sorted(lines, key=lambda line: (line.need.urgency, line.need.since, line.party_pk))


def rows_of(lines: Iterable[InboxLine]) -> list[InboxRow]:
    """Lines with their parties; one query."""
    lines = list(lines)
    parties = parties_of([line.party_pk for line in lines])
    return [
        InboxRow(
            party=parties[line.party_pk],
            need=line.need.words,
            money=line.need.money,
            owes=line.owes,
            currency=line.currency,
            since=line.need.since,
            urgency=line.need.urgency,
            trip_at=line.trip_at,
        )
        for line in lines
    ]


def waiting_for_us(*, business: Business, at: datetime.datetime) -> list[InboxRow]:
    """Those who wait for the guide, longest wait of the first need first."""
    lines = inbox(business=business, at=at)
    return rows_of(line for line in lines if line.need.urgency <= LAST_OF_OURS)


def _line(case: OpenCase, business: Business, at: datetime.datetime) -> InboxLine:
    on = at.astimezone(business.tz).date()
    live = [each for each in case.bookings if each.status != Booking.Status.CANCELLED]
    newest = live[-1] if live else None
    money = [_money(case, each, business) for each in case.bookings]
    plan = sorted((part for parts, _ in money for part in parts), key=lambda part: part.due_on)
    late = overdue_amount(plan, on) + _left_of_cancelled(case, money)
    owes = sum((left for _, left in money if left > 0), _NOTHING)
    over = -sum((left for _, left in money if left < 0), _NOTHING) - case.theirs
    facts = CaseFacts(
        asked_at=case.asked_at,
        heads=case.heads,
        named=case.named,
        ask_since=case.ask_since,
        quote=case.quote,
        quote_at=case.quote_at,
        booking=newest.status if newest else "",
        trip_at=newest.starts_at if newest else None,
        hold_until=newest.hold_until if newest else None,
        waits_since=case.waits_since,
        left=owes,
        overdue=late,
        due_on=next((part.due_on for part in plan if part.left), None),
        over=max(over, _NOTHING),
        choice_since=case.choice_since,
        theirs=case.theirs,
    )
    currency = case.bookings[-1].currency if case.bookings else business.currency
    need = next_need(facts, at=at, on=on)
    return InboxLine(case.pk, need, owes, currency, facts.trip_at)


def _money(
    case: OpenCase, booking: BookedCase, business: Business
) -> tuple[tuple[DueNow, ...], Decimal]:
    """The parts of a booking that are left, and what is left in all; below 0 we owe it.

    A live booking owes what was agreed, a cancelled one what it was billed for leaving.
    """
    settled = case.settled.get(booking.pk, _NOTHING)
    if booking.status != Booking.Status.CONFIRMED:
        left = case.billed.get(booking.pk, _NOTHING) - settled
        return (), rounded_money(left, booking.currency)
    left = rounded_money(booking.price - settled, booking.currency)
    if left <= 0:
        return (), left
    trip_on = booking.starts_at.astimezone(business.tz).date()
    agreed_on = booking.agreed_on or booking.booked_at.astimezone(business.tz).date()
    days = business.balance_days if booking.balance_days is None else booking.balance_days
    plan = instalment_plan(
        rounded_money(booking.price, booking.currency),
        rounded_money(booking.deposit, booking.currency),
        booking.currency,
        min(agreed_on, trip_on),
        trip_on,
        days,
    )
    paid = rounded_money(max(settled, _NOTHING), booking.currency)
    return instalments_left(plan, paid, booking.currency), left


def _left_of_cancelled(case: OpenCase, money: list[tuple[tuple[DueNow, ...], Decimal]]) -> Decimal:
    """What is still due for leaving is due at once."""
    return sum(
        (
            left
            for booking, (_, left) in zip(case.bookings, money, strict=True)
            if booking.status == Booking.Status.CANCELLED and left > 0
        ),
        _NOTHING,
    )
