"""Power of a hover by momentum theory, and how long a battery holds it."""

from __future__ import annotations

import math

from guiding.flying import ranges
from guiding.flying.craft import Craft
from guiding.flying.defaults import GRAVITY_MS2

_SEA_LEVEL_DENSITY = 1.225
_USABLE = ranges.ValidRange("Usable part of the battery", "", 0, 1, above_low=True)
_THRUST_N = ranges.ValidRange("Thrust", "N", 0, 100_000, above_low=True)


def disk_area_m2(rotor_count: int, rotor_diameter_m: float) -> float:
    """Area swept by all rotors together, in m²; rotors above one another are not meant.

    rotor_count: 1..16; rotor_diameter_m: above 0, at most 20 m. ValueError outside.
    """
    ranges.ROTORS.admit(rotor_count)
    ranges.ROTOR_M.admit(rotor_diameter_m)
    return rotor_count * math.pi * (rotor_diameter_m / 2) ** 2


def induced_velocity_ms(thrust_n: float, disk_m2: float, density_kg_m3: float = 1.225) -> float:
    """Speed of the air through the rotors in a hover, in m/s.

    thrust_n: above 0; disk_m2: swept area, above 0; density 0.3..1.6 kg/m³. ValueError outside.
    Source: momentum theory, v = sqrt(T / (2 rho A)).
    """
    _THRUST_N.admit(thrust_n)
    ranges.AREA_M2.admit(disk_m2)
    ranges.AIR_DENSITY.admit(density_kg_m3)
    return math.sqrt(thrust_n / (2 * density_kg_m3 * disk_m2))


def hover_power_w(
    thrust_n: float, disk_m2: float, efficiency_share: float = 1.0, density_kg_m3: float = 1.225
) -> float:
    """Electric power of a hover, in watts; with efficiency 1 the ideal power.

    thrust_n: above 0; disk_m2: above 0; efficiency_share: above 0, at most 1, pack to air;
    density 0.3..1.6 kg/m³. ValueError outside.
    Source: momentum theory, P = T^1.5 / (eta sqrt(2 rho A)).
    """
    ranges.EFFICIENCY.admit(efficiency_share)
    return thrust_n * induced_velocity_ms(thrust_n, disk_m2, density_kg_m3) / efficiency_share


def payload_power_factor(empty_kg: float, payload_kg: float) -> float:
    """How many times the empty hover power a load takes.

    empty_kg: above 0; payload_kg: 0 or more. ValueError outside.
    Source: momentum theory, (1 + p/m)^1.5.
    """
    ranges.MASS_KG.admit(empty_kg)
    ranges.PAYLOAD_G.admit(payload_kg * 1000)
    return float((1 + payload_kg / empty_kg) ** 1.5)


def hover_endurance_min(
    battery_wh: float,
    usable_share: float,
    reserve_share: float,
    empty_kg: float,
    payload_kg: float,
    empty_hover_w: float,
) -> float:
    """How long a battery holds a hover with a load, in minutes.

    battery_wh and empty_hover_w: above 0; usable_share: above 0..1; reserve_share: 0 to below 1;
    masses in kg. ValueError outside. Published models of this kind miss real flights by 2 to 10 %
    on average, so keep a margin. Source: momentum theory.
    """
    ranges.ENERGY_WH.admit(battery_wh)
    ranges.ENERGY_WH.admit(empty_hover_w)
    _USABLE.admit(usable_share)
    _USABLE.admit(1 - reserve_share)
    power_w = empty_hover_w * payload_power_factor(empty_kg, payload_kg)
    return battery_wh * usable_share * (1 - reserve_share) / power_w * 60


def craft_power_w(
    craft: Craft, payload_g: float = 0.0, line_pull_n: float = 0.0, density_kg_m3: float = 1.225
) -> float:
    """Power a craft takes to carry a load and hold against the pull of its line, in watts.

    payload_g: 0..50000; line_pull_n: sideways pull, 0..10000 N; density 0.3..1.6 kg/m³.
    A measured empty hover power of the craft, scaled, goes before the theory. ValueError outside.
    Source: momentum theory; thrust is the root of weight squared plus pull squared.
    """
    ranges.PAYLOAD_G.admit(payload_g)
    ranges.PULL_N.admit(line_pull_n)
    ranges.AIR_DENSITY.admit(density_kg_m3)
    empty_n = craft.empty_kg * GRAVITY_MS2
    thrust_n = math.hypot((craft.empty_kg + payload_g / 1000) * GRAVITY_MS2, line_pull_n)
    if craft.hover_w is None:
        disk_m2 = disk_area_m2(craft.rotor_count, craft.rotor_diameter_m)
        return hover_power_w(thrust_n, disk_m2, craft.efficiency_share, density_kg_m3)
    scale = float((thrust_n / empty_n) ** 1.5)
    return craft.hover_w * scale * math.sqrt(_SEA_LEVEL_DENSITY / density_kg_m3)
