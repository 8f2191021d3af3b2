"""How high to fly over the waves."""

from __future__ import annotations

from guiding.flying import ranges
from guiding.flying.defaults import HOUSE, FlyingDefaults

_HANG_M = ranges.ValidRange("Length that hangs below the craft", "m", 0, 100)


def height_over_waves_m(
    rig_hang_m: float, wave_height_m: float, defaults: FlyingDefaults = HOUSE
) -> float:
    """Least height of the craft over still water so that the rig stays clear, in metres.

    rig_hang_m: what hangs below the craft, 0..100; wave_height_m: significant height, 0..30.
    ValueError outside. The highest wave of a day is about twice the significant height (national
    weather office), half of it above still water; 5 m of air stay between [house].
    """
    _HANG_M.admit(rig_hang_m)
    ranges.WAVE_M.admit(wave_height_m)
    crest_m = defaults.highest_wave_factor * wave_height_m / 2
    return rig_hang_m + crest_m + defaults.wave_clearance_m
