"""The cancellation ladder: who cancels, when, and what was paid decide who gets what.

Whatever is cancelled, kept + refunded + moved is what was paid, to the last cent.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal
from enum import StrEnum
from fractions import Fraction
from itertools import pairwise

from bookings.rules.money import checked_money, rounded_money


class CancelledBy(StrEnum):
    """Whose side the cancellation comes from; weather, sea and authorities count as the guide's."""

    CLIENT = "client"
    GUIDE = "guide"


class Wish(StrEnum):
    """What the client wants to happen with money that is theirs."""

    REFUND = "refund"
    MOVE = "move"


class Charge(StrEnum):
    """What a rung of the ladder costs the client who cancels."""

    NOTHING = "nothing"
    DEPOSIT_MOVES = "deposit_moves"
    DEPOSIT = "deposit"
    SHARE = "share"


@dataclass(frozen=True, slots=True)
class Rung:
    """One rung: from so many days before the trip, down to the next rung.

    `share` (0 to 1) goes with Charge.SHARE, of the price, and with Charge.DEPOSIT, of the deposit.
    `if_refilled` replaces the charge when somebody else took the place; its deposit is a whole one.
    """

    from_days: int
    charge: Charge
    share: Decimal = Decimal(1)
    if_refilled: Charge | None = None


HOUSE_LADDER: tuple[Rung, ...] = (
    Rung(30, Charge.NOTHING),
    Rung(14, Charge.DEPOSIT_MOVES),
    Rung(7, Charge.DEPOSIT),
    Rung(0, Charge.SHARE, Decimal(1), if_refilled=Charge.DEPOSIT),
)
"""House default, within what guides publish: free until 30 days, the deposit moves once until 14,
stays until 7, then the whole price; a place that is filled again costs the deposit only."""


@dataclass(frozen=True, slots=True)
class Cancellation:
    """The facts of one cancellation; money in `currency`, days in the business's own zone."""

    by: CancelledBy
    cancelled_on: date
    trip_on: date
    price: Decimal
    deposit: Decimal
    paid: Decimal
    currency: str
    wish: Wish = Wish.REFUND
    refilled: bool = False
    moved_before: bool = False


@dataclass(frozen=True, slots=True)
class Settlement:
    """kept + refunded + moved = paid. `still_due` is charged beyond what was paid.

    `holds_until` is the last day on which the same rule answers, None when there is none.
    """

    kept: Decimal
    refunded: Decimal
    moved: Decimal
    still_due: Decimal
    days_before: int
    rule: str
    holds_until: date | None


@dataclass(frozen=True, slots=True)
class LadderDay:
    """A rung with its dates for one trip; the top has no `first_on`, the foot no `last_on`."""

    first_on: date | None
    last_on: date | None
    rule: str


def settle_cancellation(facts: Cancellation, ladder: Sequence[Rung] = HOUSE_LADDER) -> Settlement:
    """What is kept, refunded and moved when a booking is cancelled, with the rule that says so.

    The client's side: the rung of the day decides; on 'the deposit moves' a deposit that was moved
    once before is kept. The guide's side: everything is refunded or moved, as the client wishes.
    Money that is the client's goes back or moves by their wish. Days are counted by the calendar; a
    cancellation on or after the day of the trip stands on the lowest rung.
    Errors: negative or float money, a deposit above the price, a ladder that leaves days out.
    Source: house default, from terms that guides publish; terms must be fair where you work, check
    with your own authority.
    """
    price, deposit, paid = _checked_amounts(facts)
    days_before = (facts.trip_on - facts.cancelled_on).days
    if facts.by is CancelledBy.GUIDE:
        verb = "refunded" if facts.wish is Wish.REFUND else "moved to another date"
        rule = f"Cancelled by the guide: all that was paid is {verb}."
        return _settled(facts, paid, Decimal(0), Decimal(0), Decimal(0), days_before, rule, None)
    rungs = _checked_ladder(ladder)
    rung = next((x for x in rungs if days_before >= x.from_days), rungs[-1])
    charge = rung.charge
    if facts.refilled and rung.if_refilled is not None:
        charge = rung.if_refilled
    if charge is Charge.DEPOSIT_MOVES and facts.moved_before:
        charge = Charge.DEPOSIT
    due = _charged(charge, rung, price, deposit, facts.currency)
    kept = min(due, paid)
    moved = min(deposit, paid) if charge is Charge.DEPOSIT_MOVES else Decimal(0)
    rule = f"Cancelled by the client {_when(days_before)}: {_words(charge, rung)}"
    rule += _reason(facts, rung, charge)
    last_on = facts.trip_on - timedelta(days=rung.from_days) if rung is not rungs[-1] else None
    return _settled(facts, paid, kept, moved, due - kept, days_before, f"{rule}.", last_on)


def ladder_days(
    trip_on: date, ladder: Sequence[Rung] = HOUSE_LADDER, *, on: date
) -> tuple[LadderDay, ...]:
    """The rungs of a ladder that can still happen, with their dates for one trip.

    `trip_on` and `on`, the day it is read, in the business's own zone. What was over before `on`
    is left out, and the rung of that day has no `first_on`; the foot stays, whenever it is read.
    Errors: a ladder that leaves days out. Source: house rule.
    """
    rungs = _checked_ladder(ladder)
    days = []
    for above, rung in zip((None, *rungs), rungs, strict=False):
        first = None if above is None else trip_on - timedelta(days=above.from_days - 1)
        last = trip_on - timedelta(days=rung.from_days) if rung is not rungs[-1] else None
        if last is not None and last < on:
            continue
        first = first if first is not None and first > on else None
        words = _words(rung.charge, rung)
        if rung.if_refilled is not None:
            words += f"; if the place is filled again, {_words(rung.if_refilled, rung)}"
        days.append(LadderDay(first, last, f"{words[0].upper()}{words[1:]}."))
    return tuple(days)


def _checked_amounts(facts: Cancellation) -> tuple[Decimal, Decimal, Decimal]:
    names = ("Price", "Deposit", "Paid")
    amounts = [checked_money(x, facts.currency) for x in (facts.price, facts.deposit, facts.paid)]
    for name, amount in zip(names, amounts, strict=True):
        if amount < 0:
            raise ValueError(f"{name}: {amount} is below 0; enter 0 or more.")
    price, deposit, paid = amounts
    if deposit > price:
        raise ValueError(f"The deposit {deposit} is above the price {price}; check both.")
    return price, deposit, paid


def _checked_ladder(ladder: Sequence[Rung]) -> tuple[Rung, ...]:
    rungs = tuple(sorted(ladder, key=lambda rung: -rung.from_days))
    if not rungs or rungs[-1].from_days != 0:
        raise ValueError("The ladder leaves the last days out; add a rung from 0 days.")
    for upper, lower in pairwise(rungs):
        if upper.from_days == lower.from_days:
            raise ValueError(f"Two rungs start at {lower.from_days} days; keep one of them.")
    for rung in rungs:
        if not 0 <= rung.share <= 1:
            raise ValueError(f"Share {rung.share} is outside 0 to 1; write 50 % as 0.5.")
    return rungs


def _charged(
    charge: Charge, rung: Rung, price: Decimal, deposit: Decimal, currency: str
) -> Decimal:
    if charge is Charge.SHARE:
        return rounded_money(Fraction(price) * Fraction(rung.share), currency)
    if charge is Charge.DEPOSIT and rung.charge is Charge.DEPOSIT:
        return rounded_money(Fraction(deposit) * Fraction(rung.share), currency)
    return deposit if charge is Charge.DEPOSIT else Decimal(0)


def _settled(
    facts: Cancellation,
    paid: Decimal,
    kept: Decimal,
    moved: Decimal,
    still_due: Decimal,
    days_before: int,
    rule: str,
    holds_until: date | None,
) -> Settlement:
    theirs = paid - kept - moved
    refund = theirs if facts.wish is Wish.REFUND else Decimal(0)
    amounts = (kept, refund, paid - kept - refund, still_due)
    kept, refund, moved, still_due = (rounded_money(x, facts.currency) for x in amounts)
    return Settlement(kept, refund, moved, still_due, days_before, rule, holds_until)


def _when(days_before: int) -> str:
    if days_before < 0:
        return "after the day of the trip"
    if days_before == 0:
        return "on the day of the trip"
    return f"{days_before} day{'s' if days_before > 1 else ''} before the trip"


def _words(charge: Charge, rung: Rung) -> str:
    if charge is Charge.SHARE:
        if rung.share == 1:
            return "the whole price is charged"
        return f"{_percent(rung.share)} of the price is charged"
    if charge is Charge.DEPOSIT and rung.charge is Charge.DEPOSIT and rung.share != 1:
        return f"{_percent(rung.share)} of the deposit is kept"
    return {
        Charge.NOTHING: "nothing is charged",
        Charge.DEPOSIT_MOVES: "the deposit moves to another date, once",
        Charge.DEPOSIT: "the deposit is kept",
    }[charge]


def _percent(share: Decimal) -> str:
    return f"{(share * 100).normalize():f} %"


def _reason(facts: Cancellation, rung: Rung, charge: Charge) -> str:
    if facts.refilled and rung.if_refilled is not None:
        return ", because the place was filled again"
    if rung.charge is Charge.DEPOSIT_MOVES and charge is Charge.DEPOSIT:
        return ", because it was moved once before"
    return ""
