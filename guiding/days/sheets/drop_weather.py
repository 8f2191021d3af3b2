"""The wind and the sea that a day's drops are planned in: typed, forecast, or on the safe side."""

from __future__ import annotations

import datetime
from collections.abc import Sequence
from dataclasses import dataclass
from zoneinfo import ZoneInfo

from guiding.almanac.windows import Windows
from guiding.days.models import DropSetup, Spot
from guiding.days.rules.weather import WeatherHour
from guiding.flying.craft import Craft
from guiding.flying.defaults import FlyingDefaults
from guiding.flying.sortie import wind_limit_ms

# Without craft or forecast a fresh breeze is planned for. House default.
_FRESH_MS = 8.0
_HOUR = datetime.timedelta(hours=1)


@dataclass(frozen=True, slots=True)
class DropWeather:
    """What the drops are reckoned in, why, and when it can be flown at all.

    `flyable` is the part of the session in which light and wind allow a flight.
    """

    wind_ms: float
    gust_ms: float | None
    wind_from_deg: float | None
    wave_height_m: float
    air_c: float | None
    told: str
    known: bool
    flyable: Windows


def drop_weather(
    *,
    setup: DropSetup,
    spot: Spot,
    craft: Craft | None,
    hours: Sequence[WeatherHour],
    window: Windows,
    zone: ZoneInfo,
    defaults: FlyingDefaults,
) -> DropWeather:
    """What was typed wins; else the windiest forecast hour that may be flown; else the limit.

    window: the part of the session in flying light.
    """
    spans = _spans(hours)
    inside = [one for one in spans if one.hour.wind_ms is not None and bool(window & one.window)]
    waves = [one.hour.wave_m for one in inside if one.hour.wave_m is not None]
    airs = [one.hour.air_c for one in inside if one.hour.air_c is not None]
    wave_m = setup.wave_height_m
    if wave_m is None:
        wave_m = max(waves, default=spot.wave_caution_m)
    air_c = setup.air_c if setup.air_c is not None else min(airs, default=None)
    if setup.wind_ms is not None:
        told = "The wind as you entered it."
        return DropWeather(
            setup.wind_ms, setup.gust_ms, setup.wind_from_deg, wave_m, air_c, told, True, window
        )
    if inside:
        calm = [one for one in inside if craft is None or _may_fly(one, craft, defaults)]
        return _forecast(inside, calm, window, zone, wave_m, air_c, setup.wind_from_deg)
    limit_ms = wind_limit_ms(craft, defaults) if craft else _FRESH_MS
    told = (
        f"No wind is forecast yet: planned in {limit_ms:.1f} m/s, the strongest mean wind that "
        "may be flown. Enter the wind when it is known."
    )
    return DropWeather(limit_ms, None, setup.wind_from_deg, wave_m, air_c, told, False, window)


@dataclass(frozen=True, slots=True)
class _Spell:
    """The figures of a forecast, and how long they hold."""

    hour: WeatherHour
    window: Windows

    @property
    def wind_ms(self) -> float:
        return self.hour.wind_ms or 0.0


def _spans(hours: Sequence[WeatherHour]) -> list[_Spell]:
    """Each reading until the next one, an hour at most."""
    found = []
    for n, one in enumerate(hours):
        until = one.at + _HOUR
        if n + 1 < len(hours):
            until = min(until, hours[n + 1].at)
        found.append(_Spell(one, Windows.of((one.at, until))))
    return found


def _forecast(
    inside: Sequence[_Spell],
    calm: Sequence[_Spell],
    window: Windows,
    zone: ZoneInfo,
    wave_m: float,
    air_c: float | None,
    wind_from_deg: float | None,
) -> DropWeather:
    flyable = window
    for one in inside:
        if one not in calm:
            flyable = flyable - one.window
    worst = max(calm, key=_wind) if calm else min(inside, key=_wind)
    at = f"{worst.hour.at.astimezone(zone):%H:%M}"
    if not calm:
        told = f"No hour of the session may be flown; {at} is the calmest."
    elif len(calm) < len(inside):
        lost_min = window.total_min - flyable.total_min
        told = (
            f"The windiest forecast hour that may be flown, {at}; {lost_min / 60:.1f} h of the "
            "session are too windy to fly."
        )
    else:
        told = f"The windiest forecast hour of the session, {at}."
    off = worst.hour.wind_from_deg if wind_from_deg is None else wind_from_deg
    return DropWeather(worst.wind_ms, worst.hour.gust_ms, off, wave_m, air_c, told, True, flyable)


def _wind(one: _Spell) -> float:
    return one.wind_ms


def _may_fly(one: _Spell, craft: Craft, defaults: FlyingDefaults) -> bool:
    gust_ms = one.hour.gust_ms
    if gust_ms is None:
        gust_ms = one.wind_ms * defaults.gust_factor
    gust_limit_ms = craft.wind_limit_ms * defaults.gust_share
    return one.wind_ms <= wind_limit_ms(craft, defaults) and gust_ms <= gust_limit_ms
