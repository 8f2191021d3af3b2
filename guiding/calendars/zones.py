"""Clock times and zones as calendars write them: rules, gaps and overlaps."""

from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from functools import lru_cache
from zoneinfo import ZoneInfo

from guiding.calendars import _lines
from guiding.calendars._clock import zone_named

_DAYS = ("MO", "TU", "WE", "TH", "FR", "SA", "SU")
_YEARS_CHECKED = 6


@dataclass(frozen=True, slots=True)
class ClockChange:
    """A change of a zone's offset: when, from what to what, and the name from then on."""

    at: datetime
    from_min: int
    to_min: int
    name: str

    @property
    def onset(self) -> datetime:
        """The clock time of the change, read on the clock before it, as VTIMEZONE wants it."""
        return self.at.replace(tzinfo=None) + timedelta(minutes=self.from_min)


@dataclass(frozen=True, slots=True)
class ClockReading:
    """What a clock time means: the instant, and whether the clock shows it never or twice."""

    instant: datetime
    kind: str
    shown: datetime


def read_clock(local: datetime, zone: str) -> ClockReading:
    """The instant of a clock time without offset in a zone, after RFC 5545, 3.3.5, form 3.

    A time that comes twice (kind 'overlap') is the first of the two; a time that never comes
    (kind 'gap') is read with the offset in force before the gap, so the clock then shows `shown`,
    an hour later in most places. Raises ValueError for a time that already has a zone.
    """
    if local.tzinfo is not None:
        raise ValueError("A clock time to be read in a zone may not carry one of its own.")
    place = zone_named(zone)
    first, second = local.replace(tzinfo=place, fold=0), local.replace(tzinfo=place, fold=1)
    instant = first.astimezone(UTC)
    shown = instant.astimezone(place).replace(tzinfo=None)
    if shown != local:
        kind = "gap"
    elif first.utcoffset() != second.utcoffset():
        kind = "overlap"
    else:
        kind = "normal"
    return ClockReading(instant, kind, shown.replace(fold=0))


def clock_changes(zone: str, year: int) -> tuple[ClockChange, ...]:
    """Every change of the offset of a zone in one UTC year, to the second."""
    place = zone_named(zone)
    found = []
    day = datetime(year, 1, 1, tzinfo=UTC)
    while day.year == year:
        following = day + timedelta(days=1)
        if _offset(place, day) != _offset(place, following):
            found.append(_change_between(place, day, following))
        day = following
    return tuple(found)


def _offset(place: ZoneInfo, instant: datetime) -> timedelta:
    return instant.astimezone(place).utcoffset() or timedelta()


def _change_between(place: ZoneInfo, before: datetime, after: datetime) -> ClockChange:
    old, new = _offset(place, before), _offset(place, after)
    while after - before > timedelta(seconds=1):
        middle = before + (after - before) // 2
        middle = middle.replace(microsecond=0)
        if _offset(place, middle) == old:
            before = middle
        else:
            after = middle
    minute = timedelta(minutes=1)
    return ClockChange(after, old // minute, new // minute, after.astimezone(place).tzname() or "")


@lru_cache(maxsize=64)
def zone_rules(zone: str, year: int) -> bytes | None:
    """The VTIMEZONE of a zone as yearly rules, or None where no yearly rule holds.

    Rules start in 1970 because a large mail program takes no zone that only lists single dates.
    They are checked against the zone's own data from the year before to four years after `year`;
    where they fail (a change by decree, a month of fasting), times are written in UTC instead.

    UTC itself has no rules: None.
    """
    if zone in ("UTC", "GMT") or zone.startswith("Etc/"):
        return None
    years = [clock_changes(zone, one) for one in range(year - 1, year - 1 + _YEARS_CHECKED)]
    counts = {len(changes) for changes in years}
    if counts == {0}:
        parts = [_steady(zone, year)]
    elif counts == {2}:
        rules = [_rule([changes[place] for changes in years]) for place in (0, 1)]
        if None in rules:
            return None
        parts = [rule for rule in rules if rule is not None]
    else:
        return None
    lines = ["BEGIN:VTIMEZONE", f"TZID:{zone}"]
    for part in parts:
        lines += part
    return _lines.write([*lines, "END:VTIMEZONE"])


def _steady(zone: str, year: int) -> list[str]:
    local = datetime(year, 1, 1, tzinfo=zone_named(zone))
    minutes = (local.utcoffset() or timedelta()) // timedelta(minutes=1)
    return _part("STANDARD", "19700101T000000", minutes, minutes, local.tzname() or "", None)


def _rule(changes: list[ClockChange]) -> list[str] | None:
    """One yearly rule that gives every one of these changes, None when there is none."""
    first = changes[0]
    same = {
        (c.onset.month, c.onset.weekday(), c.onset.time(), c.from_min, c.to_min) for c in changes
    }
    if len(same) != 1:
        return None
    nths = {(c.onset.day - 1) // 7 + 1 for c in changes}
    if all((c.onset + timedelta(days=7)).month != c.onset.month for c in changes):
        nth = -1
    elif len(nths) == 1:
        nth = nths.pop()
    else:
        return None
    weekday = first.onset.weekday()
    start = datetime.combine(
        _nth_weekday(1970, first.onset.month, weekday, nth), first.onset.time()
    )
    return _part(
        "DAYLIGHT" if first.to_min > first.from_min else "STANDARD",
        start.strftime("%Y%m%dT%H%M%S"),
        first.from_min,
        first.to_min,
        first.name,
        f"FREQ=YEARLY;BYMONTH={first.onset.month};BYDAY={nth}{_DAYS[weekday]}",
    )


def _nth_weekday(year: int, month: int, weekday: int, nth: int) -> date:
    days = [date(year, month, 1) + timedelta(days=n) for n in range(31)]
    fitting = [day for day in days if day.month == month and day.weekday() == weekday]
    return fitting[nth if nth < 0 else nth - 1]


def _part(
    kind: str, start: str, from_min: int, to_min: int, name: str, rule: str | None
) -> list[str]:
    lines = [f"BEGIN:{kind}", f"DTSTART:{start}"]
    if rule:
        lines.append(f"RRULE:{rule}")
    lines += [
        f"TZOFFSETFROM:{_offset_value(from_min)}",
        f"TZOFFSETTO:{_offset_value(to_min)}",
        f"TZNAME:{_lines.text_value(name)}",
        f"END:{kind}",
    ]
    return lines


def _offset_value(minutes: int) -> str:
    sign = "-" if minutes < 0 else "+"
    return f"{sign}{abs(minutes) // 60:02d}{abs(minutes) % 60:02d}"
