"""The facts of a trip that a hazard can hang on, and what a hazard of the library holds."""

from __future__ import annotations

from dataclasses import dataclass, replace
from enum import StrEnum


class Part(StrEnum):
    """The parts of a briefing, in the order in which a day meets them."""

    ARRIVAL = "arrival"
    WATER = "water"
    RODS = "rods"
    FLYING = "flying"
    FISH = "fish"
    GUIDE_HURT = "guide hurt"


# What a guide may tick of a spot and of a day; the triggers read these words.
SPOT_FEATURES: dict[str, str] = {
    "weed": "weed or slime underfoot",
    "rip": "rip currents known",
    "cliff": "cliff or undercut face above",
    "power lines": "power lines on the way in",
    "side slope": "side slope on the drive",
    "soft entry": "soft entry to the beach",
    "traffic": "vehicles share the beach",
    "dogs": "dogs or riders on the beach",
    "people near": "people pass close to the flight path",
    "nesting birds": "nesting birds",
    "seals": "seals haul out",
    "rays": "rays in the shallows",
    "stingers": "spined fish or stinging animals",
    "toothy fish": "fish with dangerous teeth",
    "poor position": "poor satellite reception",
    "low aircraft": "low-flying aircraft known",
    "no shade": "no shade",
    "tsunami coast": "coast with tsunami warnings",
}
DAY_FEATURES: dict[str, str] = {
    "wading": "clients wade",
    "waders": "waders are worn",
    "food": "food is carried",
    "release": "fish are released",
    "sea warning": "warning of an unusual sea",
}


@dataclass(frozen=True, slots=True)
class TripFacts:
    """What is known of a trip before it; None means not known, and then nothing is claimed.

    Waves in metres and seconds, wind in m/s, air and water in Celsius, heights in metres above
    the datum of the tide, hours as hours. `at_spot` and `on_day` hold what the guide ticked.
    """

    heads: int
    minors: int
    minors_without_guardian: int
    non_swimmers: int
    flying: bool
    night: bool
    rock: bool
    tide_cuts_off: bool
    sand_km: float
    duty_h: float
    no_coverage: bool
    weak_coverage: bool = False
    vehicle: str = ""
    allergy_declared: bool = False
    wave_m: float | None = None
    period_s: float | None = None
    wind_ms: float | None = None
    air_c: float | None = None
    water_c: float | None = None
    low_sun: bool = False
    pier: bool = False
    allergies: int = 0
    health_notes: int = 0
    dark_h: float = 0.0
    road_by_night_h: float = 0.0
    sill_m: float | None = None
    leave_spare_min: float | None = None
    ledge_m: float | None = None
    high_tide_m: float | None = None
    gust_ms: float | None = None
    craft_wind_limit_ms: float | None = None
    feels_c: float | None = None
    uv_index: float | None = None
    thunder: bool = False
    sun_above_horizon_deg: float | None = None
    rods: int = 0
    drops: int = 0
    packs: int = 0
    bait_kg: float = 0.0
    walk_min: int = 0
    at_spot: tuple[str, ...] = ()
    on_day: tuple[str, ...] = ()

    def without_people(self) -> TripFacts:
        """The same day with nothing known of who comes but how many."""
        return replace(
            self,
            minors=0,
            minors_without_guardian=0,
            non_swimmers=0,
            allergy_declared=False,
            allergies=0,
            health_notes=0,
        )


@dataclass(frozen=True, slots=True)
class LibraryHazard:
    """A hazard as the library holds it. Likelihood and consequence run from 1 to 5."""

    key: str
    trigger: str
    name: str
    who: str
    part: Part
    controls_before: tuple[str, ...]
    controls_during: tuple[str, ...]
    say: str
    emergency: str
    likelihood_before: int
    consequence_before: int
    likelihood_after: int
    consequence_after: int
    child_say: str = ""
    law_differs: bool = False
    source: str = ""


@dataclass(frozen=True, slots=True)
class FiredHazard:
    """A hazard of this day: what it is, the number that fired it, what we do, what to say."""

    hazard: LibraryHazard
    trigger: str
    added: bool = False

    @property
    def key(self) -> str:
        return self.hazard.key

    @property
    def name(self) -> str:
        return self.hazard.name

    @property
    def measure(self) -> str:
        return " ".join((*self.hazard.controls_before, *self.hazard.controls_during))

    @property
    def say(self) -> str:
        return self.hazard.say

    @property
    def weight(self) -> int:
        """Likelihood times consequence before the controls: 1 to 25."""
        return self.hazard.likelihood_before * self.hazard.consequence_before
