"""Money that came in, went back, was written off, or was entered by mistake."""

from __future__ import annotations

import datetime
import uuid
from collections import defaultdict
from collections.abc import Iterable, Sequence
from decimal import Decimal

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone

from bookings.actions.locks import lock_parties
from bookings.actions.money.ledger import Share, add_entry, checked_amount, written_before
from bookings.models import Booking, Business, MoneyEntry, MoneyShare, Party
from bookings.models.party import FIRST_DAY
from bookings.queries.money import booking_account, on_account
from bookings.rules.dues import split_payment
from bookings.rules.money import rounded_money
from bookings.sheets.accounts import accounts_of, debts_of

Kind, Way = MoneyEntry.Kind, MoneyEntry.Way


@transaction.atomic
def record_payment(
    *,
    party: Party,
    amount: Decimal,
    moved_on: datetime.date,
    way: str = Way.BANK,
    bookings: Sequence[Booking] = (),
    note: str = "",
    again: bool = False,
    key: uuid.UUID | None = None,
    at: datetime.datetime | None = None,
) -> MoneyEntry:
    """Money that came in: it pays what is due first, and what is over stays on account.

    Without `bookings` it pays the party's own; named ones may be another party's of the same
    client. `again` says that a second payment alike is meant.
    """
    at = at or timezone.now()
    party, *_ = _locked(party, bookings)
    if known := written_before(key, Kind.PAYMENT):
        return known
    business = Business.objects.get()
    on = at.astimezone(business.tz).date()
    amount = checked_amount(amount, business.currency)
    _check_day(moved_on, on)
    if not again:
        _refuse_twin(party, amount, moved_on, way)
    chosen = _bookings_to_pay(party, bookings)
    debts = debts_of(accounts_of(chosen, business=business, on=on), on)
    split = split_payment(amount, [debt for _booking, debt in debts], business.currency)
    sums: dict[Booking, Decimal] = defaultdict(Decimal)
    for (booking, _debt), part in zip(debts, split.parts, strict=True):
        sums[booking] += part
    shares = [Share(booking.party, booking, -part) for booking, part in sums.items() if part]
    if split.on_account:
        shares.append(Share(party, None, -split.on_account))
    return add_entry(
        kind=Kind.PAYMENT,
        amount=amount,
        shares=shares,
        moved_on=moved_on,
        way=way,
        reason=note.strip(),
        about=", ".join(dict.fromkeys(str(booking.trip.offer) for booking in sums))[:200],
        at=at,
        key=key,
    )


def _locked(party: Party, bookings: Iterable[Booking]) -> list[Party]:
    """The party and those of the bookings, locked; the party itself stands first."""
    found = lock_parties([party.pk, *(booking.party_id for booking in bookings)])
    if len({each.client_id for each in found}) > 1:
        raise ValidationError("One payment can be for bookings of one client only.")
    return sorted(found, key=lambda each: each.pk != party.pk)


def _bookings_to_pay(party: Party, bookings: Sequence[Booking]) -> list[Booking]:
    wanted = (
        Booking.objects.select_related("party__client", "trip__offer")
        .prefetch_related("quotes")
        .order_by("trip__starts_at", "pk")
    )
    if bookings:
        return list(wanted.filter(pk__in=[booking.pk for booking in bookings]))
    return list(wanted.filter(party=party))


def _check_day(moved_on: datetime.date, on: datetime.date) -> None:
    if moved_on > on:
        raise ValidationError({"moved_on": "This day is still to come. Enter money once it moved."})
    if moved_on < FIRST_DAY:
        raise ValidationError(
            {"moved_on": f"The year {moved_on.year} is long past. Check the date."}
        )


def _refuse_twin(party: Party, amount: Decimal, moved_on: datetime.date, way: str) -> None:
    twin = MoneyEntry.objects.filter(
        kind=Kind.PAYMENT,
        shares__party=party,
        amount=amount,
        moved_on=moved_on,
        way=way,
        reverses=None,
        reversed_by=None,
    ).first()
    if twin is not None:
        raise ValidationError(
            {
                "again": f"The same amount of the same day is entered already as {twin.label}. "
                "Tick here if it came a second time."
            }
        )


@transaction.atomic
def record_refund(
    *,
    party: Party,
    amount: Decimal,
    moved_on: datetime.date,
    reason: str,
    booking: Booking | None = None,
    way: str = Way.BANK,
    key: uuid.UUID | None = None,
    at: datetime.datetime | None = None,
) -> MoneyEntry:
    """Money that went back, of a booking or of the account: never more than is there."""
    at = at or timezone.now()
    (party,) = lock_parties([party.pk])
    if known := written_before(key, Kind.REFUND):
        return known
    business = Business.objects.get()
    amount = checked_amount(amount, business.currency)
    _check_day(moved_on, at.astimezone(business.tz).date())
    if not reason.strip():
        raise ValidationError({"reason": "Say what the money goes back for."})
    if booking is not None and booking.party_id != party.pk:
        raise ValidationError({"booking": "This booking is another party's."})
    most = rounded_money(_there(party, booking), business.currency)
    if amount > most:
        raise ValidationError(
            {
                "amount": f"{most} {business.currency} is there to give back, and {amount} was "
                "entered. Nothing above what was paid can go back."
            }
        )
    return add_entry(
        kind=Kind.REFUND,
        amount=amount,
        shares=[Share(party, booking, amount)],
        moved_on=moved_on,
        way=way,
        reason=reason.strip(),
        about=str(booking.trip.offer) if booking else "",
        at=at,
        key=key,
    )


def _there(party: Party, booking: Booking | None) -> Decimal:
    """What was paid on an account and has neither gone back nor moved."""
    return on_account(party) if booking is None else booking_account(booking).paid


@transaction.atomic
def write_off(
    *,
    booking: Booking,
    amount: Decimal,
    reason: str,
    key: uuid.UUID | None = None,
    at: datetime.datetime | None = None,
) -> MoneyEntry:
    """Give up on money that was billed and will not come."""
    at = at or timezone.now()
    (party,) = lock_parties([booking.party_id])
    if known := written_before(key, Kind.WRITE_OFF):
        return known
    amount = checked_amount(amount, booking.currency)
    most = rounded_money(booking_account(booking).open, booking.currency)
    if amount > most:
        raise ValidationError(
            {"amount": f"{max(most, Decimal(0))} {booking.currency} is billed and open here."}
        )
    if not reason.strip():
        raise ValidationError({"reason": "Say why the money is given up; the books ask."})
    return add_entry(
        kind=Kind.WRITE_OFF,
        amount=amount,
        shares=[Share(party, booking, -amount)],
        reason=reason.strip(),
        at=at,
        key=key,
    )


@transaction.atomic
def transfer(
    *,
    party: Party,
    amount: Decimal,
    giver: Booking | None,
    taker: Booking | None,
    reason: str,
    at: datetime.datetime | None = None,
    key: uuid.UUID | None = None,
) -> MoneyEntry:
    """Move paid money between two bookings of a party, or to and from its account."""
    at = at or timezone.now()
    (party,) = lock_parties([party.pk])
    if known := written_before(key, Kind.TRANSFER):
        return known
    if giver == taker or any(each and each.party_id != party.pk for each in (giver, taker)):
        raise ValidationError("Money moves between two accounts of one party.")
    if taker and taker.status == Booking.Status.CANCELLED:
        raise ValidationError(
            "This booking is cancelled and settled: leave the money on the party's account."
        )
    currency = Business.objects.get().currency
    amount = checked_amount(amount, currency)
    there = _there(party, giver)
    if amount > there:
        there = rounded_money(there, currency)
        raise ValidationError({"amount": f"Only {there} {currency} is there to move."})
    return add_entry(
        kind=Kind.TRANSFER,
        amount=amount,
        shares=[Share(party, giver, amount), Share(party, taker, -amount)],
        reason=reason,
        at=at,
        key=key,
    )


@transaction.atomic
def take_out(
    *,
    entry: MoneyEntry,
    reason: str,
    key: uuid.UUID | None = None,
    at: datetime.datetime | None = None,
) -> MoneyEntry:
    """Take out an entry that was made by mistake; both stay in the books."""
    at = at or timezone.now()
    shares = list(entry.shares.select_related("booking", "party"))
    lock_parties([share.party_id for share in shares])
    if known := written_before(key, MoneyEntry.Kind(entry.kind)):
        return known
    if entry.kind not in {Kind.PAYMENT, Kind.REFUND, Kind.WRITE_OFF}:
        raise ValidationError("An invoice is corrected by a credit note; this cannot be taken out.")
    if entry.reverses_id or MoneyEntry.objects.filter(reverses=entry).exists():
        raise ValidationError(f"{entry.label} is taken out already.")
    if not reason.strip():
        raise ValidationError({"reason": "Say what was wrong with it."})
    for share in shares if entry.kind == Kind.PAYMENT else ():
        _refuse_missing(share)
    return add_entry(
        kind=MoneyEntry.Kind(entry.kind),
        amount=entry.amount,
        shares=[Share(share.party, share.booking, -share.owed) for share in shares],
        moved_on=entry.moved_on,
        way=entry.way,
        reason=reason.strip(),
        reverses=entry,
        at=at,
        key=key,
    )


def _refuse_missing(share: MoneyShare) -> None:
    """A payment cannot be taken out once it has gone back or moved on."""
    if _there(share.party, share.booking) + share.owed < 0:
        raise ValidationError(
            "Part of this payment has gone back or moved to another date. Take that out first."
        )
