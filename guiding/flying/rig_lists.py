"""What a trip's rigs take: what to tie, what to buy, what to thaw."""

from __future__ import annotations

import math
from dataclasses import dataclass

from guiding.flying import ranges
from guiding.flying.defaults import HOUSE, FlyingDefaults
from guiding.flying.ranges import RefusedError
from guiding.flying.rigs import LINE_KINDS, PartKind, Rig, strength_faults

_BAIT_G = ranges.ValidRange("Bait on one hook", "g", 0, 5000)
_HOOKS = ranges.ValidRange("Hooks on a rig", "", 1, 50)
_LOSS = ranges.ValidRange("Rigs lost per drop", "", 0, 1)
_RODS = ranges.ValidRange("Rods", "", 1, 50)


@dataclass(frozen=True, slots=True)
class Material:
    """So much of one thing: pieces, or metres of line."""

    name: str
    quantity: float
    unit: str


@dataclass(frozen=True, slots=True)
class RigPlan:
    """One recipe as a trip uses it.

    `tied` rigs are ready from before. `loss_share` None: the house figure, until the log says how
    many rigs a drop costs.
    """

    rig: Rig
    main_strength_n: float
    rods: int
    drops: int
    tied: int = 0
    loss_share: float | None = None


@dataclass(frozen=True, slots=True)
class TieLine:
    """How many rigs of a recipe to have ready, and how many of them are still to tie."""

    rig: str
    ready: int
    to_tie: int


@dataclass(frozen=True, slots=True)
class Stock:
    """What is in the box. `sold_in` is the smallest amount a shop sells, a bag of 10 or a 50 m
    spool."""

    name: str
    quantity: float
    sold_in: float = 1.0


@dataclass(frozen=True, slots=True)
class ShoppingLine:
    """What a trip needs of one thing, what is there, and what to buy."""

    name: str
    need: float
    have: float
    buy: float
    unit: str


def rigs_to_have(
    rods: int, drops: int, loss_share: float | None = None, defaults: FlyingDefaults = HOUSE
) -> int:
    """Rigs to have ready for a day: two a rod [house] and the losses to expect with a margin.

    rods: 1..50; drops: 0..10000; loss_share: rigs lost per drop, 0..1; None: 10 % [house].
    ValueError outside.
    """
    _RODS.admit(rods)
    ranges.COUNT.admit(drops)
    lost_share = _LOSS.admit(defaults.rig_loss_share if loss_share is None else loss_share)
    return math.ceil(
        rods * defaults.rigs_per_rod + round(drops * lost_share * defaults.rig_loss_factor, 9)
    )


def bait_kg(
    drops: int, hooks_per_rig: int, bait_g: float, defaults: FlyingDefaults = HOUSE
) -> float:
    """Bait to thaw for a number of drops, in kilograms, with a margin [house 15 %].

    drops: 0..10000; hooks_per_rig: 1..50; bait_g: on each hook, 0..5000. ValueError outside.
    """
    ranges.COUNT.admit(drops)
    _HOOKS.admit(hooks_per_rig)
    _BAIT_G.admit(bait_g)
    return drops * hooks_per_rig * bait_g / 1000 * (1 + defaults.bait_spare_share)


def rig_materials(rig: Rig, defaults: FlyingDefaults = HOUSE) -> tuple[Material, ...]:
    """What one rig takes: pieces of hardware, and metres of each line with its knots [house].

    Parts of the same name are added up; the order is the recipe's.
    """
    amounts: dict[tuple[str, str], float] = {}
    for part in rig.parts:
        if part.kind in LINE_KINDS:
            key, each = (part.name, "m"), part.length_m + defaults.knot_allowance_m
        else:
            key, each = (part.name, "pieces"), 1.0
        amounts[key] = amounts.get(key, 0.0) + part.count * each
    return tuple(Material(name, quantity, unit) for (name, unit), quantity in amounts.items())


def tie_list(plans: tuple[RigPlan, ...], defaults: FlyingDefaults = HOUSE) -> tuple[TieLine, ...]:
    """Rigs to tie for a trip, recipe by recipe, less those that are ready.

    Refused where a recipe's order of strength is broken: such a rig is not to be tied.
    """
    lines = []
    for plan in plans:
        _refuse_broken(plan)
        ready = rigs_to_have(plan.rods, plan.drops, plan.loss_share, defaults)
        lines.append(TieLine(plan.rig.name, ready, max(ready - plan.tied, 0)))
    return tuple(lines)


def trip_materials(
    plans: tuple[RigPlan, ...], defaults: FlyingDefaults = HOUSE
) -> tuple[Material, ...]:
    """What all rigs still to tie for a trip take together, with the fresh weak link of each drop.

    A weak link is new at every drop, so its line is counted by drops and not by rigs. Refused as
    for the tie list.
    """
    amounts: dict[tuple[str, str], float] = {}
    for plan, line in zip(plans, tie_list(plans, defaults), strict=True):
        for material in rig_materials(plan.rig, defaults):
            key = (material.name, material.unit)
            amounts[key] = amounts.get(key, 0.0) + line.to_tie * material.quantity
        fresh = max(plan.drops - line.to_tie, 0)
        for part in plan.rig.of(PartKind.WEAK_LINK):
            key, each = (part.name, "m"), part.length_m + defaults.knot_allowance_m
            amounts[key] = amounts.get(key, 0.0) + fresh * part.count * each
    return tuple(Material(name, quantity, unit) for (name, unit), quantity in amounts.items())


def trip_bait_kg(plans: tuple[RigPlan, ...], defaults: FlyingDefaults = HOUSE) -> float:
    """Bait to thaw for all rigs of a trip together, in kilograms, with a margin [house 15 %]."""
    return sum(
        bait_kg(plan.drops, plan.rig.count(PartKind.HOOK), plan.rig.bait_g, defaults)
        for plan in plans
    )


def shopping_list(
    plans: tuple[RigPlan, ...], stock: tuple[Stock, ...] = (), defaults: FlyingDefaults = HOUSE
) -> tuple[ShoppingLine, ...]:
    """What to buy for a trip's rigs: the need less the stock, in the amounts that are sold.

    stock: what is in the box, by the names of the recipes; a name that is missing counts as none.
    Things that need not be bought are listed with 0. Refused as for the tie list.
    """
    box = {item.name: item for item in stock}
    lines = []
    for material in trip_materials(plans, defaults):
        item = box.get(material.name, Stock(material.name, 0.0))
        if item.sold_in <= 0 or item.quantity < 0:
            raise ValueError(f"The stock of '{item.name}' is not a possible amount: correct it.")
        short = max(material.quantity - item.quantity, 0.0)
        buy = math.ceil(round(short / item.sold_in, 9)) * item.sold_in
        lines.append(
            ShoppingLine(material.name, material.quantity, item.quantity, buy, material.unit)
        )
    return tuple(lines)


def _refuse_broken(plan: RigPlan) -> None:
    faults = strength_faults(plan.rig, plan.main_strength_n)
    if faults:
        raise RefusedError(f"The rig '{plan.rig.name}' is not to be tied. {' '.join(faults)}")
