"""Limits, and what a forecast says about each of them: go, caution or stop, hour by hour.

The figures are the guide's own, the maker's or the authority's; defaults without a source are
marked [house] where they are set. A finding is advice: check with your own authority.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime, timedelta
from enum import StrEnum
from zoneinfo import ZoneInfo

from guiding.days.rules.weather import WeatherHour


class Verdict(StrEnum):
    """What a finding means."""

    GO = "go"
    CAUTION = "caution"
    STOP = "stop"


class Whose(StrEnum):
    """Who set the limit."""

    SPOT = "spot"
    CRAFT = "craft"
    BUSINESS = "business"
    LAW = "law"


class Scope(StrEnum):
    """What a finding speaks of: the day itself, or flying the bait out."""

    DAY = "day"
    FLYING = "flying"


GRAVITY = {Verdict.GO: 0, Verdict.CAUTION: 1, Verdict.STOP: 2}


@dataclass(frozen=True, slots=True)
class Finding:
    """What one limit came to: the number found, the limit it is held against, and the hour.

    `value` and `limit` in `unit`; None where it has no number. `at` is the hour of the worst
    figure, `note` says the rest in words.
    """

    key: str
    what: str
    whose: Whose
    scope: Scope
    verdict: Verdict
    note: str = ""
    value: float | None = None
    limit: float | None = None
    unit: str = ""
    at: datetime | None = None


@dataclass(frozen=True, slots=True)
class WindPart:
    """A part of the compass, clockwise from one bearing to another, with a limit of its own."""

    from_deg: float
    to_deg: float
    stop_ms: float
    why: str = ""


@dataclass(frozen=True, slots=True)
class Held:
    """A figure of an hour with the limits it is held against; a limit of None is not set.

    `note` says more about this hour.
    """

    at: datetime
    value: float
    caution: float | None
    stop: float | None
    note: str = ""


def in_wind_part(wind_from_deg: float, from_deg: float, to_deg: float) -> bool:
    """Whether a wind blows from a part of the compass, clockwise from one bearing to another.

    Degrees, 0 to 360, both ends belong to it; a part may run over north; from 0 to 360 is all of
    it. ValueError outside.
    """
    for deg in (wind_from_deg, from_deg, to_deg):
        if not 0 <= deg <= 360:
            raise ValueError(f"{deg} is no bearing: give degrees clockwise from north, 0 to 360.")
    if to_deg - from_deg == 360:
        return True
    return (wind_from_deg - from_deg) % 360 <= (to_deg - from_deg) % 360


def wind_stop_at(
    wind_from_deg: float | None, stop_ms: float, parts: tuple[WindPart, ...]
) -> tuple[float, str]:
    """The mean wind that stops fishing at a spot for a wind from there, and which limit it is.

    The lowest of the parts that it blows from; the spot's own limit where it blows from none. Where
    the direction is not known, the lowest of all: the safe side. Metres per second.
    """
    if wind_from_deg is None:
        lowest = min(parts, key=lambda part: part.stop_ms, default=None)
        if lowest is None or lowest.stop_ms >= stop_ms:
            return stop_ms, ""
        return lowest.stop_ms, "its direction is not known"
    hit = [part for part in parts if in_wind_part(wind_from_deg, part.from_deg, part.to_deg)]
    if not hit:
        return stop_ms, ""
    part = min(hit, key=lambda each: each.stop_ms)
    words = f"limit from {part.from_deg:.0f}° to {part.to_deg:.0f}°"
    return part.stop_ms, f"{words}: {part.why}" if part.why else words


def worst_finding(
    *,
    key: str,
    what: str,
    whose: Whose,
    scope: Scope,
    unit: str,
    figures: tuple[Held, ...],
    zone: str,
    beyond: bool = False,
) -> Finding | None:
    """What the figures of a stay come to: the worst of them, and from when to when it is so.

    A limit is reached at its own number, or with `beyond` only past it. None without a figure.
    Worst is the gravest, then the one nearest to or furthest over its limit, the earliest of
    equals.
    """
    if not figures:
        return None
    judged = [(_judged(each, beyond), each) for each in figures]
    verdict, worst = max(
        judged,
        key=lambda pair: (GRAVITY[pair[0]], _share(pair[1]), -pair[1].at.timestamp()),
    )
    limit = worst.caution if verdict is Verdict.CAUTION else worst.stop
    if limit is None:
        limit = worst.caution
    words = [worst.note] if worst.note else []
    if verdict is not Verdict.GO:
        grave = [each.at for found, each in judged if found is verdict]
        words.append(hours_told(grave, zone))
    return Finding(
        key=key,
        what=what,
        whose=whose,
        scope=scope,
        verdict=verdict,
        note="; ".join(words),
        value=worst.value,
        limit=limit,
        unit=unit,
        at=worst.at,
    )


def _judged(each: Held, beyond: bool) -> Verdict:
    def over(limit: float | None) -> bool:
        return limit is not None and (each.value > limit if beyond else each.value >= limit)

    if over(each.stop):
        return Verdict.STOP
    return Verdict.CAUTION if over(each.caution) else Verdict.GO


def _share(each: Held) -> float:
    limit = each.stop if each.stop is not None else each.caution
    return each.value / limit if limit else each.value


def hours_told(hours: list[datetime], zone: str) -> str:
    """The hours of a list as local clock times, runs of an hour's step together: 06:00 to 09:00.

    ValueError for an empty list.
    """
    if not hours:
        raise ValueError("There is no hour to tell of.")
    rules, runs = ZoneInfo(zone), [[hours[0], hours[0]]]
    for at in hours[1:]:
        if at - runs[-1][1] <= timedelta(hours=1):
            runs[-1][1] = at
        else:
            runs.append([at, at])
    return ", ".join(
        f"{first.astimezone(rules):%H:%M}"
        if first == last
        else f"{first.astimezone(rules):%H:%M} to {last.astimezone(rules):%H:%M}"
        for first, last in runs
    )


def known_hours(
    hours: tuple[WeatherHour, ...],
    start: datetime,
    end: datetime,
    figure: Callable[[WeatherHour], float | None],
) -> tuple[tuple[WeatherHour, float], ...]:
    """The hours that touch a span with their figure, where it is known.

    An hour touches the span when it holds inside it: the one before the start still does.
    """
    return tuple(
        (hour, value) for hour in touching(hours, start, end) if (value := figure(hour)) is not None
    )


def touching(
    hours: tuple[WeatherHour, ...], start: datetime, end: datetime
) -> tuple[WeatherHour, ...]:
    """The hours whose figures hold somewhere between start and end, each until the next."""
    ends = [*(hour.at for hour in hours[1:]), end]
    return tuple(
        hour
        for hour, until in zip(hours, ends, strict=False)
        if hour.at < end and max(until, hour.at) > start
    )
