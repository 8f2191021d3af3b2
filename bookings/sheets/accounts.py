"""A booking's account as people read it: agreed, billed, paid, what is left and by when."""

from __future__ import annotations

import datetime
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal

from bookings.models import Booking, Business
from bookings.queries.bookings import full_bookings
from bookings.queries.money import Account, booking_accounts, open_booking_pks
from bookings.rules.dues import Debt, DueNow, instalments_left, overdue_amount
from bookings.rules.money import rounded_money
from bookings.sheets.pricing import booking_plan, plain


@dataclass(frozen=True, slots=True)
class BookingAccount:
    """What one booking comes to. `left` is still to be paid, `over` was paid beyond the price."""

    booking: Booking
    price: Decimal
    account: Account
    instalments: tuple[DueNow, ...]
    left: Decimal
    over: Decimal
    overdue: Decimal
    next_due: DueNow | None

    @property
    def word(self) -> str:
        """The state of the money in one word."""
        if self.over:
            return "overpaid"
        if not self.left:
            return "paid"
        if self.overdue:
            return "overdue"
        return "part paid" if self.account.paid > 0 else "unpaid"


def accounts_of(
    bookings: Sequence[Booking], *, business: Business, on: datetime.date
) -> list[BookingAccount]:
    """The accounts of bookings as of a day, in their order; one query beside the rows given."""
    accounts = booking_accounts([booking.pk for booking in bookings], on=on)
    return [_account(booking, accounts[booking.pk], business, on) for booking in bookings]


def _account(
    booking: Booking, account: Account, business: Business, on: datetime.date
) -> BookingAccount:
    """A live booking owes what was agreed; a cancelled one what it was billed for leaving."""
    live = booking.status == Booking.Status.CONFIRMED
    price = plain(booking.price or Decimal(0)) if live else account.billed
    settled = rounded_money(account.paid + account.written_off, booking.currency)
    instalments: tuple[DueNow, ...] = ()
    if live:
        plan = booking_plan(booking, business)
        instalments = instalments_left(plan, max(settled, Decimal(0)), booking.currency)
    left = rounded_money(price - settled, booking.currency)
    overdue = overdue_amount(instalments, on) if live else max(left, Decimal(0))
    return BookingAccount(
        booking=booking,
        price=rounded_money(price, booking.currency),
        account=account,
        instalments=instalments,
        left=max(left, Decimal(0)),
        over=max(-left, Decimal(0)),
        overdue=overdue,
        next_due=next((part for part in instalments if part.left), None),
    )


def debts_of(accounts: Iterable[BookingAccount], on: datetime.date) -> list[tuple[Booking, Debt]]:
    """What is still to be paid, instalment by instalment; a cancelled day's rest is due now."""
    found = []
    for each in accounts:
        for part in each.instalments:
            if part.left:
                found.append((each.booking, Debt(part.label, part.due_on, part.left)))
        if not each.instalments and each.left:
            found.append((each.booking, Debt("Left", on, each.left)))
    return found


def open_accounts(*, business: Business, on: datetime.date) -> list[BookingAccount]:
    """Every booking with money still to come or to go back, the most urgent first."""
    pks = open_booking_pks()
    found = accounts_of(list(full_bookings().filter(pk__in=pks)), business=business, on=on)
    moved = [each for each in found if each.left or each.over]
    return sorted(moved, key=lambda each: (_due(each, on), each.booking.pk))


def _due(account: BookingAccount, on: datetime.date) -> datetime.date:
    return account.next_due.due_on if account.next_due else on
