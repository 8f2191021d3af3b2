"""Every number a decision is taken on, as plain values: they are frozen with it."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime

from guiding.days.rules.limits import WindPart
from guiding.days.rules.weather import WeatherHour


@dataclass(frozen=True, slots=True)
class Stretch:
    """A stretch of time, [start, end), in UTC."""

    start: datetime
    end: datetime


@dataclass(frozen=True, slots=True)
class DayHours:
    """The hours of the day in UTC; `rest_before_h` and `rest_after_h` to the days beside it."""

    day: date
    zone: str
    pick_up: datetime
    at_spot: datetime
    session_start: datetime
    session_end: datetime
    packed: datetime
    drop_off: datetime
    driving_min: float = 0.0
    rest_before_h: float | None = None
    rest_after_h: float | None = None


@dataclass(frozen=True, slots=True)
class SpotLimits:
    """What the spot allows. `shut_because` is empty where no closure holds on the day."""

    name: str
    wave_caution_m: float
    wave_stop_m: float
    period_caution_s: float
    period_stop_s: float | None
    wind_stop_ms: float
    wind_parts: tuple[WindPart, ...] = ()
    max_party: int = 6
    minors_welcome: bool = True
    walked_on: date | None = None
    shut_because: str = ""


@dataclass(frozen=True, slots=True)
class CraftLimits:
    """What the craft allows; the shares of the maker's wind limit are [house].

    `grounded_because` is empty where craft and packs are fit on the day.
    """

    name: str
    wind_limit_ms: float
    mean_share: float
    gust_share: float
    gust_factor: float
    rain_rated: bool
    mass_kg: float
    max_takeoff_kg: float
    bait_g: float
    grounded_because: str = ""


@dataclass(frozen=True, slots=True)
class TheHouse:
    """The limits of the business itself, all [house] until the guide sets others."""

    wind_caution_share: float = 0.8
    rain_caution_mm: float = 2.0
    feels_cold_c: float = 5.0
    feels_hot_c: float = 30.0
    duty_h: float = 14.0
    driving_h: float = 5.0
    rest_h: float = 10.0
    forecast_age_h: float = 12.0
    cautions_to_hold: int = 3
    walked_days: int = 365
    margin_m: float = 0.3
    slack_min: float = 30.0


@dataclass(frozen=True, slots=True)
class PartyFacts:
    """Who comes."""

    heads: int
    minors: int = 0
    heads_per_guide: int = 4
    guides: int = 1


@dataclass(frozen=True, slots=True)
class SeaFacts:
    """What the tide does to the way out and to the sand.

    `tide_why` says why there is no tide; `leave_by_at` is None where the way out stays open.
    `run_up_m` is in the leave-by, or None where the waves are not known or no formula holds.
    `cuts_off` and `on_sand` say whether the spot has a sill and a drive on the sand at all.
    """

    tide_why: str = ""
    cuts_off: bool = False
    leave_by_at: datetime | None = None
    way_shut_at: datetime | None = None
    leave_why: str = ""
    level_m: float | None = None
    run_up_m: float | None = None
    run_up_why: str = ""
    on_sand: bool = False
    sand_opens_at: datetime | None = None
    last_drive_out_at: datetime | None = None
    drive_why: str = ""


@dataclass(frozen=True, slots=True)
class FlyFacts:
    """Flying: planned or not, the reason where nothing may be flown, the light, the low sun."""

    planned: bool = False
    cast_only: str = ""
    light: tuple[Stretch, ...] = ()
    glare: tuple[Stretch, ...] = ()


@dataclass(frozen=True, slots=True)
class ForecastFacts:
    """What is forecast: hour by hour up to `until`, when issued, and each issue used in words."""

    hours: tuple[WeatherHour, ...] = ()
    until: datetime | None = None
    issued_at: datetime | None = None
    oldest_issued_at: datetime | None = None
    sources: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class DayFacts:
    """Everything that a decision stands on, as it was known at `known_at`."""

    known_at: datetime
    hours: DayHours
    spot: SpotLimits
    house: TheHouse
    party: PartyFacts
    sea: SeaFacts
    fly: FlyFacts
    forecast: ForecastFacts
    craft: CraftLimits | None = None
    rules: int = 1
