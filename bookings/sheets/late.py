"""Money that is late: on papers, past their day, not paid, and not lying with us unread."""

from __future__ import annotations

import datetime
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from bookings.models import Booking, Business, MoneyEntry
from bookings.queries.bank import proposals
from bookings.queries.late import all_lines_to_do, invoices_with_credit, parties_with_money_here
from bookings.queries.money import NOTHING, booking_accounts
from bookings.rules.dues import instalments_left
from bookings.rules.money import rounded_money
from bookings.rules.prices import Instalment
from bookings.sheets.bank import what_is_owed


@dataclass(frozen=True, slots=True)
class LatePaper:
    """An invoice past its day, and what is open of it."""

    invoice: MoneyEntry
    due_on: datetime.date
    left: Decimal


@dataclass(frozen=True, slots=True)
class LateMoney:
    """What a booking owes on papers past their day, the oldest first."""

    booking: Booking
    papers: tuple[LatePaper, ...]

    @property
    def amount(self) -> Decimal:
        return sum((paper.left for paper in self.papers), Decimal(0))

    @property
    def since(self) -> datetime.date:
        return self.papers[0].due_on

    @property
    def newest(self) -> datetime.date:
        """When the last of it was due: another paper that comes late is asked for anew.

        No paper is due before the day it is written, so none is asked for before that.
        """
        return self.papers[-1].due_on


def late_money(bookings: Sequence[Booking], *, on: datetime.date) -> dict[int, LateMoney]:
    """What each booking owes on papers that were due before a day, by its number; two queries.

    Only what was billed: nobody is asked for a sum they have no paper of. What was paid or given
    up covers the oldest paper first. A booking that owes nothing so, cancelled or not, is left out.
    """
    pks = [booking.pk for booking in bookings]
    accounts = booking_accounts(pks, on=on)
    papers: dict[int, list[MoneyEntry]] = {}
    for invoice in invoices_with_credit(pks):
        papers.setdefault(invoice.booking_pk, []).append(invoice)  # type: ignore[attr-defined]
    found = {}
    for booking in bookings:
        account, own = accounts[booking.pk], papers.get(booking.pk, [])
        paid = rounded_money(max(account.paid + account.written_off, NOTHING), booking.currency)
        late = _late(own, paid, booking.currency, on)
        if late:
            found[booking.pk] = LateMoney(booking, late)
    return found


def _late(
    invoices: list[MoneyEntry], paid: Decimal, currency: str, on: datetime.date
) -> tuple[LatePaper, ...]:
    plan = [
        Instalment(
            each.label,
            rounded_money(each.amount - (each.credited or NOTHING), currency),  # type: ignore[attr-defined]
            each.due_on or each.on,
        )
        for each in invoices
    ]
    by_label = {each.label: each for each in invoices}
    return tuple(
        LatePaper(by_label[part.label], part.due_on, part.left)
        for part in instalments_left(plan, paid, currency)
        if part.left and part.due_on < on
    )


def perhaps_here(
    bookings: Sequence[Booking], *, business: Business, on: datetime.date
) -> dict[int, str]:
    """Bookings whose late money may lie with us already, each with where; by number.

    A line of a bank statement that may be theirs, however unsure, counts until somebody has taken
    it or set it aside: to ask for money that has come is worse than to ask a few days later.
    """
    found = {}
    rich = parties_with_money_here(booking.party_id for booking in bookings)
    for booking in bookings:
        if booking.party_id in rich:
            found[booking.pk] = "Money of theirs stands on account, for no day yet."
    lines = all_lines_to_do()
    if lines:
        wanted = {booking.pk for booking in bookings}
        for each in proposals(lines, *what_is_owed(business=business, on=on)):
            for _match, booking in each.matches:
                if booking.pk in wanted:
                    payer = each.line.payer or "no name"
                    found[booking.pk] = f"A line of the bank statement may be theirs: {payer}."
    return found
