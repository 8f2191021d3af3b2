"""Writes about prices in writing: drafted, sent, accepted, lapsed."""

from __future__ import annotations

import datetime
from collections.abc import Sequence
from decimal import Decimal
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import Q
from django.utils import timezone

from bookings.actions.agreed import tell_agreed
from bookings.actions.fixing import fix_paid_days
from bookings.actions.locks import lock_parties, lock_trips
from bookings.actions.money.invoices import invoice_deposit
from bookings.actions.money.payments import transfer
from bookings.actions.trips import confirm_booking, hold_places, let_go, refuse_begun
from bookings.models import Booking, Business, Offer, OfferExtra, Party, Quote, QuoteLine
from bookings.queries.money import on_account
from bookings.rules import prices
from bookings.rules.deadlines import has_lapsed, quote_lapses_at
from bookings.rules.states import QuoteState, checked_quote_move
from bookings.sheets.letterhead import both_sides
from bookings.sheets.pricing import Priced, fixed_by, price_offer

VALID_DAYS = 5  # house default


@transaction.atomic
def draft_quote(
    *,
    party: Party,
    offer: Offer,
    heads: int,
    children: int = 0,
    extras: Sequence[OfferExtra] = (),
    given_up: Sequence[prices.Extra] = (),
    booking: Booking | None = None,
    cost_estimate: dict[str, Any] | None = None,
    valid_until: datetime.datetime | None = None,
    at: datetime.datetime | None = None,
) -> Quote:
    """A price note with frozen lines; what the offer says later changes nothing in it.

    `valid_until` empty is the end of the fifth day after; a price ends when its trip begins.
    """
    at = at or timezone.now()
    if booking is not None:
        refuse_begun(booking.trip, at)
    if party.state != Party.State.OPEN:
        raise ValidationError("This case is closed. Open it again before you write a price.")
    try:
        priced = price_offer(
            offer,
            business=Business.objects.get(),
            heads=heads,
            children=children,
            extras=extras,
            given_up=given_up,
        )
    except ValueError as refusal:
        raise ValidationError(str(refusal)) from None
    return write_quote(
        priced,
        party=party,
        offer=offer,
        heads=heads,
        children=children,
        booking=booking,
        cost_estimate=cost_estimate or {},
        valid_until=valid_until,
        at=at,
    )


def write_quote(
    priced: Priced,
    *,
    party: Party,
    offer: Offer,
    at: datetime.datetime,
    status: str = Quote.Status.DRAFT,
    valid_until: datetime.datetime | None = None,
    **facts: Any,
) -> Quote:
    """A price worked out already, written down; `status` accepted for what was agreed by word."""
    answered = at if status == Quote.Status.ACCEPTED else None
    business = Business.objects.get()
    quote = Quote(
        party=party,
        offer=offer,
        offer_name=offer.name,
        offer_summary=offer.summary,
        status=status,
        made_at=at,
        sent_at=answered,
        answered_at=answered,
        valid_until=_stands_until(valid_until, facts.get("booking"), business, at),
        currency=priced.currency,
        total=priced.total,
        deposit=priced.deposit,
        tax=priced.tax.tax,
        tax_included=business.tax_basis == Business.TaxBasis.INCLUSIVE,
        terms=priced.terms
        | {"letterhead": both_sides(business, party.client), "supplied": offer.supplied}
        | trip_day(facts.get("booking"), business),
        **facts,
    )
    quote.full_clean()
    quote.save()
    QuoteLine.objects.bulk_create(_lines(quote, priced))
    return quote


def _stands_until(
    asked: datetime.datetime | None,
    booking: Booking | None,
    business: Business,
    at: datetime.datetime,
) -> datetime.datetime:
    ends = asked or quote_lapses_at(at, VALID_DAYS, business.zone)
    return min(ends, booking.trip.starts_at) if booking else ends


def trip_day(booking: Booking | None, business: Business) -> dict[str, str]:
    """The day a price is for, as a price note keeps it."""
    if booking is None:
        return {}
    return {"trip_on": booking.trip.starts_at.astimezone(business.tz).date().isoformat()}


def _lines(quote: Quote, priced: Priced) -> list[QuoteLine]:
    return [
        QuoteLine(
            quote=quote,
            position=position,
            text=line.label,
            quantity=line.quantity,
            unit_price=line.unit_price,
            amount=line.amount,
            tax_percent=rate,
        )
        for position, (line, rate) in enumerate(
            zip(priced.lines, priced.rates, strict=True), start=1
        )
    ]


@transaction.atomic
def send_quote(*, quote: Quote, at: datetime.datetime | None = None) -> Quote:
    """From here on the price stands; its lines never change again."""
    quote = _moved(quote, QuoteState.SENT)
    quote.sent_at = at or timezone.now()
    if quote.booking:
        refuse_begun(quote.booking.trip, quote.sent_at)
    if has_lapsed(quote.valid_until, quote.sent_at):
        raise ValidationError("This price note has run out already. Draft a new one.")
    quote.full_clean()
    quote.save()
    return quote


@transaction.atomic
def accept_quote(
    *, quote: Quote, read_text: str = "", at: datetime.datetime | None = None
) -> Quote:
    """The party says yes: the price is agreed, and the hold that goes with it is confirmed.

    Something may still stop the day itself: see `confirm_booking`.
    `read_text` is the fingerprint of the day terms that the client had before them.
    """
    at = at or timezone.now()
    lock_trips([quote.booking.trip_id] if quote.booking else [])
    lock_parties([quote.party_id])
    quote = _moved(quote, QuoteState.ACCEPTED)
    if quote.booking:
        refuse_begun(quote.booking.trip, at)
    if has_lapsed(quote.valid_until, at):
        raise ValidationError("This price note has run out. Ask for a new one.")
    quote.answered_at = at
    if read_text:
        quote.terms = quote.terms | {"read_text": read_text}
    if quote.booking:
        quote.booking = _still_held(quote, quote.booking, at)
    quote.full_clean()
    quote.save()
    if quote.booking:
        awaits = fixed_by(quote) == Offer.FixedBy.DEPOSIT
        booking = confirm_booking(booking=quote.booking, awaits_deposit=awaits, at=at)
        booking.price, booking.deposit = quote.total, quote.deposit
        booking.agreed_on = at.astimezone(Business.objects.get().tz).date()
        booking.save(update_fields=["price", "deposit", "agreed_on"])
        quote.booking = booking
        bill_first(booking, at)
        if fix_paid_days(at=at, only=[booking.pk]):
            booking.refresh_from_db()
        tell_agreed(trip_pk=booking.trip_id, at=at)
    return quote


def bill_first(booking: Booking, at: datetime.datetime) -> None:
    """The first invoice goes out with the yes; money that stood on account pays into it."""
    if booking.price:
        invoice_deposit(booking=booking, at=at)
    there = min(on_account(booking.party), booking.price or Decimal(0))
    if there > 0:
        transfer(
            party=booking.party,
            amount=there,
            giver=None,
            taker=booking,
            reason="Stood on account",
            at=at,
        )


def _still_held(quote: Quote, booking: Booking, at: datetime.datetime) -> Booking:
    """The hold, taken anew where it ended before the price did and nobody took the places."""
    if booking.status != Booking.Status.CANCELLED:
        return booking
    return hold_places(party=quote.party, trip=booking.trip, heads=quote.heads, at=at)


@transaction.atomic
def lapse_quotes(*, at: datetime.datetime) -> int:
    """Price notes whose time has run out, with the holds they rest on; how many there were."""
    over = Q(valid_until__lte=at) | Q(booking__trip__starts_at__lte=at)
    due = Quote.objects.filter(over, status__in=[Quote.Status.DRAFT, Quote.Status.SENT]).order_by(
        "pk"
    )
    found = dict(due.values_list("pk", "booking__trip"))
    lock_trips(trip for trip in found.values() if trip is not None)
    still = due.filter(pk__in=found).select_for_update(of=("self",), no_key=True)
    count = 0
    for quote in still:
        quote.status = Quote.Status.LAPSED
        quote.save(update_fields=["status"])
        booking = quote.booking
        if booking and booking.status == Booking.Status.TENTATIVE:
            let_go(booking, at=at)
        count += 1
    return count


def _moved(quote: Quote, to: QuoteState) -> Quote:
    quote = Quote.objects.select_for_update(of=("self",), no_key=True).get(pk=quote.pk)
    try:
        checked_quote_move(QuoteState(quote.status), to)
    except ValueError as refusal:
        raise ValidationError(str(refusal)) from None
    quote.status = to.value
    return quote
