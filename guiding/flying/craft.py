"""What is flown: the craft, its packs and the line it carries out."""

from __future__ import annotations

from dataclasses import dataclass

from guiding.flying import ranges
from guiding.flying.defaults import GRAVITY_MS2, FlyingDefaults


@dataclass(frozen=True, slots=True)
class Craft:
    """One multirotor as its maker and its owner describe it.

    `empty_kg` with a pack and the clip, without a load. `efficiency_share` is the whole chain from
    pack to air. `hover_w`, where the owner has measured it empty at sea level, replaces the theory.
    `thrust_max_n` None: taken as a multiple of the empty weight. `payload_limit_g` and
    `takeoff_limit_kg` are the maker's; the tighter one holds. Speeds are airspeeds.
    """

    name: str
    empty_kg: float
    rotor_count: int
    rotor_diameter_m: float
    payload_limit_g: float
    wind_limit_ms: float
    airspeed_loaded_ms: float = 8.0
    airspeed_empty_ms: float = 12.0
    efficiency_share: float = 0.55
    takeoff_limit_kg: float | None = None
    thrust_max_n: float | None = None
    hover_w: float | None = None

    def __post_init__(self) -> None:
        ranges.MASS_KG.admit(self.empty_kg)
        ranges.ROTORS.admit(self.rotor_count)
        ranges.ROTOR_M.admit(self.rotor_diameter_m)
        ranges.PAYLOAD_G.admit(self.payload_limit_g)
        ranges.WIND_LIMIT_MS.admit(self.wind_limit_ms)
        ranges.AIRSPEED_MS.admit(self.airspeed_loaded_ms)
        ranges.AIRSPEED_MS.admit(self.airspeed_empty_ms)
        ranges.EFFICIENCY.admit(self.efficiency_share)
        if self.takeoff_limit_kg is not None and self.takeoff_limit_kg <= self.empty_kg:
            raise ValueError(
                f"The take-off limit of {self.name} is {self.takeoff_limit_kg:g} kg, not above its "
                f"empty mass of {self.empty_kg:g} kg: correct one of the two."
            )
        if self.hover_w is not None:
            ranges.ENERGY_WH.admit(self.hover_w)
        if self.thrust_max_n is not None:
            ranges.STRENGTH_N.admit(self.thrust_max_n)

    def load_limit_g(self) -> float:
        """The heaviest load the maker allows: by the load itself or by the take-off mass."""
        if self.takeoff_limit_kg is None:
            return self.payload_limit_g
        return min(self.payload_limit_g, (self.takeoff_limit_kg - self.empty_kg) * 1000)

    def full_thrust_n(self, defaults: FlyingDefaults) -> float:
        """Thrust of all rotors at full power: the maker's, or a multiple of the empty weight."""
        if self.thrust_max_n is not None:
            return self.thrust_max_n
        return defaults.thrust_to_weight * self.empty_kg * GRAVITY_MS2


@dataclass(frozen=True, slots=True)
class Pack:
    """One flight pack as it is today.

    `health_share` is today's capacity over the rated one, `charged_share` how full it is at
    take-off, `pack_c` its own temperature, not the air's.
    """

    rated_wh: float
    health_share: float = 1.0
    pack_c: float = 20.0
    charged_share: float = 1.0

    def __post_init__(self) -> None:
        ranges.PACK_WH.admit(self.rated_wh)
        ranges.HEALTH.admit(self.health_share)
        ranges.PACK_C.admit(self.pack_c)
        ranges.CHARGED.admit(self.charged_share)


@dataclass(frozen=True, slots=True)
class MainLine:
    """The line on the reel that flies the rig out.

    `strength_n` is the strength without a knot. `free_spool` says that the reel is left free with
    the clicker on; a locked reel in flight stops the craft.
    """

    diameter_mm: float
    strength_n: float
    spooled_m: float
    free_spool: bool = True

    def __post_init__(self) -> None:
        ranges.LINE_MM.admit(self.diameter_mm)
        ranges.STRENGTH_N.admit(self.strength_n)
        ranges.COUNT.admit(self.spooled_m)
