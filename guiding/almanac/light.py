"""Light and moon on local dates: when the sun and the moon rise and set, and what that allows.

Definitions of the official almanacs: sea level, upper limb on the horizon, refraction 34 minutes
of arc, radius as seen that day; civil twilight begins and ends with the sun's centre 6 degrees
below the horizon. Real refraction and a raised or hidden horizon move the times by minutes.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta
from enum import StrEnum
from functools import lru_cache
from typing import Any

import numpy as np

from guiding.almanac.crossings import Curve, Floats
from guiding.almanac.instants import instant_of, local_day, local_noon, posix_seconds
from guiding.almanac.sky import CIVIL_TWILIGHT_DEG, DAY_S, Sky
from guiding.almanac.windows import Span, Windows

_STEP_S = 3600.0
_FIRST_DAY, _LAST_DAY = date(1900, 1, 2), date(2100, 12, 30)


class Tone(StrEnum):
    """How light it is."""

    NIGHT = "night"
    TWILIGHT = "twilight"  # civil
    DAY = "day"


class LightRule(StrEnum):
    """Which light is wanted, or allowed."""

    DAYLIGHT = "daylight"
    TWILIGHT = "daylight and civil twilight"
    NIGHT = "night and twilight"
    ANY = "any hour"


class Quarter(StrEnum):
    """The four named moments of the moon."""

    NEW = "new moon"
    FIRST = "first quarter"
    FULL = "full moon"
    LAST = "last quarter"


_QUARTERS = tuple(Quarter)
_BETWEEN = ("waxing crescent", "waxing gibbous", "waning gibbous", "waning crescent")


@dataclass(frozen=True, slots=True)
class MoonQuarter:
    """A quarter of the moon and its instant."""

    at: datetime
    quarter: Quarter


@dataclass(frozen=True, slots=True)
class TonedSpan:
    """A span of one tone; the spans of a day follow each other without a gap."""

    start: datetime
    end: datetime
    tone: Tone


@dataclass(frozen=True, slots=True)
class SunPlace:
    """Where the sun stands: altitude over the horizon without refraction, azimuth from north."""

    at: datetime
    altitude_deg: float
    azimuth_deg: float


@dataclass(frozen=True, slots=True)
class LightDay:
    """The light of one local date at a place. Times are UTC; None where `why` has the reason.

    Where an event comes twice on a date, which happens near the polar circles, dawn, sunrise and
    the moon's events are the first and sunset and dusk the last of the date. `moon_fraction` is the
    lit share of the disc, 0 to 1, at local noon, `moon_waxing` whether it grows then;
    `moon_phase` its name, that of the quarter if one falls on the date.
    """

    day: date
    zone: str
    start: datetime
    end: datetime
    civil_dawn: datetime | None
    sunrise: datetime | None
    sunset: datetime | None
    civil_dusk: datetime | None
    moonrise: datetime | None
    moonset: datetime | None
    moon_fraction: float
    moon_waxing: bool
    moon_phase: str
    daylight: Windows  # from sunrise to sunset
    civil_light: Windows  # from civil dawn to civil dusk
    moonlight: Windows  # from moonrise to moonset
    why: Mapping[str, str] = field(hash=False)

    @property
    def tones(self) -> tuple[TonedSpan, ...]:
        """Night, twilight and day in order; together they cover the local date exactly."""
        night = self._whole - self.civil_light
        twilight = self.civil_light - self.daylight
        toned = [
            TonedSpan(span.start, span.end, tone)
            for windows, tone in (
                (night, Tone.NIGHT),
                (twilight, Tone.TWILIGHT),
                (self.daylight, Tone.DAY),
            )
            for span in windows
        ]
        return tuple(sorted(toned, key=lambda span: span.start))

    def fishing_light(self, rule: LightRule = LightRule.TWILIGHT) -> Windows:
        """The light the day is sold on; unless told otherwise civil dawn to civil dusk [house]."""
        return self._light(rule)

    def flying_light(self, rule: LightRule = LightRule.DAYLIGHT) -> Windows:
        """The light in which a craft may fly; unless told otherwise sunrise to sunset [house].

        Which rule holds is for the aviation authority of the place to say.
        """
        return self._light(rule)

    @property
    def _whole(self) -> Windows:
        return Windows.of((self.start, self.end))

    def _light(self, rule: LightRule) -> Windows:
        if rule is LightRule.DAYLIGHT:
            return self.daylight
        if rule is LightRule.TWILIGHT:
            return self.civil_light
        return self._whole - self.daylight if rule is LightRule.NIGHT else self._whole


def light_day(latitude_deg: float, longitude_deg: float, zone: str, day: date) -> LightDay:
    """Light and moon of one local date at a place.

    Latitude north and longitude east in degrees, zone an IANA name, years 1900 to 2100. Agrees with
    the official almanac to a minute up to 60 degrees of latitude; near the polar circles, where the
    sun grazes the horizon, to a few. ValueError for a place, zone or date that cannot be.
    """
    return light_days(latitude_deg, longitude_deg, zone, day, day)[0]


def light_days(
    latitude_deg: float, longitude_deg: float, zone: str, first: date, last: date
) -> tuple[LightDay, ...]:
    """Light and moon of every local date from first to last, both included, in one search.

    Arguments, accuracy and errors as for one day.
    """
    sky = Sky(latitude_deg, longitude_deg)
    _check_days(first, last)
    days = [first + timedelta(days=i) for i in range((last - first).days + 1)]
    spans = [local_day(day, zone) for day in days]
    start, end = spans[0].start, spans[-1].end
    sun = _Passages.of(Curve(lambda t: sky.sighted("sun", t).limb_deg, _STEP_S), 0.0, start, end)
    civil = _Passages.of(
        Curve(lambda t: sky.sighted("sun", t).altitude_deg, _STEP_S), CIVIL_TWILIGHT_DEG, start, end
    )
    moon = _Passages.of(Curve(lambda t: sky.sighted("moon", t).limb_deg, _STEP_S), 0.0, start, end)
    noons = np.array([posix_seconds(local_noon(day, zone)) for day in days])
    fractions, elongations = Sky.lit_share(noons), Sky.elongation_deg(noons)
    quarters = moon_quarters(start, end)
    found = []
    for day, span, fraction, elongation in zip(days, spans, fractions, elongations, strict=True):
        named = next((q.quarter for q in quarters if span.contains(q.at)), None)
        phase = named.value if named else _BETWEEN[int(elongation // 90) % 4]
        disc = {
            "moon_fraction": round(float(fraction), 4),
            "moon_waxing": bool(elongation < 180),
            "moon_phase": phase,
        }
        found.append(_light_day(day, zone, span, (sun, civil, moon), disc))
    return tuple(found)


def _light_day(
    day: date,
    zone: str,
    span: Span,
    passages: tuple[_Passages, _Passages, _Passages],
    disc: dict[str, Any],
) -> LightDay:
    sun, civil, moon = (each.on(span) for each in passages)
    why = {
        **civil.why_none("civil_dawn", "civil_dusk", _CIVIL_REASONS),
        **sun.why_none("sunrise", "sunset", _SUN_REASONS),
        **moon.why_none("moonrise", "moonset", _MOON_REASONS),
    }
    return LightDay(
        day=day,
        zone=zone,
        start=span.start,
        end=span.end,
        civil_dawn=civil.first_rise,
        sunrise=sun.first_rise,
        sunset=sun.last_set,
        civil_dusk=civil.last_set,
        moonrise=moon.first_rise,
        moonset=moon.first_set,
        daylight=sun.windows,
        civil_light=civil.windows,
        moonlight=moon.windows,
        why=why,
        **disc,
    )


@lru_cache(maxsize=64)  # the moon's quarters belong to no place: ten spots share them
def moon_quarters(start: datetime, end: datetime) -> tuple[MoonQuarter, ...]:
    """New moon, quarters and full moon from start (included) to end (not included).

    Aware times, years 1900 to 2100; the instants agree with the official almanac to a minute.
    """
    span = Span(start, end)
    curve = Curve(lambda t: np.sin(2 * np.radians(Sky.elongation_deg(t))), DAY_S / 2)
    times, _ = curve.crossings(0.0, posix_seconds(span.start), posix_seconds(span.end))
    if not len(times):
        return ()
    which = np.round(Sky.elongation_deg(times) / 90).astype(int) % 4
    return tuple(
        MoonQuarter(instant_of(float(at)), _QUARTERS[int(i)])
        for at, i in zip(times, which, strict=True)
    )


def sun_track(
    latitude_deg: float, longitude_deg: float, zone: str, day: date, step_min: int = 15
) -> tuple[SunPlace, ...]:
    """Where the sun stands through a local date, every `step_min` minutes from midnight.

    The end of the day is included. `step_min` from 1 to 240. ValueError otherwise, and as for
    one day of light.
    """
    if not 1 <= step_min <= 240:
        raise ValueError(f"A step of {step_min} minutes is not between 1 and 240: take 15 or so.")
    _check_days(day, day)
    span = local_day(day, zone)
    first, last = posix_seconds(span.start), posix_seconds(span.end)
    times = np.append(np.arange(first, last, step_min * 60.0), last)
    return _sun_places(Sky(latitude_deg, longitude_deg), times)


def sun_place(latitude_deg: float, longitude_deg: float, at: datetime) -> SunPlace:
    """Where the sun stands at an instant, seen from a place at sea level."""
    times = np.array([posix_seconds(at)])
    return _sun_places(Sky(latitude_deg, longitude_deg), times)[0]


def _sun_places(sky: Sky, times: Floats) -> tuple[SunPlace, ...]:
    seen = sky.sighted("sun", times)
    return tuple(
        SunPlace(instant_of(float(at)), round(float(altitude), 4), round(float(azimuth), 4))
        for at, altitude, azimuth in zip(times, seen.altitude_deg, seen.azimuth_deg, strict=True)
    )


_Reasons = tuple[str, str, str, str]  # never set, never up, no rise today, no set today
_SUN_REASONS: _Reasons = (
    "the sun stays up all day",
    "the sun stays down all day",
    "the sun does not rise on this date",
    "the sun does not set on this date",
)
_CIVIL_REASONS: _Reasons = (
    "it gets no darker than civil twilight all day",
    "it gets no lighter than the dark side of civil twilight all day",
    "civil twilight does not begin on this date",
    "civil twilight does not end on this date",
)
_MOON_REASONS: _Reasons = (
    "the moon stays up all day",
    "the moon stays down all day",
    "the moon does not rise on this date",
    "the moon does not set on this date",
)


@dataclass(frozen=True, slots=True)
class _Passages:
    """The rises and sets of one curve over a span, and the side it starts on."""

    span: Span
    times: list[datetime]
    rising: list[bool]
    up_at_start: bool

    @classmethod
    def of(cls, curve: Curve, level: float, start: datetime, end: datetime) -> _Passages:
        first, last = posix_seconds(start), posix_seconds(end)
        times, rising = curve.crossings(level, first, last)
        return cls(
            Span(start, end),
            [instant_of(float(at)) for at in times],
            [bool(up) for up in rising],
            bool(curve.value(np.array([first]))[0] >= level),
        )

    def on(self, span: Span) -> _Passages:
        i, j = bisect_left(self.times, span.start), bisect_left(self.times, span.end)
        up = self.rising[i - 1] if i else self.up_at_start
        return _Passages(span, self.times[i:j], self.rising[i:j], up)

    @property
    def windows(self) -> Windows:
        return Windows.from_crossings(
            self.span.start,
            self.span.end,
            zip(self.times, self.rising, strict=True),
            inside_at_start=self.up_at_start,
        )

    @property
    def first_rise(self) -> datetime | None:
        return next((at for at, up in zip(self.times, self.rising, strict=True) if up), None)

    @property
    def first_set(self) -> datetime | None:
        return next((at for at, up in zip(self.times, self.rising, strict=True) if not up), None)

    @property
    def last_set(self) -> datetime | None:
        pairs = zip(reversed(self.times), reversed(self.rising), strict=True)
        return next((at for at, up in pairs if not up), None)

    def why_none(self, rise: str, fall: str, reasons: _Reasons) -> dict[str, str]:
        stays_up, stays_down, no_rise, no_set = reasons
        if True in self.rising and False in self.rising:
            return {}
        if not self.times:
            return dict.fromkeys((rise, fall), stays_up if self.up_at_start else stays_down)
        why = {}
        if True not in self.rising:
            why[rise] = no_rise
        if False not in self.rising:
            why[fall] = no_set
        return why


def _check_days(first: date, last: date) -> None:
    if last < first:
        raise ValueError(f"The last day {last} is before the first day {first}: exchange them.")
    if first < _FIRST_DAY or last > _LAST_DAY:
        raise ValueError(
            f"Light is computed from {_FIRST_DAY} to {_LAST_DAY}: {first} to {last} is outside."
        )
