"""The answer to 'how many drops, and when must it turn back': model, log and pack together."""

from __future__ import annotations

import math
from dataclasses import dataclass

from guiding.flying.craft import Craft, Pack
from guiding.flying.defaults import HOUSE, FlyingDefaults
from guiding.flying.flight import DropFlight
from guiding.flying.learned import LearnedUse, LoggedDrop, learned_use
from guiding.flying.sortie import (
    Sortie,
    drops_from_energy,
    sortie,
    turn_back_share,
    usable_wh,
)


@dataclass(frozen=True, slots=True)
class DropEstimate:
    """One drop planned on one pack.

    `drops` at the expected energy; `drops_low` and `drops_high` at the ends of the band.
    `turn_back_percent` is rounded up, to be read off a gauge. `note` says why there is no drop.
    """

    model: Sortie
    use: LearnedUse
    usable_wh: float
    drops: int
    drops_low: int
    drops_high: int
    turn_back_percent: int
    note: str


def drop_estimate(
    craft: Craft,
    pack: Pack,
    flight: DropFlight,
    log: tuple[LoggedDrop, ...] = (),
    defaults: FlyingDefaults = HOUSE,
) -> DropEstimate:
    """Energy, time, percent and drops per pack of a planned drop, with the level to turn back at.

    log: the craft's logged drops, oldest first; ten or more replace the model. More wind, distance,
    load or line never gives more drops, nor does a less healthy pack. Refused with a sentence where
    the drop must not be flown; zero drops with a note where the pack is only too small.
    """
    use = learned_use(craft, pack, flight, log, defaults)
    at_hand_wh = usable_wh(pack, defaults)
    drops = drops_from_energy(use.energy_wh, at_hand_wh)
    note = ""
    if not drops:
        note = (
            f"One drop takes {use.energy_wh:.1f} Wh and the pack gives {at_hand_wh:.1f} Wh above "
            "its reserve: charge it, take a larger or healthier pack, or fish nearer."
        )
    return DropEstimate(
        model=sortie(craft, flight, defaults),
        use=use,
        usable_wh=at_hand_wh,
        drops=drops,
        drops_low=drops_from_energy(use.energy_wh * (1 + use.band_share), at_hand_wh),
        drops_high=drops_from_energy(use.energy_wh * (1 - use.band_share), at_hand_wh),
        turn_back_percent=math.ceil(turn_back_share(use.energy_home_wh, pack, defaults) * 100),
        note=note,
    )
