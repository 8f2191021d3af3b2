"""What fires a hazard: one pure function a trigger, each answering with the number that fired it.

An empty answer means that the hazard does not belong to the day. What is not known fires nothing,
but for rock whose height is not known, where silence would be the greater mistake. Thresholds
without a published source are house defaults and marked so.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from types import MappingProxyType

from guiding.safety.rules.facts import TripFacts

Trigger = Callable[[TripFacts], str]

ROUGH_WAVE_M = 1.5  # [house]
LONG_PERIOD_S = 12.0  # [house]
LEDGE_SPARE_M = 0.5  # [house]
COLD_WATER_C = 15.0  # common advice on cold-water shock
WARM_WATER_C = 18.0  # [house] fish recover badly
HOT_AIR_C = 30.0  # [house]
HOT_WITHOUT_SHADE_C = 25.0  # [house]
FELT_COLD_C = 5.0  # [house]
PROTECT_FROM_UV = 3.0  # published: protection is advised from 3 on
STRONG_WIND_MS = 10.0  # [house]
LINE_WIND_MS = 6.0  # [house] slack line drifts into the rotors
LIMIT_SHARE = 0.8  # [house] of the maker's wind limit
LOW_SUN_DEG = 20.0  # [house]
LONG_DUTY_H = 14.0  # [house]
LONG_CARRY_MIN = 10  # [house]


def _surge(facts: TripFacts) -> str:
    if facts.pier:
        return ""
    if facts.wave_m is not None and facts.wave_m >= ROUGH_WAVE_M:
        return f"waves of {facts.wave_m:g} m"
    if facts.period_s is not None and facts.period_s >= LONG_PERIOD_S:
        return f"a wave period of {facts.period_s:g} s"
    return f"{facts.minors} under 18 near the water" if facts.minors else ""


def _rock_set(facts: TripFacts) -> str:
    if not facts.rock:
        return ""
    if facts.ledge_m is None or facts.high_tide_m is None or facts.wave_m is None:
        return "fishing from rock, reach of the sea not known"
    reach_m = facts.high_tide_m + 2 * facts.wave_m + LEDGE_SPARE_M
    wet = reach_m >= facts.ledge_m
    return f"sea may reach {reach_m:.1f} m, ledge at {facts.ledge_m:g} m" if wet else ""


def _slip(facts: TripFacts) -> str:
    if facts.rock:
        return f"rock underfoot, {facts.walk_min} min on foot each way"
    return "weed or slime underfoot" if "weed" in facts.at_spot else ""


def _people(facts: TripFacts) -> str:
    return f"{facts.heads} {'person' if facts.heads == 1 else 'people'}"


def _rods(facts: TripFacts) -> str:
    return f"{facts.rods} rod{'s' * (facts.rods != 1)}"


def _drops(facts: TripFacts) -> str:
    return f"{facts.drops} drop{'s' * (facts.drops != 1)} flown"


def _rip(facts: TripFacts) -> str:
    if "rip" not in facts.at_spot or not (facts.minors or "wading" in facts.on_day):
        return ""
    return f"rip currents known, {_people(facts)} near the water"


def _cold_water(facts: TripFacts) -> str:
    cold = facts.water_c is not None and facts.water_c < COLD_WATER_C
    return f"water of {facts.water_c:g} °C" if cold else ""


def _cut_off(facts: TripFacts) -> str:
    if not facts.tide_cuts_off:
        return ""
    sill = f"way out floods at {facts.sill_m:g} m" if facts.sill_m is not None else "way out floods"
    if facts.leave_spare_min is None:
        return sill
    return f"{sill}, {facts.leave_spare_min:.0f} min between the end and leave-by"


def _waders(facts: TripFacts) -> str:
    return f"waders on up to {_people(facts)}" if "waders" in facts.on_day else ""


def _heat(facts: TripFacts) -> str:
    if facts.air_c is None:
        return ""
    if facts.air_c >= HOT_AIR_C:
        return f"{facts.air_c:g} °C"
    bare = "no shade" in facts.at_spot and facts.air_c >= HOT_WITHOUT_SHADE_C
    return f"{facts.air_c:g} °C without shade" if bare else ""


def _chill(facts: TripFacts) -> str:
    felt = facts.feels_c if facts.feels_c is not None else facts.air_c
    return f"feels like {felt:.0f} °C" if felt is not None and felt <= FELT_COLD_C else ""


def _ultraviolet(facts: TripFacts) -> str:
    strong = facts.uv_index is not None and facts.uv_index >= PROTECT_FROM_UV
    return f"UV index {facts.uv_index:g}" if strong else ""


def _wind(facts: TripFacts) -> str:
    strong = facts.wind_ms is not None and facts.wind_ms >= STRONG_WIND_MS
    return f"mean wind of {facts.wind_ms:g} m/s" if strong else ""


def _flown(facts: TripFacts) -> str:
    return _drops(facts) if facts.flying else ""


def _glare(facts: TripFacts) -> str:
    if not facts.flying or not facts.low_sun:
        return ""
    if facts.sun_above_horizon_deg is None:
        return f"sun under {LOW_SUN_DEG:g}° along the path"
    return f"sun {facts.sun_above_horizon_deg:.0f}° high along the path"


def _line_in_rotor(facts: TripFacts) -> str:
    windy = facts.wind_ms is not None and facts.wind_ms >= LINE_WIND_MS
    return f"flying in {facts.wind_ms:g} m/s" if facts.flying and windy else ""


def _fly_away(facts: TripFacts) -> str:
    if not facts.flying:
        return ""
    worst = max((x for x in (facts.wind_ms, facts.gust_ms) if x is not None), default=None)
    limit = facts.craft_wind_limit_ms
    if worst is not None and limit is not None and worst >= LIMIT_SHARE * limit:
        return f"{worst:g} m/s against a limit of {limit:g} m/s"
    return "poor satellite reception" if "poor position" in facts.at_spot else ""


def _lithium(facts: TripFacts) -> str:
    packs = "flight pack" if facts.packs == 1 else "flight packs"
    return f"{facts.packs} {packs} on board" if facts.flying and facts.packs else ""


def _fatigue(facts: TripFacts) -> str:
    if facts.duty_h > LONG_DUTY_H:
        return f"a day of {facts.duty_h:.1f} h"
    late = facts.road_by_night_h
    return f"{late:.1f} h on the road between 0 and 6 o'clock" if late > 0 else ""


def _allergy(facts: TripFacts) -> str:
    count = max(facts.allergies, int(facts.allergy_declared))
    return f"{count} with an allergy declared" if count else ""


def _sand_hole(facts: TripFacts) -> str:
    return f"{facts.minors} under 18 on sand" if facts.minors and _on_sand(facts) else ""


def _tsunami(facts: TripFacts) -> str:
    if "sea warning" in facts.on_day:
        return f"warning of an unusual sea, {_people(facts)}"
    return "coast with tsunami warnings" if "tsunami coast" in facts.at_spot else ""


def _fish_harm(facts: TripFacts) -> str:
    if facts.water_c is not None and facts.water_c >= WARM_WATER_C:
        return f"water of {facts.water_c:g} °C"
    return f"{_rods(facts)}, fish are released" if "release" in facts.on_day else ""


def _long_carry(facts: TripFacts) -> str:
    return f"{facts.walk_min} min each way" if facts.walk_min >= LONG_CARRY_MIN else ""


def _sand_driving(facts: TripFacts) -> str:
    if facts.sand_km <= 0:
        return ""
    vehicle = f" with {facts.vehicle}" if facts.vehicle else ""
    return f"{facts.sand_km:g} km on sand{vehicle}"


def _coverage(facts: TripFacts) -> str:
    if facts.no_coverage:
        return "no phone coverage at the spot"
    return "weak phone coverage at the spot" if facts.weak_coverage else ""


def _on_sand(facts: TripFacts) -> bool:
    return not facts.rock and not facts.pier


def _count(name: str, words: str) -> Trigger:
    """Fires with a count of the facts that is not nought."""

    def fires(facts: TripFacts) -> str:
        count = getattr(facts, name)
        return f"{count:g} {words}" if count else ""

    return fires


def _spot(*features: str, flying: bool = False, sand: bool = False) -> Trigger:
    """Fires where the spot has one of these features, and the day flies or drives as well."""

    def fires(facts: TripFacts) -> str:
        if (flying and not facts.flying) or (sand and facts.sand_km <= 0):
            return ""
        found = [SPOTS_SAY[name] for name in features if name in facts.at_spot]
        if not found:
            return ""
        number = f", {_drops(facts)}" if flying else ""
        number = f", {facts.sand_km:g} km on sand" if sand else number
        return " and ".join(found) + number

    return fires


SPOTS_SAY: Mapping[str, str] = MappingProxyType(
    {
        "cliff": "a face above the spot",
        "power lines": "power lines over the way in",
        "side slope": "a side slope",
        "soft entry": "a soft entry",
        "traffic": "vehicles on the beach",
        "dogs": "dogs or riders on the beach",
        "people near": "people near the path",
        "nesting birds": "nesting birds",
        "seals": "seals",
        "rays": "rays in the shallows",
        "stingers": "spined or stinging animals",
        "toothy fish": "toothy fish",
        "low aircraft": "low aircraft known here",
    }
)
# These hang on somebody who comes and on nothing else.
OF_PEOPLE = frozenset(
    {"not a swimmer", "health", "allergy", "children on sand", "children", "child alone"}
)
TRIGGERS: Mapping[str, Trigger] = MappingProxyType(
    {
        "surge": _surge,
        "rock set": _rock_set,
        "slip": _slip,
        "rip": _rip,
        "cold water": _cold_water,
        "not a swimmer": _count("non_swimmers", "who do not swim"),
        "cut off": _cut_off,
        "waders": _waders,
        "pier edge": lambda f: f"a wall without rail, {_people(f)}" if f.pier else "",
        "thunder": lambda f: "thunder forecast" if f.thunder else "",
        "heat": _heat,
        "chill": _chill,
        "ultraviolet": _ultraviolet,
        "wind": _wind,
        "dark": lambda f: f"{f.dark_h:.1f} h of it dark" if f.night else "",
        "glare": _glare,
        "hooks": lambda f: f"{_rods(f)} with hooks" if f.rods else "hooks on every rod",
        "braid": lambda f: f"braid on {_rods(f)}" if f.rods else "braid under load",
        "casting": lambda f: "" if f.flying else f"{_rods(f)} cast by hand",
        "toothy fish": _spot("toothy fish"),
        "rays": _spot("rays"),
        "stingers": _spot("stingers"),
        "bait knife": lambda f: f"{f.bait_kg:g} kg of bait to cut" if f.bait_kg else "",
        "flying": _flown,
        "line in rotor": _line_in_rotor,
        "fly-away": _fly_away,
        "low aircraft": _spot("low aircraft", flying=True),
        "wildlife": _spot("nesting birds", "seals", flying=True),
        "people near": _spot("people near", flying=True),
        "flight packs": _lithium,
        "sand driving": _sand_driving,
        "side slope": _spot("side slope", sand=True),
        "soft entry": _spot("soft entry", sand=True),
        "fatigue": _fatigue,
        "no coverage": _coverage,
        "health": _count("health_notes", "with a condition declared"),
        "allergy": _allergy,
        "children on sand": _sand_hole,
        "children": _count("minors", "under 18"),
        "child alone": _count("minors_without_guardian", "under 18 without a guardian"),
        "shared beach": _spot("traffic", "dogs"),
        "cliff": _spot("cliff"),
        "long carry": _long_carry,
        "power lines": _spot("power lines"),
        "tsunami": _tsunami,
        "food": lambda f: f"food for {f.heads}" if "food" in f.on_day else "",
        "fish harm": _fish_harm,
        "by hand": lambda f: "",  # only ever added by the guide
    }
)
