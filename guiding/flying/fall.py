"""A load that comes down: how long, how far aside, how hard, and how far people must stay."""

from __future__ import annotations

import math
from dataclasses import dataclass

from guiding.flying import ranges
from guiding.flying.defaults import GRAVITY_MS2, HOUSE, FlyingDefaults

_STEP_S = 0.002
# The steps are too long for a load that floats down, and such a load goes where the wind goes.
_DENSE_LOAD_MS = ranges.ValidRange(
    "Terminal velocity", "m/s", 5, 1000, advice="take a lighter load as borne wholly by the wind"
)
_TERMINAL_MS = ranges.ValidRange("Terminal velocity", "m/s", 0, 1000, above_low=True)
# vertical speed, aside speed
_Speeds = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Fall:
    """A fall through moving air from a craft that stands still over the ground."""

    terminal_ms: float
    time_s: float
    impact_ms: float
    drift_m: float
    energy_j: float


def free_fall_s(height_m: float) -> float:
    """Time of a fall without air, in seconds: the shortest it can be.

    height_m: above 0..500. ValueError outside. Source: t = sqrt(2 h / g).
    """
    ranges.HEIGHT_M.admit(height_m)
    return math.sqrt(2 * height_m / GRAVITY_MS2)


def impact_energy_j(mass_g: float, height_m: float) -> float:
    """Energy of a fallen load without air, in joules: the hardest it can hit.

    mass_g: 0..50000; height_m: above 0..500. ValueError outside. Source: E = m g h.
    """
    ranges.PAYLOAD_G.admit(mass_g)
    ranges.HEIGHT_M.admit(height_m)
    return mass_g / 1000 * GRAVITY_MS2 * height_m


def injury_height_m(mass_g: float, defaults: FlyingDefaults = HOUSE) -> float:
    """Height from which a falling load passes the head-impact limit, in metres.

    mass_g: above 0..50000. ValueError outside. Limit 80 J: EU 2019/945, class C1, which is a rule
    for craft and only a yardstick for a load. Below that height a load still hurts.
    """
    ranges.PAYLOAD_G.admit(mass_g)
    ranges.MASS_KG.admit(mass_g / 1000)
    return defaults.injury_energy_j / (mass_g / 1000 * GRAVITY_MS2)


def terminal_velocity_ms(
    mass_kg: float, drag_coefficient: float, area_m2: float, density_kg_m3: float = 1.225
) -> float:
    """Speed at which a falling load stops getting faster, in m/s.

    mass_kg, drag_coefficient (at most 3) and area_m2 above 0; density 0.3..1.6 kg/m³. ValueError
    outside. Source: v = sqrt(2 m g / (Cd rho A)), NASA Glenn Research Center.
    """
    ranges.MASS_KG.admit(mass_kg)
    ranges.DRAG_COEFFICIENT.admit(drag_coefficient)
    ranges.AREA_M2.admit(area_m2)
    ranges.AIR_DENSITY.admit(density_kg_m3)
    return math.sqrt(2 * mass_kg * GRAVITY_MS2 / (drag_coefficient * density_kg_m3 * area_m2))


def still_air_fall_s(height_m: float, terminal_ms: float) -> float:
    """Time of a fall through still air, in seconds.

    height_m: above 0..500; terminal_ms: the load's terminal velocity, above 0..1000. ValueError
    outside. Source: closed form for drag by the square of speed,
    t = (v/g) arcosh(exp(g h / v²)).
    """
    ranges.HEIGHT_M.admit(height_m)
    _TERMINAL_MS.admit(terminal_ms)
    depth = GRAVITY_MS2 * height_m / terminal_ms**2
    # arcosh(e^x) = x + ln(1 + sqrt(1 - e^-2x)): the same, but a feather's e^x does not overflow
    return terminal_ms / GRAVITY_MS2 * (depth + math.log1p(math.sqrt(-math.expm1(-2 * depth))))


def drop_fall(
    mass_kg: float,
    height_m: float,
    wind_ms: float,
    drag_coefficient: float,
    area_m2: float,
    density_kg_m3: float = 1.225,
) -> Fall:
    """Fall of a load with drag in a steady wind, from a craft that hovers: time, drift, impact.

    mass_kg, drag_coefficient (at most 3) and area_m2 above 0; height_m: above 0..500; wind_ms:
    0..60; density 0.3..1.6 kg/m³; the load must be dense enough for a terminal velocity of 5 m/s.
    ValueError outside. Drag acts against the speed through the air; steps of 2 ms by the classical
    Runge-Kutta rule. A load let go in flight also carries on along the path.
    """
    ranges.HEIGHT_M.admit(height_m)
    ranges.WIND_MS.admit(wind_ms)
    terminal_ms = terminal_velocity_ms(mass_kg, drag_coefficient, area_m2, density_kg_m3)
    _DENSE_LOAD_MS.admit(terminal_ms)
    drag = GRAVITY_MS2 / terminal_ms**2
    fallen_m, aside_m, time_s = 0.0, 0.0, 0.0
    speeds = (0.0, 0.0)
    while True:
        following = _stepped(speeds, wind_ms, drag)
        down_m = (speeds[0] + following[0]) / 2 * _STEP_S
        over_m = (speeds[1] + following[1]) / 2 * _STEP_S
        if fallen_m + down_m >= height_m:
            part = (height_m - fallen_m) / down_m
            break
        fallen_m, aside_m, time_s = fallen_m + down_m, aside_m + over_m, time_s + _STEP_S
        speeds = following
    impact_ms = speeds[0] + (following[0] - speeds[0]) * part
    across_ms = speeds[1] + (following[1] - speeds[1]) * part
    return Fall(
        terminal_ms=terminal_ms,
        time_s=time_s + part * _STEP_S,
        impact_ms=impact_ms,
        drift_m=aside_m + part * over_m,
        energy_j=0.5 * mass_kg * (impact_ms**2 + across_ms**2),
    )


def _stepped(speeds: _Speeds, wind_ms: float, drag: float) -> _Speeds:
    def gained(at: _Speeds) -> _Speeds:
        through_air = math.hypot(at[0], at[1] - wind_ms)
        return (
            GRAVITY_MS2 - drag * through_air * at[0],
            -drag * through_air * (at[1] - wind_ms),
        )

    def moved(by: _Speeds, share: float) -> _Speeds:
        return speeds[0] + by[0] * _STEP_S * share, speeds[1] + by[1] * _STEP_S * share

    first = gained(speeds)
    second = gained(moved(first, 0.5))
    third = gained(moved(second, 0.5))
    fourth = gained(moved(third, 1.0))
    mean = (
        (first[0] + 2 * second[0] + 2 * third[0] + fourth[0]) / 6,
        (first[1] + 2 * second[1] + 2 * third[1] + fourth[1]) / 6,
    )
    return moved(mean, 1.0)


def fall_zone_radius_m(
    height_m: float,
    wind_ms: float,
    legal_distance_m: float | None = None,
    terminal_ms: float | None = None,
    defaults: FlyingDefaults = HOUSE,
) -> float:
    """Distance people must keep from the flight path and the drop, in metres.

    height_m: above 0..500; wind_ms: 0..60; legal_distance_m: the place's own distance to people,
    0 or more; None: the house figure, and the place's must be found out; terminal_ms: above 0,
    for a load that floats; None: dense as lead and fish, falling as without air.
    ValueError outside.
    The larger of that and the drift of a load borne wholly by the wind plus a margin [house 10 m].
    Local rules may ask for more: check with your own authority.
    """
    ranges.WIND_MS.admit(wind_ms)
    legal_m = defaults.people_distance_m if legal_distance_m is None else legal_distance_m
    if not 0 <= legal_m <= 10_000:
        raise ValueError(f"The legal distance to people is {legal_m:g} m: give 0 to 10000.")
    falling_s = (
        free_fall_s(height_m) if terminal_ms is None else still_air_fall_s(height_m, terminal_ms)
    )
    return max(wind_ms * falling_s + defaults.zone_margin_m, legal_m)
