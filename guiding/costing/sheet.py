"""The cost sheet of a trip: all lines, and the sums a price is built on."""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from guiding.costing.lines import (
    CostLine,
    Driver,
    Rate,
    call_off_line,
    cost_line,
    loss_line,
    overhead_line,
)


@dataclass(frozen=True, slots=True)
class TripUse:
    """How much of each driver one trip uses, heads aside; every quantity 0 or more."""

    road_km: Decimal = Decimal(0)
    sand_km: Decimal = Decimal(0)
    hired_h: Decimal = Decimal(0)
    flights: Decimal = Decimal(0)
    pack_cycles: Decimal = Decimal(0)
    line_m: Decimal = Decimal(0)
    bait_kg: Decimal = Decimal(0)
    rigs: Decimal = Decimal(0)
    guide_h: Decimal = Decimal(0)


@dataclass(frozen=True, slots=True)
class SeasonPlan:
    """What the days of a season carry together; money in the business's currency."""

    days_run: int
    days_called_off: int = 0
    call_off_cost: Decimal = Decimal(0)
    overhead: Decimal = Decimal(0)


@dataclass(frozen=True, slots=True)
class LossRisk:
    """A thing that is lost in flight now and then; `flights_per_loss` from the guide's own log."""

    label: str
    replacement_cost: Decimal
    flights_per_loss: Decimal


@dataclass(frozen=True, slots=True)
class CostSheet:
    """What a trip costs: `before_heads` whoever comes, `per_head` for each one more, fees aside."""

    lines: tuple[CostLine, ...]
    head_lines: tuple[CostLine, ...]
    trip_direct: Decimal
    guide_time: Decimal
    overhead: Decimal
    before_heads: Decimal
    per_head: Decimal
    guide_h: Decimal
    minor_digits: int


def cost_sheet(
    rates: Sequence[Rate],
    use: TripUse,
    season: SeasonPlan,
    guide_rate: Decimal,
    losses: Sequence[LossRisk] = (),
    minor_digits: int = 2,
) -> CostSheet:
    """The cost sheet of one trip from the rates, what the trip uses and what the season carries.

    `rates`: one line each, in this order, a driver may occur often; `guide_rate` is money per hour
    of the guide's own time (door to door, preparation included); `losses`: one provision each;
    `minor_digits` of the currency. A provision whose yearly sum is 0 prints no line.
    Errors: negative or float figures, no day run, a rate for a share.
    Source: common practice, no source.
    """
    per_trip = [r for r in rates if r.driver is not Driver.HEAD]
    lines = [cost_line(r, _quantity(use, r.driver), minor_digits) for r in per_trip]
    lines += [
        loss_line(x.label, use.flights, x.replacement_cost, x.flights_per_loss, minor_digits)
        for x in losses
    ]
    called_off = call_off_line(
        season.days_called_off, season.call_off_cost, season.days_run, minor_digits
    )
    lines += [called_off] if called_off.amount else []
    guide = cost_line(
        Rate(Driver.GUIDE_HOUR, "Guide's time", guide_rate), use.guide_h, minor_digits
    )
    overhead = overhead_line(season.overhead, season.days_run, minor_digits)
    heads = [cost_line(r, Decimal(1), minor_digits) for r in rates if r.driver is Driver.HEAD]
    return _summed((*lines, guide, overhead), tuple(heads), use.guide_h, minor_digits)


def _quantity(use: TripUse, driver: Driver) -> Decimal:
    quantities = {
        Driver.TRIP: Decimal(1),
        Driver.KM_ROAD: use.road_km,
        Driver.KM_SAND: use.sand_km,
        Driver.HOUR: use.hired_h,
        Driver.FLIGHT: use.flights,
        Driver.PACK_CYCLE: use.pack_cycles,
        Driver.METRE_LINE: use.line_m,
        Driver.KG_BAIT: use.bait_kg,
        Driver.RIG: use.rigs,
    }
    if driver not in quantities:
        raise ValueError(
            f"A rate by '{driver}' has no place among the trip's rates: the guide's time, the "
            "overhead and the provisions are entered on their own."
        )
    return quantities[driver]


def _summed(
    lines: tuple[CostLine, ...],
    head_lines: tuple[CostLine, ...],
    guide_h: Decimal,
    minor_digits: int,
) -> CostSheet:
    nothing = Decimal(0).scaleb(-minor_digits)
    guide_time = sum((x.amount for x in lines if x.driver is Driver.GUIDE_HOUR), nothing)
    overhead = sum((x.amount for x in lines if x.driver is Driver.OVERHEAD), nothing)
    before_heads = sum((x.amount for x in lines), nothing)
    return CostSheet(
        lines=lines,
        head_lines=head_lines,
        trip_direct=before_heads - guide_time - overhead,
        guide_time=guide_time,
        overhead=overhead,
        before_heads=before_heads,
        per_head=sum((x.amount for x in head_lines), nothing),
        guide_h=guide_h,
        minor_digits=minor_digits,
    )
