"""Line on the reel against line needed."""

from __future__ import annotations

import math

from guiding.flying import ranges
from guiding.flying.defaults import HOUSE, FlyingDefaults


def spool_need_m(distance_m: float, height_m: float, defaults: FlyingDefaults = HOUSE) -> float:
    """Line a reel must hold for a drop: payout with slack, fight reserve and last wraps, in metres.

    distance_m: above 0..5000; height_m: above 0..500. ValueError outside.
    Slack 5 %, fight 150 m, wraps 10 m [house]; the payout is the straight line to the craft.
    """
    ranges.DISTANCE_M.admit(distance_m)
    ranges.HEIGHT_M.admit(height_m)
    payout_m = (1 + defaults.slack_share) * math.hypot(distance_m, height_m)
    return payout_m + defaults.fight_reserve_m + defaults.wraps_m


def spool_reach_m(spooled_m: float, height_m: float, defaults: FlyingDefaults = HOUSE) -> float:
    """Farthest drop that a spool still serves, in metres; 0 where it serves none.

    spooled_m: 0..10000; height_m: above 0..500. ValueError outside. The need solved for distance.
    """
    ranges.COUNT.admit(spooled_m)
    ranges.HEIGHT_M.admit(height_m)
    payout_m = (spooled_m - defaults.fight_reserve_m - defaults.wraps_m) / (
        1 + defaults.slack_share
    )
    return math.sqrt(payout_m**2 - height_m**2) if payout_m > height_m else 0.0
