"""The cost sheet of a day: lines by driver, totals, break-evens, and what each party earns."""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from guiding.papers.records.letterhead import Letterhead


@dataclass(frozen=True, slots=True)
class CostRow:
    """One line of cost: what, by which driver, how many of which unit, at which rate.

    `quantity` and `rate` may be None where the amount is not a product (a share, a provision
    with its own sum); `basis` then says how it comes about. `provision` marks money set aside.
    """

    name: str
    driver: str
    amount: Decimal
    quantity: Decimal | None = None
    unit: str = ""
    rate: Decimal | None = None
    basis: str = ""
    provision: bool = False


@dataclass(frozen=True, slots=True)
class CostSection:
    """Lines that add up to a total with a name."""

    title: str
    rows: tuple[CostRow, ...]
    total_label: str
    total: Decimal


@dataclass(frozen=True, slots=True)
class PartyRow:
    """What a party of a size brings. `margin_share` is of income, 0 to 1, None without income."""

    heads: int
    income: Decimal
    after_costs: Decimal
    earned_per_hour: Decimal | None = None
    margin_share: Decimal | None = None


@dataclass(frozen=True, slots=True)
class Figure:
    """A result with its name; `detail` says how it comes about.

    Exactly one of `amount`, `count` and `share` is given: money, a number of heads, or a share
    of 0 to 1.
    """

    label: str
    amount: Decimal | None = None
    count: int | None = None
    share: Decimal | None = None
    detail: str = ""

    def __post_init__(self) -> None:
        given = [value for value in (self.amount, self.count, self.share) if value is not None]
        if len(given) != 1:
            raise ValueError(
                f"The figure {self.label!r} must have exactly one of amount, count and share."
            )


@dataclass(frozen=True, slots=True)
class CostSheet:
    """The cost sheet of one day.

    `sections` in the order in which they add up (trip, time, overhead; then per head);
    `results` are the totals, break-evens and the price. `estimated` is False when the lines are
    what the day really cost; `compared` then holds the estimate to set against, label by label.
    """

    letterhead: Letterhead
    title: str
    day: date
    sections: tuple[CostSection, ...]
    results: tuple[Figure, ...]
    parties: tuple[PartyRow, ...] = ()
    spot_name: str = ""
    heads: int | None = None
    currency: str = ""
    estimated: bool = True
    compared: tuple[tuple[str, Decimal, Decimal], ...] = ()
    notes: tuple[str, ...] = ()
