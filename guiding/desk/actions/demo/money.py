"""The demo's money: deposits and balances paid when they were due, one debtor, one refund."""

from __future__ import annotations

import datetime
from decimal import Decimal

from bookings.actions.money.invoices import invoice_balance
from bookings.actions.money.payments import record_payment, record_refund
from bookings.models import Booking, Business
from bookings.queries.bookings import full_bookings
from bookings.sheets.accounts import accounts_of

_DAY = datetime.timedelta(days=1)


def make_money(*, today: datetime.date, business: Business) -> None:
    """Everybody confirmed pays by the day; of the balances that are due by now one stays open.

    The first of the parties ahead has paid something twice and has it back.
    """
    bookings = list(
        full_bookings().filter(status=Booking.Status.CONFIRMED).order_by("trip__starts_at", "pk")
    )
    ahead = [each for each in bookings if each.trip.starts_at.date() > today]
    debtor = next((each for each in ahead[1:] if _balance_is_due(each, today, business)), None)
    for booking in bookings:
        _pay(booking, today, business, owes=booking == debtor)
    if ahead:
        _pay_twice(ahead[0], today, business)


def _noon(day: datetime.date, business: Business) -> datetime.datetime:
    return datetime.datetime.combine(day, datetime.time(12), business.tz)


def _balance_is_due(booking: Booking, today: datetime.date, business: Business) -> bool:
    (account,) = accounts_of([booking], business=business, on=today)
    parts = account.instalments
    return len(parts) > 1 and parts[-1].due_on <= today


def _pay(booking: Booking, today: datetime.date, business: Business, *, owes: bool) -> None:
    """Each part on the day before it is due, though never before it was agreed."""
    (account,) = accounts_of([booking], business=business, on=today)
    agreed_on = booking.agreed_on or today
    for place, part in enumerate(account.instalments):
        paid_on = max(part.due_on - _DAY, agreed_on)
        if paid_on > today or (owes and place):
            return
        at = _noon(paid_on, business)
        if place:
            invoice_balance(booking=booking, at=at)
        record_payment(
            party=booking.party, bookings=[booking], amount=part.left, moved_on=paid_on, at=at
        )


def _pay_twice(booking: Booking, today: datetime.date, business: Business) -> None:
    amount, party = Decimal(50), booking.party
    paid_on = today - _DAY
    record_payment(
        party=party,
        amount=amount + _left(booking, today, business),
        moved_on=paid_on,
        at=_noon(paid_on, business),
    )
    record_refund(
        party=party,
        amount=amount,
        moved_on=today,
        reason="paid twice by mistake",
        at=_noon(today, business),
    )


def _left(booking: Booking, today: datetime.date, business: Business) -> Decimal:
    (account,) = accounts_of([booking], business=business, on=today)
    return account.left
