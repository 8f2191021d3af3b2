"""What a planned day costs: rates and quantities handed to the cost sheet."""

from __future__ import annotations

import datetime
from dataclasses import dataclass, replace
from decimal import Decimal

from bookings.models import Business, Offer, Trip
from bookings.rules.money import minor_units
from bookings.rules.prices import Heads, quote_lines, quote_total
from bookings.sheets.pricing import offer_price
from guiding.costing.lines import Driver, Rate
from guiding.costing.party import (
    PartyRow,
    PartySheet,
    PrivatePrice,
    Terms,
    party_row,
    party_sheet,
    private_day_price,
)
from guiding.costing.sheet import CostSheet, LossRisk, SeasonPlan, TripUse, cost_sheet
from guiding.days.models import CostBasis, CostRate, DayPlan
from guiding.days.queries.rates import basis_on, rates_on

_PRIVATE_HEADS = 2


@dataclass(frozen=True, slots=True)
class TripCost:
    """The cost sheet of a trip with what parties of each size leave.

    `per_head` is None where the offer is not priced by the head; `rows` stand for any offer.
    """

    sheet: CostSheet
    per_head: PartySheet | None
    rows: tuple[PartyRow, ...]
    private: PrivatePrice
    private_heads: int
    wished_margin: Decimal
    currency: str


def trip_cost(*, trip: Trip, plan: DayPlan, business: Business) -> TripCost | str:
    """The estimate of a planned trip, or the sentence that says what is missing."""
    on = trip.starts_at.astimezone(business.tz).date()
    basis = basis_on(on=on)
    if basis is None:
        return (
            f"There is no cost basis for {on:%-d %B %Y}: enter what your hour is worth and what "
            "a season carries in Setup."
        )
    try:
        return _estimate(trip, plan, business, basis, on)
    except ValueError as refusal:  # an offer that cannot be priced yet, such as one without steps
        return str(refusal)


def _estimate(
    trip: Trip, plan: DayPlan, business: Business, basis: CostBasis, on: datetime.date
) -> TripCost:
    digits = minor_units(business.currency)
    rates, losses = _rates(list(rates_on(on=on)), digits)
    sheet = cost_sheet(
        rates,
        _use(plan),
        SeasonPlan(
            days_run=basis.days_run,
            days_called_off=basis.days_called_off,
            call_off_cost=_money(basis.call_off_cost, digits),
            overhead=_money(basis.overhead, digits),
        ),
        _money(basis.guide_rate, digits),
        losses,
        digits,
    )
    terms = Terms(
        fee_share=basis.fee_percent / 100,
        fee_fixed=basis.fee_fixed,
        tax_pct=trip.offer.tax_percent,
    )
    margin = basis.wished_margin_percent / 100
    sizes = range(2, max(trip.places, 4) + 1)
    return TripCost(
        sheet=sheet,
        per_head=_per_head(trip, _money(_price(trip, plan), digits), sheet, terms, sizes),
        rows=tuple(
            party_row(sheet, heads, _income(trip, plan, heads, business.currency), terms)
            for heads in sizes
        ),
        private=private_day_price(sheet, _PRIVATE_HEADS, margin, terms),
        private_heads=_PRIVATE_HEADS,
        wished_margin=margin,
        currency=business.currency,
    )


def _price(trip: Trip, plan: DayPlan) -> Decimal:
    return trip.offer.price if plan.price_per_head is None else plan.price_per_head


def _per_head(
    trip: Trip, price: Decimal, sheet: CostSheet, terms: Terms, sizes: range
) -> PartySheet | None:
    if trip.offer.basis != Offer.Basis.PER_HEAD:
        return None
    return party_sheet(sheet, price, terms, sizes[0], sizes[-1])


def _income(trip: Trip, plan: DayPlan, heads: int, currency: str) -> Decimal:
    """What a party of adults pays by the offer, its minimum charge included."""
    offer = trip.offer
    if offer.basis == Offer.Basis.PER_HEAD:
        return _money(max(_price(trip, plan) * heads, offer.minimum_charge), minor_units(currency))
    priced = replace(offer_price(offer, currency), heads_max=max(heads, offer.places))
    return quote_total(quote_lines(priced, Heads(adults=heads)))


def _rates(rows: list[CostRate], digits: int) -> tuple[list[Rate], list[LossRisk]]:
    rates = [
        Rate(Driver(row.driver), row.label, row.amount / row.per)
        for row in rows
        if row.driver != CostRate.Driver.LOSS
    ]
    losses = [
        LossRisk(row.label, _money(row.amount, digits), _plain(row.per))
        for row in rows
        if row.driver == CostRate.Driver.LOSS
    ]
    return rates, losses


def _use(plan: DayPlan) -> TripUse:
    return TripUse(
        road_km=Decimal(str(plan.road_km)),
        sand_km=Decimal(str(plan.sand_km)),
        flights=Decimal(plan.drops),
        pack_cycles=Decimal(plan.pack_cycles),
        line_m=Decimal(str(plan.line_m)),
        bait_kg=_plain(plan.bait_kg),
        rigs=Decimal(plan.rigs),
        guide_h=_plain(plan.guide_hours),
    )


def _money(amount: Decimal, digits: int) -> Decimal:
    """A sum with the digits of its currency, not with those of its column; nothing is rounded."""
    shown = amount.quantize(Decimal(1).scaleb(-digits))
    return shown if shown == amount else amount


def _plain(number: Decimal) -> Decimal:
    """A number without the noughts that its column puts behind it."""
    return number.quantize(Decimal(1)) if number == number.to_integral() else number.normalize()
