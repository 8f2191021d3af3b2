"""When a hold and a quote lapse, when to decide on the conditions, when to remind.

Instants are aware and come out in UTC; days are days of a named zone. A deadline is the first
instant at which the thing has lapsed.
"""

from collections.abc import Sequence
from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

_DECISIONS_H = (72, 48, 24, 2)
_FORM_REMINDERS = (14, 7, 3)


def hold_lapses_at(
    held_at: datetime, hold_h: int = 48, trip_starts_at: datetime | None = None
) -> datetime:
    """The instant a hold lapses: so many hours after it was given, at latest when the trip starts.

    `held_at`, `trip_starts_at` aware; `hold_h` 1 or more. Hours are real hours, also over a change
    of the clocks. Errors: naive instants, no hours. Source: 48 h is the house's default.
    """
    if hold_h < 1:
        raise ValueError(f"A hold of {hold_h} hours is none; enter 1 or more.")
    lapses_at = _utc(held_at, "Held at") + timedelta(hours=hold_h)
    return _at_latest(lapses_at, trip_starts_at)


def quote_lapses_at(
    sent_at: datetime,
    valid_days: int,
    zone: str,
    trip_starts_at: datetime | None = None,
) -> datetime:
    """The instant a quote lapses: at the end of the last valid local day, or when the trip starts.

    `sent_at`, `trip_starts_at` aware; `valid_days` 1 or more, the day of sending not counted;
    `zone` a name of the time-zone database, as Europe/Dublin. Errors: naive instants, no days, an
    unknown zone. Source: house rule.
    """
    if valid_days < 1:
        raise ValueError(f"Valid for {valid_days} days is not valid at all; enter 1 or more.")
    here = _zone(zone)
    last_day = _utc(sent_at, "Sent at").astimezone(here).date() + timedelta(days=valid_days)
    midnight = datetime.combine(last_day + timedelta(days=1), time(), tzinfo=here)
    return _at_latest(midnight.astimezone(UTC), trip_starts_at)


def has_lapsed(lapses_at: datetime, at: datetime) -> bool:
    """Whether a hold or quote has lapsed at an instant: yes from `lapses_at` itself on.

    Both aware. Errors: naive instants. Source: house rule, half-open times.
    """
    return _utc(at, "At") >= _utc(lapses_at, "Lapses at")


def decision_times(
    leave_at: datetime, hours_before: Sequence[int] = _DECISIONS_H
) -> tuple[datetime, ...]:
    """The instants to decide go, hold or call off: so many hours before leaving, earliest first.

    `leave_at` aware; `hours_before` above 0. Errors: a naive instant, hours of 0 or less.
    Source: 72, 48, 24 and 2 h are the house's default.
    """
    if any(hours <= 0 for hours in hours_before):
        raise ValueError("A decision must come before leaving; give hours above 0.")
    start = _utc(leave_at, "Leave at")
    return tuple(start - timedelta(hours=h) for h in sorted(set(hours_before), reverse=True))


def reminder_days(
    trip_on: date, booked_on: date, days_before: Sequence[int] = _FORM_REMINDERS
) -> tuple[date, ...]:
    """The days to remind a party of what is missing, earliest first, none before it has booked.

    Days in the business's own zone; `days_before` 0 or more. A party that books late gets the
    reminders still ahead, not all at once. Errors: a negative number of days.
    Source: 14, 7 and 3 days are the house's default.
    """
    if any(days < 0 for days in days_before):
        raise ValueError("A reminder after the trip is too late; give days of 0 or more.")
    dates = (trip_on - timedelta(days=n) for n in sorted(set(days_before), reverse=True))
    return tuple(day for day in dates if day > booked_on)


def _at_latest(lapses_at: datetime, trip_starts_at: datetime | None) -> datetime:
    if trip_starts_at is None:
        return lapses_at
    return min(lapses_at, _utc(trip_starts_at, "Trip starts at"))


def _utc(instant: datetime, what: str) -> datetime:
    if instant.tzinfo is None or instant.utcoffset() is None:
        raise ValueError(f"{what}: {instant} has no zone; give an instant with its offset.")
    return instant.astimezone(UTC)


def _zone(name: str) -> ZoneInfo:
    try:
        return ZoneInfo(name)
    except (ZoneInfoNotFoundError, ValueError, OSError) as problem:
        raise ValueError(
            f"Zone '{name}' is not known; give a name like Europe/Dublin."
        ) from problem
