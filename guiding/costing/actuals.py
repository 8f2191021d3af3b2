"""What a day did cost against what it was estimated to, and what the next estimate should use."""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from guiding.costing.lines import CostLine, Driver
from guiding.costing.rounding import _exact, _rounded


@dataclass(frozen=True, slots=True)
class Deviation:
    """One line, estimate and actual; `by_quantity + by_rate == difference`, above 0 is dearer."""

    driver: Driver
    label: str
    estimated: Decimal
    actual: Decimal
    difference: Decimal
    by_quantity: Decimal
    by_rate: Decimal
    note: str = ""


@dataclass(frozen=True, slots=True)
class ActualsSheet:
    """Estimate against actual, line by line and in sum."""

    deviations: tuple[Deviation, ...]
    estimated: Decimal
    actual: Decimal
    difference: Decimal


def actuals_sheet(
    estimate: Sequence[CostLine], actual: Sequence[CostLine], minor_digits: int = 2
) -> ActualsSheet:
    """The deviation of actual cost from the estimate, split into 'used more' and 'cost more'.

    Lines meet by driver and label; lines of one name are added up first. by quantity =
    (actual - estimated quantity) x estimated rate; by rate is the rest, so the two always add up
    to the difference. Without an estimated rate the whole difference counts as by rate; a line
    found on one side only says so. Order: the estimate's, then what was not foreseen.
    Source: the usual split of a cost variance, common practice, no source.
    """
    foreseen, spent = _by_name(estimate), _by_name(actual)
    names = [*foreseen, *(name for name in spent if name not in foreseen)]
    deviations = tuple(
        _deviation(name, foreseen.get(name), spent.get(name), minor_digits) for name in names
    )
    nothing = Decimal(0).scaleb(-minor_digits)
    estimated = sum((x.estimated for x in deviations), nothing)
    paid = sum((x.actual for x in deviations), nothing)
    return ActualsSheet(deviations, estimated, paid, paid - estimated)


def measured_rate(
    amounts: Sequence[Decimal], quantities: Sequence[Decimal], minor_digits: int = 2
) -> Decimal | None:
    """The rate the next estimate should use: all money spent over all units used, rounded.

    `amounts` and `quantities` of the same days in the same order, 0 or more. None when nothing was
    used yet, so that the rate in Setup stands. Errors: lists of different length.
    Source: common practice, no source.
    """
    if len(amounts) != len(quantities):
        raise ValueError(
            f"{len(amounts)} amounts and {len(quantities)} quantities do not pair; give one each."
        )
    spent = sum((Fraction(_exact(x, "Amount")) for x in amounts), Fraction(0))
    used = sum((Fraction(_exact(x, "Quantity")) for x in quantities), Fraction(0))
    return _rounded(spent / used, minor_digits) if used else None


def _by_name(lines: Sequence[CostLine]) -> dict[tuple[Driver, str], list[CostLine]]:
    found: dict[tuple[Driver, str], list[CostLine]] = {}
    for line in lines:
        found.setdefault((line.driver, line.label), []).append(line)
    return found


def _deviation(
    name: tuple[Driver, str],
    foreseen: list[CostLine] | None,
    spent: list[CostLine] | None,
    minor_digits: int,
) -> Deviation:
    nothing = Decimal(0).scaleb(-minor_digits)
    estimated = sum((x.amount for x in foreseen or ()), nothing)
    actual = sum((x.amount for x in spent or ()), nothing)
    by_quantity, note = actual - estimated, "not foreseen" if not foreseen else "not used"
    if foreseen and spent:
        by_quantity, note = _by_quantity(foreseen, spent, minor_digits), ""
    return Deviation(
        driver=name[0],
        label=name[1],
        estimated=estimated,
        actual=actual,
        difference=actual - estimated,
        by_quantity=by_quantity,
        by_rate=actual - estimated - by_quantity,
        note=note,
    )


def _by_quantity(foreseen: list[CostLine], spent: list[CostLine], minor_digits: int) -> Decimal:
    """What the difference in quantity alone would have cost, at the estimated rate."""
    more = sum(x.quantity for x in spent) - sum(x.quantity for x in foreseen)
    rates = {x.rate for x in foreseen}
    rate = rates.pop() if len(rates) == 1 else None
    return (
        _rounded(more * rate, minor_digits)
        if rate is not None
        else _rounded(Decimal(0), minor_digits)
    )
