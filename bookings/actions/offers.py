"""Writes about offers. What was quoted keeps the offer as it was; the change counts from now on."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from decimal import Decimal
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction

from bookings.models import (
    Business,
    CancellationLadder,
    LadderStep,
    Offer,
    OfferExtra,
    OfferStep,
)
from bookings.rules import prices
from bookings.rules.money import checked_money
from bookings.sheets.pricing import offer_price


@transaction.atomic
def save_offer(*, offer: Offer | None = None, **fields: Any) -> Offer:
    """A new offer, or an old one with new terms; refused when it could not be priced."""
    offer = offer or Offer()
    for name, value in fields.items():
        setattr(offer, name, value)
    if offer.fishing_hours > offer.hours:
        raise ValidationError({"fishing_hours": "The fishing is longer than the whole day."})
    if offer.valid_from and offer.valid_until and offer.valid_until < offer.valid_from:
        raise ValidationError({"valid_until": "The offer ends before it begins."})
    offer.full_clean()
    offer.save()
    _check_price(offer)
    return offer


@transaction.atomic
def set_steps(*, offer: Offer, steps: Sequence[tuple[int, Decimal]]) -> None:
    """The steps of an offer, all anew; refused when the offer could not be priced with them."""
    offer = Offer.objects.select_for_update(of=("self",)).get(pk=offer.pk)
    if len({heads for heads, _ in steps}) < len(steps):
        raise ValidationError("Two steps begin at the same number of heads. Take one out.")
    offer.steps.all().delete()
    for heads, price in steps:
        step = OfferStep(offer=offer, heads_from=heads, price=price)
        step.full_clean()
        step.save()
    _check_steps(offer)


def _check_steps(offer: Offer) -> None:
    """Price every size of party once: gaps and steps that fall are found here, not later."""
    if offer.basis != Offer.Basis.STEPS:
        return
    terms = offer_price(offer, Business.objects.values_list("currency", flat=True).get())
    try:
        for heads in range(1, offer.places + 1):
            prices.quote_lines(terms, prices.Heads(adults=heads))
    except ValueError as refusal:
        raise ValidationError(str(refusal)) from None


@transaction.atomic
def save_extra(*, offer: Offer, extra: OfferExtra | None = None, **fields: Any) -> OfferExtra:
    """Something that can be added to an offer; price notes already made keep it as it was."""
    extra = extra or OfferExtra(offer=offer)
    for name, value in fields.items():
        setattr(extra, name, value)
    try:
        checked_money(extra.price, Business.objects.values_list("currency", flat=True).get())
    except ValueError as refusal:
        raise ValidationError({"price": str(refusal)}) from None
    if offer.extras.filter(name__iexact=extra.name).exclude(pk=extra.pk).exists():
        raise ValidationError({"name": f"{offer} has {extra.name} already."})
    extra.full_clean()
    extra.save()
    return extra


@transaction.atomic
def remove_extra(*, extra: OfferExtra) -> None:
    """Off the offer; price notes already made keep it."""
    extra.delete()


@transaction.atomic
def save_ladder(
    *, ladder: CancellationLadder | None = None, name: str, steps: Sequence[Mapping[str, Any]]
) -> CancellationLadder:
    """A cancellation ladder with all its steps; price notes already made keep theirs."""
    ladder = ladder or CancellationLadder()
    ladder.name = name.strip()
    ladder.full_clean()
    if not steps:
        raise ValidationError("A ladder needs one step at least.")
    days = [step["days_before"] for step in steps]
    if len(set(days)) < len(days):
        raise ValidationError("Two steps begin on the same day. Take one out.")
    if min(days) > 0:
        raise ValidationError("Say what holds on the day itself: add a step of 0 days.")
    ladder.save()
    ladder.steps.all().delete()
    for fields in steps:
        step = LadderStep(ladder=ladder, **fields)
        step.full_clean()
        step.save()
    return ladder


def _check_price(offer: Offer) -> None:
    """Price the smallest party once: an amount finer than the currency is found here, not later."""
    if offer.basis == Offer.Basis.STEPS and not offer.steps.exists():
        return  # the steps are entered next
    currency = Business.objects.values_list("currency", flat=True).get()
    try:
        prices.quote_lines(offer_price(offer, currency), prices.Heads(adults=1))
        if offer.child_price is not None and offer.places > 1:
            prices.quote_lines(offer_price(offer, currency), prices.Heads(adults=1, children=1))
    except ValueError as refusal:
        raise ValidationError({"price": str(refusal)}) from None
