"""What each thing costs: wear per use from price and what is left, and its value on the books."""

from __future__ import annotations

import calendar
import datetime
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from django.db.models import Sum

from equipment.models import FlightPack, ServiceRecord, Thing
from equipment.queries.forecast import Trend, trends
from equipment.queries.gear import GearState, gear_list
from equipment.queries.lines import ReelSheet, reel_sheets, wound_on
from equipment.rules.wear import (
    DepreciationMethod,
    WearRate,
    WearUnit,
    depreciation_schedule,
    wear_rate,
)

_UNITS: dict[str, WearUnit] = {
    Thing.Kind.CRAFT: WearUnit.FLIGHT,
    Thing.Kind.VEHICLE: WearUnit.KM,
}
# Nobody retires a craft at a known count; 500 flights is one maker's 'consider replacing', halved
# for salt. Default of the house, and each thing can say its own.
USUAL_LIFE: dict[str, int] = {Thing.Kind.CRAFT: 250}


@dataclass(frozen=True, slots=True)
class Wear:
    """Cost of one more use of a thing. `rate` is None where `why` says what is missing; `spent`
    is what services have cost so far, and `service_per_unit` that over its uses."""

    thing_id: int
    kind: str
    label: str
    rate: WearRate | None
    spent: Decimal
    service_per_unit: Decimal | None
    why: str


def wear_list(
    *, on: datetime.date, things: Sequence[int] | None = None, booked: Sequence[datetime.date] = ()
) -> list[Wear]:
    """Cost of wear of every thing in use: a pack by its forecast, line by the metre, a craft by the
    flight, a vehicle by the kilometre, the rest by the trip."""
    states = gear_list(on=on, things=things)
    rows = Thing.objects.in_bulk([state.thing_id for state in states])
    packs = list(FlightPack.objects.filter(pk__in=[s.thing_id for s in states if s.pack]))
    fades = trends(packs=packs, on=on, booked=booked) if packs else {}
    spent = {
        row["thing_id"]: row["spent"]
        for row in ServiceRecord.objects.filter(struck_out_reason="", thing__in=list(rows))
        .order_by()
        .values("thing_id")
        .annotate(spent=Sum("cost"))
    }
    found = []
    for state in states:
        row = rows[state.thing_id]
        cost = spent.get(row.pk, Decimal(0))
        found.append(_wear(row, state, fades.get(row.pk), cost))
    return found


def _wear(row: Thing, state: GearState, fade: Trend | None, spent: Decimal) -> Wear:
    unit = WearUnit.CYCLE if state.pack else _UNITS.get(row.kind, WearUnit.TRIP)
    used = float(_used(state, unit))
    each = spent / Decimal(repr(used)) if used and spent else None
    why = ""
    rate = None
    if row.price is None:
        why = "No price is entered."
    else:
        try:
            rate = _rate(row, row.price, state, fade, unit, used)
        except ValueError:
            why = "Enter how many uses are expected in its life."
    return Wear(row.pk, row.kind, row.label, rate, spent, each, why)


def _rate(
    row: Thing,
    price: Decimal,
    state: GearState,
    fade: Trend | None,
    unit: WearUnit,
    used: float,
) -> WearRate:
    left = low = high = None
    expected: float | None = row.expected_uses or USUAL_LIFE.get(row.kind)
    if state.pack is not None and fade is not None:
        expected = state.pack.expected_cycles
        # The cycles left count from the last check, and some may have been flown since.
        since = state.pack.cycles - max((p.cycles for p in fade.points), default=0)
        left, low, high = (
            None if cycles is None else max(0.0, float(cycles - since))
            for cycles in (fade.forecast.cycles_left, fade.forecast.low, fade.forecast.high)
        )
    return wear_rate(
        unit=unit,
        price=price,
        salvage=row.salvage,
        used=used,
        left=left,
        left_low=low,
        left_high=high,
        expected_life=expected,
    )


def _used(state: GearState, unit: WearUnit) -> float:
    if state.pack is not None:
        return state.pack.cycles
    counts = state.counts
    return {
        WearUnit.FLIGHT: counts.flights,
        WearUnit.KM: counts.km,
        WearUnit.HOUR: counts.hours,
    }.get(unit, counts.trips)


@dataclass(frozen=True, slots=True)
class LineCost:
    """What the line on a reel costs: a metre as bought, and a trip at its logged loss."""

    sheet: ReelSheet
    per_metre: Decimal
    per_trip: Decimal | None


def line_costs(*, on: datetime.date) -> list[LineCost]:
    """Cost of line a metre and a trip, reel by reel."""
    prices = {one.line.pk: one.line.price_per_m for one in wound_on(on=on).values()}
    found = []
    for sheet in reel_sheets(on=on):
        if sheet.line_id is None or not prices[sheet.line_id]:
            continue
        price = prices[sheet.line_id]
        rate_m = sheet.trips_left.rate_m if sheet.trips_left else None
        per_trip = None if rate_m is None else price * Decimal(repr(rate_m))
        found.append(LineCost(sheet, price, per_trip))
    return found


# ---------------------------------------------------------------- the books


@dataclass(frozen=True, slots=True)
class BookYear:
    """One thing in one book year: what is written off, and what remains at its end."""

    year: int
    depreciation: Decimal
    closing: Decimal


@dataclass(frozen=True, slots=True)
class BookEntry:
    """One thing on the books: its years, and the one that was asked for."""

    thing: Thing
    method: str
    years: tuple[BookYear, ...]
    this_year: BookYear | None


def book_list(*, year: int, minor_digits: int = 2) -> list[BookEntry]:
    """Depreciation of everything that has a price, a day of purchase and years on the books; the
    first year counts by the days held."""
    rows = Thing.objects.filter(price__gt=0, bought_on__year__lte=year).order_by("kind", "label")
    return [
        _book(row, row.price, row.bought_on, row.book_life_years, year, minor_digits)
        for row in rows
        if row.price is not None and row.bought_on is not None and row.book_life_years is not None
    ]


def _book(
    row: Thing,
    price: Decimal,
    bought_on: datetime.date,
    life_years: int,
    year: int,
    minor_digits: int,
) -> BookEntry:
    schedule = depreciation_schedule(
        method=DepreciationMethod(row.book_method),
        cost=price,
        salvage=row.salvage,
        life_years=life_years,
        rate_factor=Decimal(min(2, life_years)),
        first_year_share=_first_year_share(bought_on),
        minor_digits=minor_digits,
    )
    years = tuple(
        BookYear(bought_on.year + one.year - 1, one.depreciation, one.closing) for one in schedule
    )
    if row.retired_on is not None:
        last = row.retired_on.year
        years = tuple(one for one in years if one.year <= last)
    this_year = next((one for one in years if one.year == year), None)
    return BookEntry(row, row.get_book_method_display(), years, this_year)


def _first_year_share(bought_on: datetime.date) -> Decimal:
    days = 366 if calendar.isleap(bought_on.year) else 365
    held = (datetime.date(bought_on.year, 12, 31) - bought_on).days + 1
    return Decimal(held) / Decimal(days)
