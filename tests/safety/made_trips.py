"""Thirty made trips: what is known of each, and exactly the hazards it must fire, with numbers.

The figures are invented; each trip is written so that one more or one less fact would change its
set. The two hazards that every day with a rod has, hooks and braid, are given by the rods.
"""

from __future__ import annotations

from typing import Any

from guiding.safety.rules.facts import TripFacts

PLAIN: dict[str, Any] = {
    "heads": 2,
    "minors": 0,
    "minors_without_guardian": 0,
    "non_swimmers": 0,
    "flying": False,
    "night": False,
    "rock": False,
    "tide_cuts_off": False,
    "sand_km": 0.0,
    "duty_h": 9.0,
    "no_coverage": False,
    "rods": 2,
    "drops": 12,
    "packs": 4,
}
FLY = {"flying": True}
RODS2 = {"hook": "2 rods with hooks", "braid": "braid on 2 rods"}
CAST2 = RODS2 | {"crack_off": "2 rods cast by hand"}
FLOWN = RODS2 | {
    "rotor": "12 drops flown",
    "falling_load": "12 drops flown",
    "lithium": "4 flight packs on board",
}
Case = tuple[str, dict[str, Any], dict[str, str]]

TRIPS: list[Case] = [
    ("calm day, cast by hand", {}, CAST2),
    ("calm day, flown", FLY, FLOWN),
    ("two children on a beach, flown", FLY | {"minors": 2, "heads": 4}, FLOWN | {
        "surge": "2 under 18 near the water", "sand_hole": "2 under 18 on sand",
        "child_lost": "2 under 18"}),
    ("one of them without a guardian", FLY | {"minors": 2, "minors_without_guardian": 1}, FLOWN | {
        "surge": "2 under 18 near the water", "sand_hole": "2 under 18 on sand",
        "child_lost": "2 under 18", "lone_minor": "1 under 18 without a guardian"}),
    ("children on a ledge", {"minors": 1, "rock": True, "walk_min": 5}, CAST2 | {
        "surge": "1 under 18 near the water",
        "rock_set": "fishing from rock, reach of the sea not known",
        "slip": "rock underfoot, 5 min on foot each way", "child_lost": "1 under 18"}),
    ("ledge that stays dry", {"rock": True, "ledge_m": 8.0, "high_tide_m": 4.0, "wave_m": 1.0},
     CAST2 | {"slip": "rock underfoot, 0 min on foot each way"}),
    ("ledge that the sea may reach",
     {"rock": True, "ledge_m": 6.5, "high_tide_m": 4.0, "wave_m": 1.0}, CAST2 | {
        "rock_set": "sea may reach 6.5 m, ledge at 6.5 m",
        "slip": "rock underfoot, 0 min on foot each way"}),
    ("waves just at the limit", {"wave_m": 1.5}, CAST2 | {"surge": "waves of 1.5 m"}),
    ("waves under it, a long period", {"wave_m": 1.4, "period_s": 12.0},
     CAST2 | {"surge": "a wave period of 12 s"}),
    ("waves and period under it, from a wall", {"wave_m": 1.4, "period_s": 11.9, "pier": True},
     CAST2 | {"pier_edge": "a wall without rail, 2 people"}),
    ("children on a wall in a swell", {"minors": 2, "wave_m": 3.0, "pier": True}, CAST2 | {
        "pier_edge": "a wall without rail, 2 people", "child_lost": "2 under 18"}),
    ("cold water, somebody does not swim", {"water_c": 14.9, "non_swimmers": 1}, CAST2 | {
        "cold_water": "water of 14.9 °C", "swimmer": "1 who do not swim"}),
    ("water of just 15 degrees", {"water_c": 15.0}, CAST2),
    ("warm water, rays", {"water_c": 18.0, "at_spot": ("rays",)}, CAST2 | {
        "fish_harm": "water of 18 °C", "rays": "rays in the shallows"}),
    ("the tide shuts the way out",
     {"tide_cuts_off": True, "sill_m": 3.7, "leave_spare_min": 95.0}, CAST2 | {
        "cut_off": "way out floods at 3.7 m, 95 min between the end and leave-by"}),
    ("far beach, no signal", FLY | {
        "no_coverage": True, "sand_km": 16.0, "walk_min": 15, "tide_cuts_off": True,
        "sill_m": 3.7}, FLOWN | {
        "remote": "no phone coverage at the spot", "bogging": "16 km on sand",
        "lifting": "15 min each way", "cut_off": "way out floods at 3.7 m"}),
    ("soft and sloping way in", {"sand_km": 4.0, "at_spot": ("soft entry", "side slope")},
     CAST2 | {"bogging": "4 km on sand", "strap": "a soft entry, 4 km on sand",
              "rollover": "a side slope, 4 km on sand"}),
    ("the same spot on foot", {"at_spot": ("soft entry", "side slope")}, CAST2),
    ("long day home in the night", {"duty_h": 14.5, "road_by_night_h": 1.2},
     CAST2 | {"fatigue": "a day of 14.5 h"}),
    ("just fourteen hours, but at night", {"duty_h": 14.0, "road_by_night_h": 1.2},
     CAST2 | {"fatigue": "1.2 h on the road between 0 and 6 o'clock"}),
    ("into the dark", {"night": True, "dark_h": 2.5}, CAST2 | {"dark": "2.5 h of it dark"}),
    ("hot, with shade", {"air_c": 29.9, "feels_c": 29.9}, CAST2),
    ("hot, without shade", {"air_c": 25.0, "at_spot": ("no shade",), "uv_index": 7.0}, CAST2 | {
        "heat": "25 °C without shade", "ultraviolet": "UV index 7"}),
    ("raw wind, cast", {"air_c": 7.0, "feels_c": 3.4, "wind_ms": 10.0}, CAST2 | {
        "chill": "feels like 3 °C", "wind": "mean wind of 10 m/s"}),
    ("wind near the craft's limit", FLY | {
        "wind_ms": 8.0, "gust_ms": 10.0, "craft_wind_limit_ms": 12.0}, FLOWN | {
        "line_rotor": "flying in 8 m/s", "fly_away": "10 m/s against a limit of 12 m/s"}),
    ("the same wind, nothing flown", {
        "wind_ms": 8.0, "gust_ms": 10.0, "craft_wind_limit_ms": 12.0}, CAST2),
    ("low sun, birds and people by the path", FLY | {
        "low_sun": True, "sun_above_horizon_deg": 11.0,
        "at_spot": ("nesting birds", "people near", "low aircraft")}, FLOWN | {
        "glare": "sun 11° high along the path", "wildlife": "nesting birds, 12 drops flown",
        "bystanders": "people near the path, 12 drops flown",
        "aircraft": "low aircraft known here, 12 drops flown"}),
    ("thunder, declared health", {"thunder": True, "allergies": 1, "health_notes": 2}, CAST2 | {
        "lightning": "thunder forecast", "allergy": "1 with an allergy declared",
        "health": "2 with a condition declared"}),
    ("wading over a rip in waders", {"on_day": ("wading", "waders", "food"), "at_spot": (
        "rip", "weed", "stingers", "toothy fish")}, CAST2 | {
        "rip": "rip currents known, 2 people near the water", "waders": "waders on up to 2 people",
        "food": "food for 2", "slip": "weed or slime underfoot",
        "stingers": "spined or stinging animals", "teeth": "toothy fish"}),
    ("shared beach under a cliff", {"bait_kg": 2.4, "on_day": ("release",), "at_spot": (
        "traffic", "dogs", "cliff", "power lines", "tsunami coast")}, CAST2 | {
        "shared_beach": "vehicles on the beach and dogs or riders on the beach",
        "cliff": "a face above the spot", "power_lines": "power lines over the way in",
        "tsunami": "coast with tsunami warnings", "knife": "2.4 kg of bait to cut",
        "fish_harm": "2 rods, fish are released"}),
]  # fmt: skip


def facts_of(changes: dict[str, Any]) -> TripFacts:
    return TripFacts(**(PLAIN | changes))
