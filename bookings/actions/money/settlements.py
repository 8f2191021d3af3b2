"""What happens to the money of a booking that is cancelled: the ladder decides, the client chooses.

Billed is brought to what may be charged; what was paid beyond it is the client's, to have back or
to take to another date.
"""

from __future__ import annotations

import datetime
from decimal import Decimal

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone

from bookings.actions.locks import lock_parties
from bookings.actions.money.invoices import bill_exactly
from bookings.actions.money.payments import transfer
from bookings.models import Booking, Business, Settlement
from bookings.queries.money import booking_account
from bookings.rules.ladder import Wish
from bookings.rules.money import rounded_money
from bookings.sheets.cancelling import cancellation_terms

By, Choice = Settlement.By, Settlement.Choice


@transaction.atomic
def settle(
    *,
    booking: Booking,
    by: str,
    refilled: bool = False,
    choice: str = Choice.OPEN,
    moved_to: Booking | None = None,
    at: datetime.datetime,
) -> Settlement | None:
    """Settle the money of a booking on its way out. None where there never was any.

    The caller has locked trip, party and booking, and cancels it.
    """
    business = Business.objects.get()
    account = booking_account(booking)
    if booking.price is None and not account.paid and not account.billed:
        return None
    on = at.astimezone(business.tz).date()
    terms = cancellation_terms(booking, by=by, on=on, business=business, refilled=refilled)
    if_refunded, if_moved = terms[Wish.REFUND], terms[Wish.MOVE]
    charged = if_moved.kept + if_moved.still_due
    bill_exactly(booking=booking, amount=charged, reason=if_moved.rule, at=at)
    settlement = Settlement(
        booking=booking,
        by=by,
        on=on,
        days_before=if_moved.days_before,
        rule=if_moved.rule if choice == Choice.MOVE else if_refunded.rule,
        currency=booking.currency,
        price=booking.price or Decimal(0),
        paid=rounded_money(account.paid, booking.currency),
        kept=if_moved.kept,
        still_due=if_moved.still_due,
        must_move=if_refunded.moved,
        settled_at=at,
    )
    settlement.full_clean()
    settlement.save()
    if not settlement.theirs:
        choice = Choice.REFUND  # nothing is left to choose about
    elif settlement.theirs == settlement.must_move:
        choice = Choice.MOVE
    if choice != Choice.OPEN:
        choose(settlement=settlement, choice=choice, moved_to=moved_to, at=at)
    return settlement


@transaction.atomic
def choose(
    *,
    settlement: Settlement,
    choice: str,
    moved_to: Booking | None = None,
    at: datetime.datetime | None = None,
) -> Settlement:
    """What the client wants with money that is theirs: back, or to another date.

    Moved money stands on the party's account until a new day takes it.
    """
    at = at or timezone.now()
    lock_parties([settlement.booking.party_id])
    settlement = Settlement.objects.select_for_update(of=("self",), no_key=True).get(
        pk=settlement.pk
    )
    if settlement.choice != Choice.OPEN:
        raise ValidationError("It was chosen already what happens to this money.")
    if choice not in {Choice.REFUND, Choice.MOVE}:
        raise ValidationError({"choice": "Choose money back or another date."})
    theirs = settlement.theirs
    settlement.choice, settlement.chosen_at = choice, at
    settlement.moved = theirs if choice == Choice.MOVE else settlement.must_move
    settlement.refunded = theirs - settlement.moved
    settlement.moved_to = moved_to if settlement.moved else None
    settlement.full_clean()
    settlement.save()
    if settlement.moved:
        transfer(
            party=settlement.booking.party,
            amount=settlement.moved,
            giver=settlement.booking,
            taker=moved_to,
            reason="Moved to another date",
            at=at,
        )
    return settlement
