"""One drop as it is planned: how far, how heavy, in what air."""

from __future__ import annotations

import math
from dataclasses import dataclass

from guiding.flying import ranges
from guiding.flying.defaults import FlyingDefaults
from guiding.flying.ranges import _bow


@dataclass(frozen=True, slots=True)
class DropFlight:
    """A drop to fly.

    `payload_g` is everything that hangs from the clip: bait, hooks, swivels, sinker, links.
    `wind_off_path_deg` is the angle between the way out and where the wind comes from: 0 on the
    nose on the way out, 90 across, 180 from behind. None says the direction is not known; then the
    wind counts against the craft both ways and wholly across the line.
    `bow_m` None: the bow is taken as a share of the distance.
    """

    distance_m: float
    payload_g: float
    wind_ms: float
    line_mm: float
    height_m: float = 15.0
    wind_off_path_deg: float | None = None
    bow_m: float | None = None
    density_kg_m3: float = 1.225

    def __post_init__(self) -> None:
        ranges.DISTANCE_M.admit(self.distance_m)
        ranges.PAYLOAD_G.admit(self.payload_g)
        ranges.WIND_MS.admit(self.wind_ms)
        ranges.LINE_MM.admit(self.line_mm)
        ranges.HEIGHT_M.admit(self.height_m)
        ranges.AIR_DENSITY.admit(self.density_kg_m3)
        if self.bow_m is not None:
            _bow(self.distance_m).admit(self.bow_m)
        if self.wind_off_path_deg is not None and not 0 <= self.wind_off_path_deg <= 180:
            raise ValueError(
                f"The wind is {self.wind_off_path_deg:g} degrees off the path: give 0 (on the nose "
                "on the way out) to 180 (from behind)."
            )

    def head_out_ms(self) -> float:
        """Part of the wind that is against the craft on the way out; negative from behind."""
        if self.wind_off_path_deg is None:
            return self.wind_ms
        return self.wind_ms * math.cos(math.radians(self.wind_off_path_deg))

    def head_home_ms(self) -> float:
        """Part of the wind that is against the craft on the way home; negative from behind."""
        return self.wind_ms if self.wind_off_path_deg is None else -self.head_out_ms()

    def across_ms(self) -> float:
        """Part of the wind across the path; none where the direction is not known and all of it
        is already counted against the craft."""
        if self.wind_off_path_deg is None:
            return 0.0
        return self.wind_ms * math.sin(math.radians(self.wind_off_path_deg))

    def line_wind_ms(self, defaults: FlyingDefaults) -> float:
        """Wind taken across the line: all of it when the direction is unknown, and never less than
        a share of it, because the line hangs in gusts that swing."""
        if self.wind_off_path_deg is None:
            return self.wind_ms
        return max(self.across_ms(), defaults.line_wind_share * self.wind_ms)

    def line_bow_m(self, defaults: FlyingDefaults) -> float:
        """Depth of the line's bow: given, or a share of the distance."""
        return defaults.bow_share * self.distance_m if self.bow_m is None else self.bow_m
