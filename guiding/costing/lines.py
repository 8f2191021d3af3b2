"""Cost lines of a trip: what drives each one, how much of it, at what rate, and the amount.

A rate is rounded to the minor unit before it is used, so the quantity and the rate on the sheet
multiply to the amount beside them. A share of a yearly sum (overhead, a provision) has no such
rate: its amount is worked out exactly and rounded once, and its basis is written out instead.
"""

from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum
from fractions import Fraction

from guiding.costing.rounding import _exact, _rounded


class Driver(StrEnum):
    """What makes a cost grow."""

    TRIP = "trip"
    HEAD = "head"
    KM_ROAD = "km_road"
    KM_SAND = "km_sand"
    HOUR = "hour"
    FLIGHT = "flight"
    PACK_CYCLE = "pack_cycle"
    METRE_LINE = "metre_line"
    KG_BAIT = "kg_bait"
    RIG = "rig"
    GUIDE_HOUR = "guide_hour"
    OVERHEAD = "overhead"
    LOSS = "loss"
    CALL_OFF = "call_off"


UNITS: dict[Driver, str] = {
    Driver.TRIP: "trip",
    Driver.HEAD: "head",
    Driver.KM_ROAD: "km",
    Driver.KM_SAND: "km",
    Driver.HOUR: "h",
    Driver.FLIGHT: "flight",
    Driver.PACK_CYCLE: "cycle",
    Driver.METRE_LINE: "m",
    Driver.KG_BAIT: "kg",
    Driver.RIG: "rig",
    Driver.GUIDE_HOUR: "h",
    Driver.OVERHEAD: "day",
    Driver.LOSS: "flight",
    Driver.CALL_OFF: "day",
}
"""The unit printed beside the quantity of each driver."""

_SHARES = frozenset({Driver.OVERHEAD, Driver.LOSS, Driver.CALL_OFF})


@dataclass(frozen=True, slots=True)
class Rate:
    """What one unit of a driver costs, before rounding; `amount` in the business's currency."""

    driver: Driver
    label: str
    amount: Decimal


@dataclass(frozen=True, slots=True)
class CostLine:
    """One line of a cost sheet: quantity x rate = amount, or a share with its basis in words."""

    driver: Driver
    label: str
    quantity: Decimal
    unit: str
    rate: Decimal | None
    amount: Decimal
    basis: str = ""


def rate_per_use(cost: Decimal, uses: Decimal, minor_digits: int = 2) -> Decimal:
    """The rate of one use of a thing that is bought once and used up: cost / uses, rounded.

    `cost` in money, 0 or more; `uses` above 0 (cycles of a pack, flights of a propeller set);
    `minor_digits` of the currency. 190 over 180 cycles is 1.06. Errors: uses of 0 or less.
    Source: common practice, no source.
    """
    if _exact(uses, "Uses") == 0:
        raise ValueError("Uses: 0 uses give no rate; enter how often the thing is used.")
    return _rounded(Fraction(_exact(cost, "Cost")) / Fraction(uses), minor_digits)


def cost_line(rate: Rate, quantity: Decimal, minor_digits: int = 2) -> CostLine:
    """The cost line of a driver: the rate is rounded first, then multiplied by the quantity.

    `quantity` in the driver's unit, 0 or more; `minor_digits` of the currency. Errors: a driver
    that is a share of a yearly sum has no rate (use its own function); negative or float input.
    Source: common practice, no source.
    """
    if rate.driver in _SHARES:
        raise ValueError(
            f"{rate.label}: '{rate.driver}' is a share of a yearly sum and has no rate; "
            "enter the sum and the days or flights it is spread over."
        )
    rounded_rate = _rounded(_exact(rate.amount, f"Rate of {rate.label}"), minor_digits)
    amount = _rounded(_exact(quantity, f"Quantity of {rate.label}") * rounded_rate, minor_digits)
    return CostLine(rate.driver, rate.label, quantity, UNITS[rate.driver], rounded_rate, amount)


def loss_line(
    label: str,
    flights: Decimal,
    replacement_cost: Decimal,
    flights_per_loss: Decimal,
    minor_digits: int = 2,
) -> CostLine:
    """The provision for losing a thing in flight: flights x replacement cost / flights per loss.

    `flights` of this trip, 0 or more; `replacement_cost` in money; `flights_per_loss` above 0, the
    flights after which one is lost on average (own log; no published figure is known).
    30 x 1,300 / 600 is 65.00. Errors: flights per loss of 0. Source: common practice, no source.
    """
    if _exact(flights_per_loss, "Flights per loss") == 0:
        raise ValueError("Flights per loss: 0 would lose one on every flight; enter 1 or more.")
    spread = Fraction(_exact(flights, "Flights")) / Fraction(flights_per_loss)
    amount = _rounded(spread * Fraction(_exact(replacement_cost, "Replacement cost")), minor_digits)
    basis = f"{flights} × {replacement_cost} / {flights_per_loss}"
    return CostLine(Driver.LOSS, label, flights, UNITS[Driver.LOSS], None, amount, basis)


def call_off_line(
    days_called_off: int, cost_per_call_off: Decimal, days_run: int, minor_digits: int = 2
) -> CostLine:
    """The provision for called-off days: days called off x cost of one / days run.

    Every day that runs carries its share of those that did not. `days_called_off` 0 or more,
    `days_run` 1 or more, both of one season; `cost_per_call_off` in money.
    12 x 70 / 48 is 17.50. Errors: no day run. Source: common practice, no source.
    """
    _checked_days(days_run, days_called_off)
    lost = Fraction(_exact(cost_per_call_off, "Cost of a called-off day")) * days_called_off
    basis = f"{days_called_off} × {cost_per_call_off} / {days_run}"
    return CostLine(
        Driver.CALL_OFF,
        "Provision for called-off days",
        Decimal(1),
        UNITS[Driver.CALL_OFF],
        None,
        _rounded(lost / days_run, minor_digits),
        basis,
    )


def overhead_line(overhead: Decimal, days_run: int, minor_digits: int = 2) -> CostLine:
    """The share of the season's overhead that one day carries: overhead / days run, rounded.

    `overhead` in money for the season (insurance, permits, courses, telephone), 0 or more;
    `days_run` 1 or more. 7,300 over 48 days is 152.08. Errors: no day run.
    Source: common practice, no source.
    """
    _checked_days(days_run, 0)
    amount = _rounded(Fraction(_exact(overhead, "Overhead")) / days_run, minor_digits)
    return CostLine(
        Driver.OVERHEAD,
        "Share of overhead",
        Decimal(1),
        UNITS[Driver.OVERHEAD],
        None,
        amount,
        f"{overhead} / {days_run}",
    )


def _checked_days(days_run: int, days_called_off: int) -> None:
    if days_run < 1:
        raise ValueError(f"Days run: {days_run} days cannot carry a yearly sum; enter 1 or more.")
    if days_called_off < 0:
        raise ValueError(f"Days called off: {days_called_off} is below 0; enter 0 or more.")
