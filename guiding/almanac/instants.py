"""Instants and local dates: aware UTC times, POSIX seconds, and the days of a named zone."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from guiding.almanac.windows import Span

_EPOCH = datetime(1970, 1, 1, tzinfo=UTC)


def instant_of(posix_s: float) -> datetime:
    """The aware UTC time of a count of seconds since 1970-01-01, cut to the whole second.

    Cut, not rounded: an event found inside a day or a span then stays inside it. A microsecond is
    added first, so that a whole second that floating point left a hair short keeps its value.
    """
    return _EPOCH + timedelta(seconds=int((posix_s + 1e-6) // 1))


def posix_seconds(at: datetime) -> float:
    """The seconds since 1970-01-01 00:00 UTC of an aware time; ValueError without a zone."""
    if at.tzinfo is None:
        raise ValueError(f"The time {at.isoformat()} has no time zone: give an aware time.")
    return (at - _EPOCH).total_seconds()


def named_zone(zone: str) -> ZoneInfo:
    """The rules of a time zone by its IANA name, such as Europe/Dublin; ValueError if unknown."""
    try:
        return ZoneInfo(zone)
    except (ZoneInfoNotFoundError, ValueError, OSError):
        raise ValueError(
            f"There is no time zone named '{zone}': use an IANA name such as Europe/Dublin."
        ) from None


def local_day(day: date, zone: str) -> Span:
    """The span from one local midnight to the next: 23, 24 or 25 hours in most zones.

    A midnight that the clock skips counts as the moment of the skip; of a midnight that comes twice
    the first counts. Raises ValueError for an unknown zone and for a date that the zone left
    out altogether (Samoa, 30 December 2011).
    """
    start, end = _midnight(day, zone), _midnight(day + timedelta(days=1), zone)
    if end <= start:
        raise ValueError(f"The date {day.isoformat()} does not exist in {zone}: take another.")
    return Span(start, end)


def local_noon(day: date, zone: str) -> datetime:
    """The instant at which the clocks of the zone show 12:00 on the date, in UTC."""
    rules = named_zone(zone)
    return datetime(day.year, day.month, day.day, 12, tzinfo=rules).astimezone(UTC)


def _midnight(day: date, zone: str) -> datetime:
    rules = named_zone(zone)
    return datetime(day.year, day.month, day.day, tzinfo=rules).astimezone(UTC)
