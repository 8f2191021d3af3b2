"""Packs for a plan: how many, whether charging between helps, and how many rods they serve."""

from __future__ import annotations

import math
from dataclasses import dataclass

from guiding.flying import ranges
from guiding.flying.craft import Pack
from guiding.flying.defaults import HOUSE, FlyingDefaults
from guiding.flying.sortie import (
    drops_from_energy,
    drops_in_session,
    usable_wh,
)

_COLDEST_CHARGE_C, _HOTTEST_CHARGE_C = 0, 40


@dataclass(frozen=True, slots=True)
class Charger:
    """A charger at the beach.

    `power_w` of the whole charger, shared by `slots` packs at once. `source_wh` is what feeds it
    (a battery box); None where it does not run out (a generator, mains).
    """

    power_w: float
    slots: int = 1
    source_wh: float | None = None

    def __post_init__(self) -> None:
        ranges.CHARGE_W.admit(self.power_w)
        if not 1 <= self.slots <= 20:
            raise ValueError(f"A charger with {self.slots} slots: give 1 to 20.")
        if self.source_wh is not None and not 0 <= self.source_wh <= 100_000:
            raise ValueError(f"The source holds {self.source_wh:g} Wh: give 0 to 100000.")


@dataclass(frozen=True, slots=True)
class PackPlan:
    """Whether the packs reach. `needed` counts fillings with the spare; `charges` of them are made
    on the beach."""

    drops: int
    needed: int
    owned: int
    charges: int
    enough: bool
    sentence: str


def packs_needed(drops: int, drops_per_pack: int, defaults: FlyingDefaults = HOUSE) -> int:
    """Packs to carry for a number of drops: enough full ones, rounded up, and the spare [house 1].

    drops: 0..10000; drops_per_pack: 1 or more. ValueError where a pack does not last one drop.
    """
    ranges.COUNT.admit(drops)
    if drops_per_pack < 1:
        raise ValueError(
            "A pack does not last one drop: no number of packs will do; fish nearer or lighter."
        )
    return math.ceil(drops / drops_per_pack) + defaults.spare_packs


def charge_power_w(pack: Pack, charger: Charger, defaults: FlyingDefaults = HOUSE) -> float:
    """Power that ends in a pack on one slot of a charger, in watts.

    The slot's share of the charger, less losses [house 15 %], and at most one times the pack's
    capacity an hour [common]. Refused outside 0..40 °C, where lithium packs are not to be charged
    (fire service advice on lithium batteries).
    """
    if not _COLDEST_CHARGE_C <= pack.pack_c <= _HOTTEST_CHARGE_C:
        raise ranges.RefusedError(
            f"The pack is at {pack.pack_c:g} °C and must not be charged below "
            f"{_COLDEST_CHARGE_C} or above {_HOTTEST_CHARGE_C} °C: let it come to the air's "
            "temperature in the shade or indoors first."
        )
    return min(
        charger.power_w / charger.slots * defaults.charge_share,
        pack.rated_wh * pack.health_share * defaults.charge_c_rate,
    )


def charge_min(pack: Pack, charger: Charger, defaults: FlyingDefaults = HOUSE) -> float:
    """Time to charge a pack from its reserve to full, cooling included, in minutes.

    Refused as for the power of a slot. The pack is charged to rated times health; never leave it
    alone while it charges.
    """
    into_pack_w = charge_power_w(pack, charger, defaults)
    return defaults.cool_down_min + _refill_wh(pack, defaults) / into_pack_w * 60


def charges_possible(
    pack: Pack, charger: Charger, available_min: float, defaults: FlyingDefaults = HOUSE
) -> int:
    """Packs a charger can fill on the beach in the time and from the source it has.

    available_min: from the first empty pack to the last take-off, 0..1440. ValueError outside;
    Refused as for the charging time.
    """
    if not 0 <= available_min <= 1440:
        raise ValueError(f"{available_min:g} minutes to charge in: give 0 to 1440.")
    by_time = charger.slots * math.floor(available_min / charge_min(pack, charger, defaults))
    if charger.source_wh is None:
        return by_time
    drawn_wh = _refill_wh(pack, defaults) / defaults.charge_share
    return min(by_time, math.floor(charger.source_wh / drawn_wh))


def _refill_wh(pack: Pack, defaults: FlyingDefaults) -> float:
    return pack.rated_wh * pack.health_share * (1 - defaults.reserve_share)


def plan_packs(
    drops: int,
    energy_per_drop_wh: float,
    packs: tuple[Pack, ...],
    charges: int = 0,
    defaults: FlyingDefaults = HOUSE,
) -> PackPlan:
    """Whether the packs at hand, with charging between, reach for the planned drops and a spare.

    drops: 0..10000; energy_per_drop_wh: above 0; packs: those that are fit, each as it is today;
    charges: fillings that can be made on the beach. The strongest packs are kept as the work set,
    a filling counts as much as the weakest of them, and the spare must be a pack of its own.
    """
    ranges.COUNT.admit(drops)
    ranges.COUNT.admit(charges)
    each = sorted(drops_from_energy(energy_per_drop_wh, usable_wh(p, defaults)) for p in packs)
    each = [count for count in reversed(each) if count]
    work = each[: max(len(each) - defaults.spare_packs, 0)]
    fillings = sorted(work + [work[-1]] * charges, reverse=True) if work else []
    flown, used = 0, 0
    while flown < drops and used < len(fillings):
        flown += fillings[used]
        used += 1
    enough = flown >= drops and len(each) > defaults.spare_packs
    weakest = work[-1] if work else 0
    more = math.ceil((drops - flown) / weakest) if weakest and not enough else 0
    needed = used + more + defaults.spare_packs
    return PackPlan(
        drops=drops,
        needed=needed,
        owned=len(packs),
        charges=charges,
        enough=enough,
        sentence=_pack_sentence(drops, flown, needed, len(each), charges, enough),
    )


def _pack_sentence(
    drops: int, flown: int, needed: int, fit: int, charges: int, enough: bool
) -> str:
    have = _counted(fit, "pack")
    if charges:
        have += f" and {_counted(charges, 'charge')} on the beach"
    one = fit + charges == 1
    if enough:
        carry = "carries" if one else "carry"
        return f"{have} {carry} {_counted(drops, 'drop')} with the spare kept back."
    if not flown:
        does = "does" if one else "do"
        return f"{have} {does} not carry one drop with a spare kept back: charge, borrow or cast."
    return (
        f"{_counted(drops, 'drop')} need{'s' * (drops == 1)} {_counted(needed, 'pack')} with the "
        f"spare, and there {'is' if one else 'are'} {have}, good for {_counted(flown, 'drop')}: "
        "charge between flights, or put out fewer rods."
    )


def _counted(count: int, what: str) -> str:
    return f"{count} {what}{'s' * (count != 1)}"


def rods_packs_serve(
    rods: int,
    session_min: float,
    soak_min: float,
    turn_min: float,
    energy_per_drop_wh: float,
    packs: tuple[Pack, ...],
    charges: int = 0,
    defaults: FlyingDefaults = HOUSE,
) -> int:
    """Most rods, up to those wished for, that the packs can serve all session; 0 where none.

    rods: 1..50; minutes above 0..1440; the rest as for the plan of packs.
    """
    for fewer in range(rods, 0, -1):
        drops = drops_in_session(fewer, session_min, soak_min, turn_min)
        if plan_packs(drops, energy_per_drop_wh, packs, charges, defaults).enough:
            return fewer
    return 0
