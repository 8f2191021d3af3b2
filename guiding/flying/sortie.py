"""Energy and time of one flown drop, and what a pack and a session hold of them."""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise

from guiding.flying import ranges
from guiding.flying.craft import Craft, Pack
from guiding.flying.defaults import GRAVITY_MS2, HOUSE, FlyingDefaults
from guiding.flying.flight import DropFlight
from guiding.flying.hover import craft_power_w
from guiding.flying.line_pull import flight_line_pull_n
from guiding.flying.ranges import RefusedError

# A quotient that is a whole number but for the last bits of the arithmetic counts as whole.
_ROUNDING = 1e-9


def ground_speed_ms(airspeed_ms: float, head_ms: float, across_ms: float = 0.0) -> float:
    """Speed over the ground along a straight path in a wind, in m/s; 0 or less: no way forward.

    airspeed_ms: above 0..100; head_ms: part of the wind against, negative from behind, -60..60;
    across_ms: part across, 0..60, which must stay below the airspeed. ValueError outside, Refused
    where the craft cannot hold the path. Source: triangle of velocities.
    """
    ranges.AIRSPEED_MS.admit(airspeed_ms)
    ranges.WIND_MS.admit(abs(head_ms))
    ranges.WIND_MS.admit(abs(across_ms))
    if abs(across_ms) >= airspeed_ms:
        raise RefusedError(
            f"The wind across is {abs(across_ms):g} m/s and the airspeed {airspeed_ms:g} m/s: the "
            "craft cannot hold its path; wait for less wind."
        )
    return math.sqrt(airspeed_ms**2 - across_ms**2) - head_ms


def out_and_home_s(
    distance_m: float, airspeed_ms: float, head_out_ms: float, across_ms: float = 0.0
) -> tuple[float, float]:
    """Time out and time home over a distance in a steady wind, in seconds.

    distance_m: above 0; airspeed_ms: above 0..100; head_out_ms: wind against on the way out,
    negative from behind; across_ms: 0..60. The wind helps one way as it hinders the other; a plan
    for fishing counts no help, see the sortie. ValueError outside; Refused where the craft cannot
    make way. Source: triangle of velocities.
    """
    if not (distance_m > 0 and math.isfinite(distance_m)):
        raise ValueError(f"Distance is {distance_m:g} m: give the metres to fly, above zero.")
    out_ms = ground_speed_ms(airspeed_ms, head_out_ms, across_ms)
    home_ms = ground_speed_ms(airspeed_ms, -head_out_ms, across_ms)
    if min(out_ms, home_ms) <= 0:
        raise RefusedError(
            f"The wind along the path is {abs(head_out_ms):g} m/s and the airspeed "
            f"{airspeed_ms:g} m/s: the trip cannot be completed; wait for less wind."
        )
    return distance_m / out_ms, distance_m / home_ms


@dataclass(frozen=True, slots=True)
class Leg:
    """One part of a sortie."""

    name: str
    time_s: float
    power_w: float

    @property
    def energy_wh(self) -> float:
        """Energy of this part."""
        return self.time_s * self.power_w / 3600


@dataclass(frozen=True, slots=True)
class Sortie:
    """One drop from take-off to landing, as the model sees it.

    `energy_wh` is the sum of the legs, or the still-air sum with the wind allowance where that is
    more. `energy_home_wh` is the part that is still to spend once the bait lies.
    """

    legs: tuple[Leg, ...]
    time_s: float
    energy_wh: float
    energy_home_wh: float
    out_ms: float
    home_ms: float
    line_pull_n: float


def wind_limit_ms(craft: Craft, defaults: FlyingDefaults = HOUSE) -> float:
    """Mean wind a craft may still be flown in, in m/s: a share [house] of its maker's limit."""
    return craft.wind_limit_ms * defaults.mean_wind_share


def sortie(craft: Craft, flight: DropFlight, defaults: FlyingDefaults = HOUSE) -> Sortie:
    """Energy, time and speeds of one drop: climb, out loaded, place, home empty, land.

    Counts no tailwind: a wind from behind is taken as still air, so that more wind never looks
    cheaper. Forward flight is taken at hover power. The line's pull at full distance is counted on
    the whole way out. Refused where the load is above the maker's limit, the distance beyond the
    plan's limit, the wind above the maker's limit or the airspeed, the way home slower than
    allowed, or load and line more than the craft's thrust. Sources: momentum theory, triangle of
    velocities; climb, place, landing and wind allowance [house].
    """
    _refuse_load(craft, flight)
    _refuse_reach(flight, defaults)
    out_ms, home_ms = _planned_speeds(craft, flight, defaults)
    pull_n = flight_line_pull_n(flight, defaults)
    _refuse_pull(craft, flight, pull_n, defaults)
    legs = _legs(craft, flight, out_ms, home_ms, pull_n, defaults)
    still = _legs(craft, flight, craft.airspeed_loaded_ms, craft.airspeed_empty_ms, 0.0, defaults)
    allowance = 1 + defaults.wind_energy_share * flight.wind_ms / wind_limit_ms(craft, defaults)
    return Sortie(
        legs=legs,
        time_s=sum(leg.time_s for leg in legs),
        energy_wh=_larger(legs, still, allowance),
        energy_home_wh=_larger(legs[3:], still[3:], allowance),
        out_ms=out_ms,
        home_ms=home_ms,
        line_pull_n=pull_n,
    )


def _larger(legs: tuple[Leg, ...], still: tuple[Leg, ...], allowance: float) -> float:
    """The legs in their wind, or the same legs in still air with the allowance, whichever is more.

    The two are ways to see the same wind, so they are not added.
    """
    return max(sum(leg.energy_wh for leg in legs), allowance * sum(leg.energy_wh for leg in still))


def _legs(
    craft: Craft,
    flight: DropFlight,
    out_ms: float,
    home_ms: float,
    pull_n: float,
    defaults: FlyingDefaults,
) -> tuple[Leg, ...]:
    air = flight.density_kg_m3
    loaded_w = craft_power_w(craft, flight.payload_g, density_kg_m3=air)
    pulling_w = craft_power_w(craft, flight.payload_g, pull_n, air)
    empty_w = craft_power_w(craft, density_kg_m3=air)
    return (
        Leg("climb", flight.height_m / defaults.climb_ms, loaded_w),
        Leg("out", flight.distance_m / out_ms, pulling_w),
        Leg("place", defaults.place_s, pulling_w),
        Leg("home", flight.distance_m / home_ms, empty_w),
        Leg("land", flight.height_m / defaults.descent_ms + defaults.landing_s, empty_w),
    )


def _refuse_load(craft: Craft, flight: DropFlight) -> None:
    limit_g = craft.load_limit_g()
    if flight.payload_g > limit_g:
        raise RefusedError(
            f"The load is {flight.payload_g:.0f} g and the maker of {craft.name} allows "
            f"{limit_g:.0f} g: take {flight.payload_g - limit_g:.0f} g off the rig or the bait."
        )


def _refuse_reach(flight: DropFlight, defaults: FlyingDefaults) -> None:
    if flight.distance_m > defaults.distance_max_m:
        raise RefusedError(
            f"The drop is {flight.distance_m:.0f} m out and the plan's limit is "
            f"{defaults.distance_max_m:.0f} m: drop nearer. The craft must stay in plain sight; "
            "check with your own authority how far that is."
        )


def _planned_speeds(
    craft: Craft, flight: DropFlight, defaults: FlyingDefaults
) -> tuple[float, float]:
    """Ground speed out and home with no help from behind; Refused where either fails."""
    wind_ms = flight.wind_ms
    if wind_ms > craft.wind_limit_ms:
        raise RefusedError(
            f"The wind is {wind_ms:.1f} m/s and the maker of {craft.name} allows "
            f"{craft.wind_limit_ms:.1f} m/s: do not fly; wait or cast."
        )
    slowest_ms = min(craft.airspeed_loaded_ms, craft.airspeed_empty_ms)
    if wind_ms >= slowest_ms:
        raise RefusedError(
            f"The wind is {wind_ms:.1f} m/s and the airspeed {slowest_ms:.1f} m/s: the craft "
            "would be blown away over the spot; wait for less wind or cast."
        )
    across_ms = flight.across_ms()
    out_ms = ground_speed_ms(craft.airspeed_loaded_ms, flight.head_out_ms(), across_ms)
    home_ms = ground_speed_ms(craft.airspeed_empty_ms, flight.head_home_ms(), across_ms)
    out_ms = min(out_ms, craft.airspeed_loaded_ms)
    home_ms = min(home_ms, craft.airspeed_empty_ms)
    if out_ms < defaults.out_speed_min_ms:
        raise RefusedError(
            f"The way out would be flown at {out_ms:.1f} m/s over the ground, and below "
            f"{defaults.out_speed_min_ms:.1f} m/s the craft makes no way: wait for less wind."
        )
    if home_ms < defaults.return_speed_min_ms:
        raise RefusedError(
            f"The way home would be flown at {home_ms:.1f} m/s over the ground and must not fall "
            f"below {defaults.return_speed_min_ms:.1f} m/s: wait for less wind or turn the path."
        )
    return out_ms, home_ms


def _refuse_pull(craft: Craft, flight: DropFlight, pull_n: float, defaults: FlyingDefaults) -> None:
    weight_n = (craft.empty_kg + flight.payload_g / 1000) * GRAVITY_MS2
    needed_n, full_n = math.hypot(weight_n, pull_n), craft.full_thrust_n(defaults)
    if needed_n > full_n:
        raise RefusedError(
            f"Load and line need {needed_n:.1f} N of thrust and {craft.name} has {full_n:.1f} N: "
            "lighten the load, fly a thinner line or wait for less wind."
        )


def temperature_share(pack_c: float, defaults: FlyingDefaults = HOUSE) -> float:
    """Part of its energy that a pack gives at its own temperature, 0..1.

    pack_c: -10..60 °C, straight lines between three points [house], full from 20 °C up. ValueError
    outside: no figure is known. Source of the size: retail notes, 20 to 30 % less below 15 °C.
    """
    ranges.PACK_C.admit(pack_c)
    points = (
        (defaults.cold_c, defaults.cold_share),
        (defaults.cool_c, defaults.cool_share),
        (defaults.warm_c, 1.0),
    )
    if pack_c < defaults.cold_c:
        raise ValueError(
            f"The pack is at {pack_c:g} °C and there is no figure below {defaults.cold_c:g} °C: "
            "warm it before it flies."
        )
    for (from_c, from_share), (to_c, to_share) in pairwise(points):
        if pack_c <= to_c:
            return from_share + (to_share - from_share) * (pack_c - from_c) / (to_c - from_c)
    return 1.0


def full_pack_wh(pack: Pack, defaults: FlyingDefaults = HOUSE) -> float:
    """Energy of a full pack as it is today: rated, times health, times temperature, in Wh."""
    return pack.rated_wh * pack.health_share * temperature_share(pack.pack_c, defaults)


def usable_wh(pack: Pack, defaults: FlyingDefaults = HOUSE) -> float:
    """Energy of a pack above the reserve, in Wh: what is charged less the reserve, at least 0."""
    above_reserve = max(pack.charged_share - defaults.reserve_share, 0.0)
    return full_pack_wh(pack, defaults) * above_reserve


def drops_from_energy(energy_per_drop_wh: float, available_wh: float) -> int:
    """Whole drops in an energy; a part of a drop is none.

    energy_per_drop_wh: above 0..20000 Wh; available_wh: 0..20000. ValueError outside.
    """
    ranges.ENERGY_WH.admit(energy_per_drop_wh)
    if not (0 <= available_wh <= ranges.ENERGY_WH.high):
        raise ValueError(f"The energy at hand is {available_wh:g} Wh: give 0 or more.")
    return math.floor(available_wh / energy_per_drop_wh + _ROUNDING)


def turn_back_share(energy_home_wh: float, pack: Pack, defaults: FlyingDefaults = HOUSE) -> float:
    """Level of the pack at which the craft must turn for home, as a share of a full pack.

    energy_home_wh: above 0..20000. The reserve plus the energy home times a factor [house 1.5].
    Refused where even a full pack would not do.
    """
    ranges.ENERGY_WH.admit(energy_home_wh)
    home_share = energy_home_wh * defaults.turn_back_factor / full_pack_wh(pack, defaults)
    level = defaults.reserve_share + home_share
    if level >= 1:
        raise RefusedError(
            f"The way home needs {energy_home_wh:.1f} Wh, and with the reserve that is more than "
            "the whole pack: fish nearer or fly a healthier pack."
        )
    return level


def drops_in_session(rods: int, session_min: float, soak_min: float, turn_min: float) -> int:
    """Drops that fit a session: rods times the whole rounds of soak and turn.

    rods: 1..50; session_min: above 0..1440; soak_min and turn_min: above 0..1440. ValueError
    outside.
    """
    if not 1 <= rods <= 50:
        raise ValueError(f"{rods} rods are planned: give 1 to 50.")
    for minutes in (session_min, soak_min, turn_min):
        ranges.MINUTES.admit(minutes)
    return rods * math.floor(session_min / (soak_min + turn_min) + _ROUNDING)


def pilot_share(drops: int, pilot_min_per_drop: float, session_min: float) -> float:
    """Part of a session in which the pilot's eyes are on the craft and not on the party.

    drops: 0..10000; minutes above 0..1440. ValueError outside. More than 1: it does not fit.
    """
    ranges.COUNT.admit(drops)
    ranges.MINUTES.admit(pilot_min_per_drop)
    ranges.MINUTES.admit(session_min)
    return drops * pilot_min_per_drop / session_min
