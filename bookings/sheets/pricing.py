"""An offer as the rules read it, and what a party pays for it: lines, tax, deposit, terms."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from typing import Any

from bookings.models import Booking, Business, LadderStep, Offer, OfferExtra, Quote
from bookings.rules import prices
from bookings.rules.ladder import HOUSE_LADDER, Charge, Rung
from bookings.rules.money import Rounding
from bookings.rules.tax import (
    RoundedPer,
    TaxBasis,
    TaxItem,
    TaxLine,
    TaxRule,
    TaxSheet,
    tax_rules,
    tax_sheet,
)


@dataclass(frozen=True, slots=True)
class Priced:
    """What a party pays for an offer. `rates` gives the tax of each line, None is exempt.

    `terms` is what a quote freezes beside it, fit for JSON.
    """

    lines: tuple[prices.QuoteLine, ...]
    rates: tuple[Decimal | None, ...]
    tax: TaxSheet
    total: Decimal
    deposit: Decimal
    currency: str
    terms: dict[str, Any]


def price_offer(
    offer: Offer,
    *,
    business: Business,
    heads: int,
    children: int = 0,
    extras: Sequence[OfferExtra] = (),
    given_up: Sequence[prices.Extra] = (),
    steps: Sequence[prices.PriceStep] | None = None,
) -> Priced:
    """The price of an offer for a party; ValueError with a sentence where it has none.

    `given_up` are charges beside the offer: for places handed back too late. `steps` are those that
    were agreed; without them the offer's own count.
    """
    currency = business.currency
    added = [
        prices.Extra(
            label=extra.name,
            amount=plain(extra.price),
            per=prices.ExtraPer.HEAD if extra.per_head else prices.ExtraPer.PARTY,
        )
        for extra in extras
    ]
    own_rates = [offer.tax_percent if x.tax_percent is None else x.tax_percent for x in extras]
    added += given_up
    own_rates += [offer.tax_percent] * len(given_up)
    if children > heads:
        raise ValueError(f"{children} children do not fit in a party of {heads}.")
    priced_by = offer_price(offer, currency)
    if steps is not None:
        priced_by = replace(priced_by, steps=tuple(steps))
    lines = prices.quote_lines(
        priced_by,
        prices.Heads(adults=heads - children, children=children),
        added,
    )
    exempt = business.tax_exempt_reason
    base = [offer.tax_percent] * (len(lines) - len(added))
    rates = tuple(None if exempt else plain(rate) for rate in (*base, *own_rates))
    basis = TaxBasis(business.tax_basis)
    rule = tax_rules(business.country, basis)[0]
    tax = tax_sheet(
        [TaxItem(x.label, x.amount, rate) for x, rate in zip(lines, rates, strict=True)],
        basis,
        currency,
        rule,
        exempt,
    )
    return Priced(
        lines=lines,
        rates=rates,
        tax=tax,
        total=tax.gross,
        deposit=prices.deposit_due(tax.gross, offer.deposit_percent / 100, currency),
        currency=currency,
        terms=_terms(offer, business, rule)
        | {
            "extras": [_frozen_extra(extra) for extra in extras],
            "steps": [[step.from_heads, str(step.price)] for step in priced_by.steps],
            "given_up": [[charge.label, str(charge.amount)] for charge in given_up],
        },
    )


def _terms(offer: Offer, business: Business, rule: TaxRule) -> dict[str, Any]:
    return {
        "ladder": [
            [
                rung.from_days,
                rung.charge.value,
                str(rung.share),
                rung.if_refilled.value if rung.if_refilled else None,
            ]
            for rung in offer_rungs(offer)
        ],
        "deposit_percent": str(offer.deposit_percent),
        "fixed_by": str(offer.fixed_by),
        "balance_days": business.balance_days,
        "tax_rule": [rule.per.value, rule.rounding.value],
        "exempt_reason": business.tax_exempt_reason,
        "child_until_age": offer.child_until_age,
    }


def _frozen_extra(extra: OfferExtra) -> list[Any]:
    rate = None if extra.tax_percent is None else str(extra.tax_percent)
    return [extra.name, str(extra.price), extra.per_head, rate]


def agreed_extras(terms: Mapping[str, Any]) -> list[OfferExtra]:
    """The extras of a price note as they were then, whatever became of them; not to be saved."""
    return [
        OfferExtra(
            name=name,
            price=Decimal(price),
            per_head=per_head,
            tax_percent=None if rate is None else Decimal(rate),
        )
        for name, price, per_head, rate in terms.get("extras", [])
    ]


def agreed_steps(terms: Mapping[str, Any]) -> tuple[prices.PriceStep, ...]:
    """The steps of the price as they were when it was made."""
    return tuple(
        prices.PriceStep(from_heads=heads, price=Decimal(price))
        for heads, price in terms.get("steps", [])
    )


def offer_price(offer: Offer, currency: str) -> prices.OfferPrice:
    """The offer's price as the rules read it."""
    return prices.OfferPrice(
        way=prices.PriceWay(offer.basis),
        currency=currency,
        heads_max=offer.places,
        price=plain(offer.price),
        child_price=None if offer.child_price is None else plain(offer.child_price),
        minimum_charge=plain(offer.minimum_charge),
        steps=tuple(
            prices.PriceStep(from_heads=step.heads_from, price=plain(step.price))
            for step in offer.steps.all()
        ),
    )


def plain(amount: Decimal) -> Decimal:
    """The same amount without the zeros that a column of the database puts behind it."""
    return Decimal(amount).normalize() + 0


def offer_rungs(offer: Offer) -> tuple[Rung, ...]:
    """The offer's cancellation ladder; without one of its own, the house's."""
    if offer.ladder is None:
        return HOUSE_LADDER
    return ladder_rungs(offer.ladder.steps.all())


def ladder_rungs(steps: Iterable[LadderStep]) -> tuple[Rung, ...]:
    """Steps of a ladder as the rules read them."""
    return tuple(_rung(step) for step in steps) or HOUSE_LADDER


def _rung(step: LadderStep) -> Rung:
    share = plain(step.keep_percent) / 100
    of_deposit = step.base == LadderStep.Base.DEPOSIT
    charge = Charge.DEPOSIT if of_deposit else Charge.SHARE
    if not share:
        charge = Charge.DEPOSIT_MOVES if of_deposit and step.may_move else Charge.NOTHING
    return Rung(
        from_days=step.days_before,
        charge=charge,
        share=share if share else Decimal(1),
        if_refilled=Charge.DEPOSIT if step.deposit_if_refilled else None,
    )


def agreed_quote(booking: Booking) -> Quote | None:
    """The price note that a booking stands on: the newest accepted one."""
    accepted = [quote for quote in booking.quotes.all() if quote.status == Quote.Status.ACCEPTED]
    return max(accepted, key=lambda quote: (quote.answered_at, quote.pk), default=None)


def fixed_by(quote: Quote) -> Offer.FixedBy:
    """With what the day becomes the party's, as this price promised it; of old ones with the yes.

    A price without a deposit has no first part to wait for.
    """
    asked = quote.terms.get("fixed_by") if quote.deposit else None
    return Offer.FixedBy(asked or Offer.FixedBy.YES)


def booking_rungs(booking: Booking) -> tuple[Rung, ...]:
    """The ladder that was agreed; for a day booked without a price note, that of the offer."""
    quote = agreed_quote(booking)
    if quote and quote.terms.get("ladder"):
        return rungs_of(quote.terms)
    return offer_rungs(booking.trip.offer)


def rungs_of(terms: Mapping[str, Any]) -> tuple[Rung, ...]:
    """The ladder frozen in a price note."""
    return tuple(
        Rung(days, Charge(charge), Decimal(share), Charge(refilled) if refilled else None)
        for days, charge, share, refilled in terms["ladder"]
    )


def quote_tax(quote: Quote) -> TaxSheet:
    """The tax of a price note as it was worked out when it was made."""
    per, rounding = quote.terms.get("tax_rule", (RoundedPer.RATE, Rounding.HALF_UP))
    exempt = quote.terms.get("exempt_reason", "")
    items = [
        TaxItem(
            line.text,
            plain(line.amount),
            None if line.tax_percent is None else plain(line.tax_percent),
        )
        for line in quote.lines.all()
    ]
    return tax_sheet(
        items,
        TaxBasis.INCLUSIVE if quote.tax_included else TaxBasis.EXCLUSIVE,
        quote.currency,
        TaxRule(RoundedPer(per), Rounding(rounding)),
        exempt or "no tax is charged",
    )


def booking_plan(booking: Booking, business: Business) -> tuple[prices.Instalment, ...]:
    """Deposit and balance of a booking with the days they are due; nothing without a price."""
    if booking.price is None:
        return ()
    quote = agreed_quote(booking)
    days = quote.terms.get("balance_days", business.balance_days) if quote else None
    trip_on = booking.trip.starts_at.astimezone(business.tz).date()
    agreed_on = booking.agreed_on or booking.booked_at.astimezone(business.tz).date()
    return prices.instalment_plan(
        plain(booking.price),
        plain(booking.deposit or Decimal(0)),
        booking.currency,
        min(agreed_on, trip_on),
        trip_on,
        business.balance_days if days is None else days,
    )


@dataclass(frozen=True, slots=True)
class AgreedLine:
    """A line of what was agreed, with its tax."""

    text: str
    amount: Decimal
    quantity: Decimal
    unit_price: Decimal
    tax: TaxLine


def agreed_lines(booking: Booking, business: Business) -> tuple[AgreedLine, ...]:
    """What a booking comes to, line by line; they add up to its price.

    A day booked at a price without a note is one line at the rate of the offer.
    """
    quote = agreed_quote(booking)
    if quote is not None and quote.total == booking.price:
        taxed = quote_tax(quote).lines
        return tuple(
            AgreedLine(line.text, plain(line.amount), line.quantity, plain(line.unit_price), tax)
            for line, tax in zip(quote.lines.all(), taxed, strict=True)
        )
    price = plain(booking.price or Decimal(0))
    exempt = business.tax_exempt_reason
    rate = None if exempt else plain(booking.trip.offer.tax_percent)
    item = TaxItem(str(booking.trip.offer), price, rate)
    (line,) = tax_sheet([item], TaxBasis.INCLUSIVE, booking.currency, exempt_reason=exempt).lines
    return (AgreedLine(item.label, price, Decimal(1), price, line),)
