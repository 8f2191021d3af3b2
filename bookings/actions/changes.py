"""A booking changed: more or fewer heads, another day. What is shown before is what is done."""

from __future__ import annotations

import datetime
from collections.abc import Mapping

from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import F
from django.utils import timezone

from bookings.actions.locks import lock_parties, lock_trips
from bookings.actions.money.invoices import bill_exactly
from bookings.actions.money.settlements import choose
from bookings.actions.quotes import bill_first, draft_quote, trip_day, write_quote
from bookings.actions.trips import (
    confirm_booking,
    hold_places,
    let_go,
    read_booking,
    take_places,
)
from bookings.models import Booking, Business, Party, Quote, QuoteLine, Settlement, Trip
from bookings.queries.money import booking_account
from bookings.sheets.changes import DateChange, date_change, heads_change
from bookings.sheets.pricing import agreed_quote


@transaction.atomic
def change_heads(
    *, booking: Booking, heads: int, children: int = 0, at: datetime.datetime | None = None
) -> Booking:
    """More or fewer people on a booking: places, price and papers follow."""
    at = at or timezone.now()
    lock_trips([booking.trip_id])
    (party,) = lock_parties([booking.party_id])
    booking = _live(booking)
    named = party.participants.count()
    if 0 < heads < named:
        raise ValidationError(
            {"heads": f"{named} people are named. Take somebody off the list first."}
        )
    if booking.status == Booking.Status.TENTATIVE:
        if heads < 1:
            raise ValidationError({"heads": "A party of nobody: let the hold go instead."})
        _lapse_open_quotes(booking)
    else:
        _agree_anew(booking, heads, children, at)
    _take_or_give(booking, heads - booking.heads)
    booking.heads = heads
    booking.full_clean(validate_constraints=False)
    booking.save()
    _fit_party(party)
    return booking


def _fit_party(party: Party) -> None:
    """A party is as large as the largest booking that it has."""
    live = party.bookings.exclude(status=Booking.Status.CANCELLED)
    party.heads = max(live.values_list("heads", flat=True))
    party.minors = min(party.minors, party.heads)
    party.save(update_fields=["heads", "minors"])


def _agree_anew(booking: Booking, heads: int, children: int, at: datetime.datetime) -> None:
    """A new price note, agreed at once, in place of the old one; too much billed is credited."""
    business = Business.objects.get()
    on = at.astimezone(business.tz).date()
    try:
        change = heads_change(booking, heads=heads, children=children, on=on, business=business)
    except ValueError as refusal:
        raise ValidationError({"heads": str(refusal)}) from None
    old = agreed_quote(booking)
    offer = old.offer if old else booking.trip.offer
    quote = write_quote(
        change.priced,
        party=booking.party,
        offer=offer,
        heads=heads,
        children=children,
        booking=booking,
        status=Quote.Status.ACCEPTED,
        at=at,
        replaces=old,
    )
    booking.price, booking.deposit = quote.total, quote.deposit
    booking.save(update_fields=["price", "deposit"])
    if booking_account(booking).billed > quote.total:
        reason = change.why or f"The party is now {heads}"
        bill_exactly(booking=booking, amount=quote.total, reason=reason, at=at)


def _take_or_give(booking: Booking, more: int) -> None:
    if more > 0:
        take_places(booking.trip, more)
    elif more < 0:
        Trip.objects.filter(pk=booking.trip_id).update(places_taken=F("places_taken") + more)


@transaction.atomic
def move_booking(
    *, booking: Booking, trip: Trip, by: str, at: datetime.datetime | None = None
) -> Booking:
    """A booking goes to another day. The new booking; the old one is settled and cancelled."""
    at = at or timezone.now()
    lock_trips([booking.trip_id, trip.pk])
    lock_parties([booking.party_id])
    booking = _live(booking)
    if booking.status == Booking.Status.TENTATIVE:
        return _move_hold(booking, trip, at)
    business = Business.objects.get()
    on = at.astimezone(business.tz).date()
    try:
        change = date_change(booking, trip, by=by, on=on, business=business)
    except ValueError as refusal:
        raise ValidationError({"trip": str(refusal)}) from None
    new = _agreed_on(booking, trip, change, at)
    let_go(booking, by=by, choice=Settlement.Choice.MOVE, moved_to=new, at=at)
    bill_first(new, at)
    return new


def _agreed_on(booking: Booking, trip: Trip, change: DateChange, at: datetime.datetime) -> Booking:
    """The same party on another day: places, price note and confirmation in one."""
    held = hold_places(party=booking.party, trip=trip, heads=booking.heads, at=at)
    old = agreed_quote(booking)
    if old is None or trip.offer_id != booking.trip.offer_id:
        quote = draft_quote(
            party=booking.party,
            offer=trip.offer,
            heads=booking.heads,
            children=old.children if old else 0,
            booking=held,
            at=at,
        )
    else:
        quote = _copied(old, held, at)
    # What waits for its first part waits for it on the other day as well.
    new = confirm_booking(booking=held, awaits_deposit=booking.awaits_deposit, at=at)
    new.price, new.deposit = change.price, change.deposit
    new.agreed_on = at.astimezone(Business.objects.get().tz).date()
    new.save(update_fields=["price", "deposit", "agreed_on"])
    quote.status, quote.sent_at, quote.answered_at = Quote.Status.ACCEPTED, at, at
    quote.save()
    return new


@transaction.atomic
def rebook(*, settlement: Settlement, trip: Trip, at: datetime.datetime | None = None) -> Booking:
    """A party whose day was cancelled takes another one, and its money goes along."""
    at = at or timezone.now()
    lock_trips([trip.pk])
    lock_parties([settlement.booking.party_id])
    booking = read_booking(settlement.booking_id)
    business = Business.objects.get()
    on = at.astimezone(business.tz).date()
    try:
        change = date_change(booking, trip, by=settlement.by, on=on, business=business)
    except ValueError as refusal:
        raise ValidationError({"trip": str(refusal)}) from None
    new = _agreed_on(booking, trip, change, at)
    if settlement.theirs:
        choose(settlement=settlement, choice=Settlement.Choice.MOVE, moved_to=new, at=at)
    bill_first(new, at)
    return new


@transaction.atomic
def carry_out_choices(
    *,
    choices: Mapping[Settlement, Trip | str],
    at: datetime.datetime | None = None,
) -> int:
    """What all parties of a called-off day chose, in one go: all of it is done, or nothing.

    Each choice is a day to go to, or `refund` or `move` for what is theirs; how many there were.
    """
    at = at or timezone.now()
    lock_trips(choice.pk for choice in choices.values() if isinstance(choice, Trip))
    lock_parties([settlement.booking.party_id for settlement in choices])
    for settlement, choice in choices.items():
        try:
            if isinstance(choice, Trip):
                rebook(settlement=settlement, trip=choice, at=at)
            else:
                choose(settlement=settlement, choice=choice, at=at)
        except ValidationError as refusal:
            who = settlement.booking.party.client
            raise ValidationError(f"{who}: {' '.join(refusal.messages)}") from None
    return len(choices)


def _copied(old: Quote, booking: Booking, at: datetime.datetime) -> Quote:
    """The same price note for another day: the price was agreed, and stays."""
    lines = list(old.lines.all())
    quote = Quote.objects.get(pk=old.pk)
    quote.pk, quote._state.adding = None, True
    quote.booking, quote.replaces, quote.made_at = booking, None, at
    quote.status, quote.sent_at, quote.answered_at = Quote.Status.DRAFT, None, None
    quote.terms = quote.terms | trip_day(booking, Business.objects.get())
    quote.full_clean()
    quote.save()
    for line in lines:
        line.pk, line.quote = None, quote
    QuoteLine.objects.bulk_create(lines)
    return quote


def _move_hold(booking: Booking, trip: Trip, at: datetime.datetime) -> Booking:
    _lapse_open_quotes(booking)
    held = hold_places(
        party=booking.party, trip=trip, heads=booking.heads, hold_until=booking.hold_until, at=at
    )
    let_go(booking, at=at)
    return held


def _lapse_open_quotes(booking: Booking) -> None:
    """A price that nobody said yes to yet does not fit any more."""
    booking.quotes.filter(status__in=[Quote.Status.DRAFT, Quote.Status.SENT]).update(
        status=Quote.Status.LAPSED
    )


def _live(booking: Booking) -> Booking:
    booking = read_booking(booking.pk)
    if booking.status == Booking.Status.CANCELLED:
        raise ValidationError("This booking is cancelled: nothing in it can change.")
    return booking
