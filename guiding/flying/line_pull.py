"""The line's pull in the wind, what the craft has left against it, and the weak link between.

The line is often a larger load than the bait, so a check of grams alone is not enough.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace

from guiding.flying import ranges
from guiding.flying.craft import Craft
from guiding.flying.defaults import GRAVITY_MS2, HOUSE, FlyingDefaults
from guiding.flying.flight import DropFlight
from guiding.flying.ranges import _bow


def line_pull_n(
    distance_m: float,
    line_mm: float,
    wind_across_ms: float,
    bow_m: float,
    drag_coefficient: float = 1.3,
    density_kg_m3: float = 1.225,
) -> float:
    """Pull of a line that bows in a wind across it, in newtons.

    distance_m: above 0, at most 5000; line_mm: above 0, at most 3; wind_across_ms: 0..60;
    bow_m: depth of the bow, at most an eighth of the distance, beyond which a shallow bow is no
    longer a fair picture; drag_coefficient: above 0..3 [house 1.3]. ValueError outside.
    The pull at the ends is up to 12 % more at the deepest bow allowed, and the friction of the
    spool comes on top: measure it. Source: parabola under an even load, T = q L² / (8 s) with
    q = rho Cd d W² / 2.
    """
    _bow(ranges.DISTANCE_M.admit(distance_m)).admit(bow_m)
    ranges.LINE_MM.admit(line_mm)
    ranges.WIND_MS.admit(wind_across_ms)
    ranges.DRAG_COEFFICIENT.admit(drag_coefficient)
    ranges.AIR_DENSITY.admit(density_kg_m3)
    load_n_m = 0.5 * density_kg_m3 * drag_coefficient * (line_mm / 1000) * wind_across_ms**2
    return load_n_m * distance_m**2 / (8 * bow_m)


def flight_line_pull_n(flight: DropFlight, defaults: FlyingDefaults = HOUSE) -> float:
    """Pull of the line at the far end of a planned drop, in newtons.

    Takes the wind across the line and the bow from the plan, or from the house where the plan does
    not say. ValueError as for the pull of a line.
    """
    return line_pull_n(
        flight.distance_m,
        flight.line_mm,
        flight.line_wind_ms(defaults),
        flight.line_bow_m(defaults),
        defaults.line_drag_coefficient,
        flight.density_kg_m3,
    )


def spare_pull_n(craft: Craft, payload_g: float, defaults: FlyingDefaults = HOUSE) -> float:
    """Sideways pull a craft has left while it carries a load, in newtons; 0 where it cannot lift.

    payload_g: 0..50000. ValueError outside. Full thrust is the maker's, or a multiple of the empty
    weight [house]. Source: thrust is the root of weight squared plus pull squared.
    """
    ranges.PAYLOAD_G.admit(payload_g)
    weight_n = (craft.empty_kg + payload_g / 1000) * GRAVITY_MS2
    left = craft.full_thrust_n(defaults) ** 2 - weight_n**2
    return math.sqrt(left) if left > 0 else 0.0


@dataclass(frozen=True, slots=True)
class LinkWindow:
    """The strengths a weak link may have: not so weak that the load parts it, not so strong that
    it outlasts the craft or the line."""

    low_n: float
    high_n: float
    line_pull_n: float
    spare_pull_n: float
    main_knot_n: float
    fixes: tuple[str, ...]

    @property
    def is_open(self) -> bool:
        """Whether any strength fits."""
        return self.low_n <= self.high_n

    @property
    def low_kgf(self) -> float:
        """The lower end in kilograms-force, as links are sold."""
        return self.low_n / GRAVITY_MS2

    @property
    def high_kgf(self) -> float:
        """The upper end in kilograms-force."""
        return self.high_n / GRAVITY_MS2

    def admits(self, strength_n: float) -> bool:
        """Whether a link of this strength lies in the window."""
        return self.low_n <= strength_n <= self.high_n

    def sentence(self) -> str:
        """The window in words, or why it is empty and what would open it."""
        if self.is_open:
            return (
                f"A weak link of {self.low_n:.1f} to {self.high_n:.1f} N "
                f"({self.low_kgf:.1f} to {self.high_kgf:.1f} kgf) fits."
            )
        return (
            f"No weak link fits: load and line need {self.low_n:.1f} N, "
            f"craft and main line allow {self.high_n:.1f} N. " + " ".join(self.fixes)
        )


def weak_link_window(
    craft: Craft,
    flight: DropFlight,
    main_strength_n: float,
    defaults: FlyingDefaults = HOUSE,
) -> LinkWindow:
    """Strengths the weak link between clip and rig may have, in newtons, with fixes when none fits.

    main_strength_n: strength of the main line without a knot, above 0..10000 N. ValueError outside.
    Lower end: safety factor [house 2] times the root of load squared plus line pull squared; upper
    end: the lesser of the craft's spare pull and the main line's knot, over the same factor.
    """
    low_n, high_n = _window_ends(craft, flight, main_strength_n, defaults)
    fixes = () if low_n <= high_n else _openers(craft, flight, main_strength_n, defaults)
    return LinkWindow(
        low_n=low_n,
        high_n=high_n,
        line_pull_n=flight_line_pull_n(flight, defaults),
        spare_pull_n=spare_pull_n(craft, flight.payload_g, defaults),
        main_knot_n=main_strength_n * defaults.knot_share,
        fixes=fixes,
    )


def _window_ends(
    craft: Craft, flight: DropFlight, main_strength_n: float, defaults: FlyingDefaults
) -> tuple[float, float]:
    ranges.STRENGTH_N.admit(main_strength_n)
    load_n = flight.payload_g / 1000 * GRAVITY_MS2
    low_n = defaults.link_safety_factor * math.hypot(load_n, flight_line_pull_n(flight, defaults))
    allowed_n = min(
        spare_pull_n(craft, flight.payload_g, defaults), main_strength_n * defaults.knot_share
    )
    return low_n, allowed_n / defaults.link_safety_factor


def _openers(
    craft: Craft, flight: DropFlight, main_strength_n: float, defaults: FlyingDefaults
) -> tuple[str, ...]:
    """Each single change that opens the window, as a sentence, rounded to the safe side."""

    def fits(changed: DropFlight) -> bool:
        low_n, high_n = _window_ends(craft, changed, main_strength_n, defaults)
        return low_n <= high_n

    payload_g = _largest(lambda v: fits(replace(flight, payload_g=v)), flight.payload_g, 10)
    line_mm = _largest(lambda v: fits(replace(flight, line_mm=v)), flight.line_mm, 0.01)
    wind_ms = _largest(lambda v: fits(replace(flight, wind_ms=v)), flight.wind_ms, 0.1)
    found = []
    if payload_g:
        found.append(f"Lighten the load to {payload_g:.0f} g.")
    if line_mm:
        found.append(f"Fly a line of {line_mm:.2f} mm or thinner.")
    if wind_ms:
        found.append(f"Wait until the wind is {wind_ms:.1f} m/s or less.")
    return tuple(found) or ("No single change opens it: fish nearer, or cast.",)


def _largest(fits: Callable[[float], bool], highest: float, step: float) -> float | None:
    """The largest multiple of `step` below `highest` that fits; None where not even one does.

    What fits at a value fits at every smaller one, so halving finds it.
    """
    low, high = 0, math.ceil(highest / step)
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (middle, high) if fits(middle * step) else (low, middle)
    return low * step if low and fits(low * step) else None
