"""Flying the bait out: permission, light, wind, rain and load, and when all of them allow it."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import datetime

from guiding.almanac.session import Reading, may_fly_windows, windows_within
from guiding.almanac.windows import Windows
from guiding.days.rules.decision.facts import CraftLimits, DayFacts, Stretch
from guiding.days.rules.limits import (
    Finding,
    Held,
    Scope,
    Verdict,
    Whose,
    known_hours,
    worst_finding,
)
from guiding.days.rules.weather import WeatherHour


def flying_findings(facts: DayFacts) -> Iterator[Finding]:
    """The findings that stop flying and leave the day itself open: cast instead."""
    if not facts.fly.planned:
        return
    if facts.fly.cast_only:
        yield _flying("permission", "Permission", Whose.LAW, Verdict.STOP, facts.fly.cast_only)
    else:
        yield _flying("permission", "Permission", Whose.LAW, Verdict.GO, "both papers hold")
    craft = facts.craft
    if craft is None:
        yield _flying("craft", "Craft", Whose.CRAFT, Verdict.STOP, "no craft is chosen")
        return
    if craft.grounded_because:
        yield _flying("craft", craft.name, Whose.CRAFT, Verdict.STOP, craft.grounded_because)
    yield _load(craft)
    figures = (
        ("craft wind", "Mean wind for the craft", _mean(facts, craft), "m/s"),
        ("craft gusts", "Gusts for the craft", _gusts(facts, craft), "m/s"),
        ("craft rain", "Rain on the craft", _rain(facts, craft), "mm"),
    )
    for key, what, held, unit in figures:
        found = worst_finding(
            key=key, what=what, whose=Whose.CRAFT, scope=Scope.FLYING, unit=unit,
            figures=held, zone=facts.hours.zone, beyond=True,
        )  # fmt: skip
        if found is not None:
            yield found
    yield _hours(facts)
    yield from _glare(facts)


def may_fly(facts: DayFacts) -> Windows:
    """When bait may be flown: flying light and wind, gusts and rain within the craft's limits.

    Nothing where the permission, the craft or a figure of the wind is missing; hours without
    a known wind are not in it. A window is not a permission: check with your own authority.
    """
    craft = facts.craft
    if facts.fly.cast_only or craft is None or craft.grounded_because or _overloaded(craft):
        return Windows()
    light = _windows(facts.fly.light)
    return may_fly_windows(light, _wind_within(facts, craft), _dry(facts, craft), Windows())


def over_craft_limit(facts: DayFacts) -> Windows:
    """The hours of the forecast whose wind or gusts are over the craft's limit."""
    if facts.craft is None or not facts.forecast.hours:
        return Windows()
    hours = facts.forecast.hours
    known = Windows.of(
        *(
            (hour.at, until)
            for hour, until in _with_ends(facts, hours)
            if hour.wind_ms is not None or hour.gust_ms is not None
        )
    )
    return known - _wind_within(facts, facts.craft)


def _wind_within(facts: DayFacts, craft: CraftLimits) -> Windows:
    hours, until = facts.forecast.hours, _end(facts)
    if not hours:
        return Windows()
    means = tuple(Reading(hour.at, hour.wind_ms) for hour in hours)
    gusts = tuple(Reading(hour.at, gust_of(hour, craft)) for hour in hours)
    return windows_within(means, mean_limit_ms(craft), until) & windows_within(
        gusts, gust_limit_ms(craft), until
    )


def _dry(facts: DayFacts, craft: CraftLimits) -> Windows:
    """The hours without rain, or all where the craft is rated for it; unknown rain counts as dry:
    it is looked at on the beach."""
    hours = facts.forecast.hours
    if craft.rain_rated:
        return Windows.of((hours[0].at, _end(facts))) if hours else Windows()
    return Windows.of(
        *((hour.at, until) for hour, until in _with_ends(facts, hours) if not hour.rain_mm)
    )


def mean_limit_ms(craft: CraftLimits) -> float:
    """The mean wind that a craft may fly in: the house's share of the maker's limit."""
    return round(craft.wind_limit_ms * craft.mean_share, 3)


def gust_limit_ms(craft: CraftLimits) -> float:
    """The gusts that a craft may fly in: the house's share of the maker's limit."""
    return round(craft.wind_limit_ms * craft.gust_share, 3)


def gust_of(hour: WeatherHour, craft: CraftLimits) -> float | None:
    """The gust of an hour; where none is forecast, the usual factor over the mean wind."""
    if hour.gust_ms is not None or hour.wind_ms is None:
        return hour.gust_ms
    return round(hour.wind_ms * craft.gust_factor, 2)


def _mean(facts: DayFacts, craft: CraftLimits) -> tuple[Held, ...]:
    limit = mean_limit_ms(craft)
    return tuple(
        Held(hour.at, value, None, limit)
        for hour, value in _session(facts, lambda hour: hour.wind_ms)
    )


def _gusts(facts: DayFacts, craft: CraftLimits) -> tuple[Held, ...]:
    limit = gust_limit_ms(craft)
    return tuple(
        Held(hour.at, value, None, limit, "" if hour.gust_ms is not None else "from the mean wind")
        for hour, value in _session(facts, lambda hour: gust_of(hour, craft))
    )


def _rain(facts: DayFacts, craft: CraftLimits) -> tuple[Held, ...]:
    if craft.rain_rated:
        return ()
    return tuple(
        Held(hour.at, value, None, 0.0)
        for hour, value in _session(facts, lambda hour: hour.rain_mm)
    )


def _session(
    facts: DayFacts, figure: Callable[[WeatherHour], float | None]
) -> tuple[tuple[WeatherHour, float], ...]:
    hours = facts.hours
    return known_hours(facts.forecast.hours, hours.session_start, hours.session_end, figure)


def _load(craft: CraftLimits) -> Finding:
    total_kg = round(craft.mass_kg + craft.bait_g / 1000, 3)
    return Finding(
        "take-off mass",
        "Take-off mass",
        Whose.CRAFT,
        Scope.FLYING,
        Verdict.STOP if _overloaded(craft) else Verdict.GO,
        "with bait and rig",
        total_kg,
        craft.max_takeoff_kg,
        "kg",
    )


def _overloaded(craft: CraftLimits) -> bool:
    return craft.mass_kg + craft.bait_g / 1000 > craft.max_takeoff_kg + 1e-9


def _hours(facts: DayFacts) -> Finding:
    hours = facts.hours
    session = Windows.of((hours.session_start, hours.session_end))
    found_h = round((may_fly(facts) & session).total_min / 60, 2)
    all_h = round(session.total_min / 60, 2)
    verdict = (
        Verdict.STOP if found_h == 0 else Verdict.CAUTION if found_h < all_h - 0.02 else Verdict.GO
    )
    words = {
        Verdict.STOP: "no hour of the session: cast only",
        Verdict.CAUTION: "cast outside these hours",
        Verdict.GO: "the whole session",
    }
    return Finding(
        "may fly", "Hours that may be flown", Whose.CRAFT, Scope.FLYING, verdict,
        words[verdict], found_h, all_h, "h",
    )  # fmt: skip


def _glare(facts: DayFacts) -> Iterator[Finding]:
    hours = facts.hours
    session = Windows.of((hours.session_start, hours.session_end))
    low = _windows(facts.fly.glare) & session
    if low:
        first = low.spans[0]
        yield Finding(
            "glare", "Low sun along the path", Whose.BUSINESS, Scope.FLYING, Verdict.CAUTION,
            "turn the path or wait", round(low.total_min / 60, 2), None, "h", first.start,
        )  # fmt: skip


def _flying(key: str, what: str, whose: Whose, verdict: Verdict, note: str) -> Finding:
    return Finding(key, what, whose, Scope.FLYING, verdict, note)


def _windows(stretches: tuple[Stretch, ...]) -> Windows:
    return Windows.of(*((each.start, each.end) for each in stretches))


def _with_ends(
    facts: DayFacts, hours: tuple[WeatherHour, ...]
) -> tuple[tuple[WeatherHour, datetime], ...]:
    return tuple(zip(hours, [*(hour.at for hour in hours[1:]), _end(facts)], strict=False))


def _end(facts: DayFacts) -> datetime:
    """Until when the last hour of the forecast speaks: the end of what was gathered."""
    return facts.forecast.until or facts.hours.packed
