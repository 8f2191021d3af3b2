"""A forecast from hour to hour: its figures, and which of several issues speaks for an hour."""

from __future__ import annotations

from bisect import bisect_right
from dataclasses import dataclass, fields, replace
from datetime import UTC, datetime, timedelta

LONGEST_HOLD = timedelta(hours=6)  # the widest step that services give [house]
LONE_HOLD = timedelta(hours=3)  # for a single reading [house]
_HOUR = timedelta(hours=1)


@dataclass(frozen=True, slots=True)
class WeatherHour:
    """The figures that hold from `at` until the next ones; None is not known.

    Winds and waves are named by where they come from, degrees clockwise from north. `rain_mm` is
    what falls in the hour that begins at `at`; waves are significant heights.
    """

    at: datetime
    wind_ms: float | None = None
    gust_ms: float | None = None
    wind_from_deg: float | None = None
    wave_m: float | None = None
    period_s: float | None = None
    wave_from_deg: float | None = None
    rain_mm: float | None = None
    air_c: float | None = None
    water_c: float | None = None
    thunder: bool | None = None

    @property
    def is_empty(self) -> bool:
        """Whether nothing at all is known."""
        return all(getattr(self, name) is None for name in FIGURES)


FIGURES = tuple(each.name for each in fields(WeatherHour) if each.name != "at")


@dataclass(frozen=True, slots=True)
class Issue:
    """One issue of a forecast: its row, when it was issued, its readings in order of time."""

    key: int
    issued_at: datetime
    hours: tuple[WeatherHour, ...]


@dataclass(frozen=True, slots=True)
class Outlook:
    """What the issues say together: hour by hour, and the rows that were used, newest first."""

    hours: tuple[WeatherHour, ...]
    used: tuple[int, ...]


def outlook(issues: tuple[Issue, ...], start: datetime, end: datetime) -> Outlook:
    """The figures known for every hour of a span, each from the newest issue that gives it.

    `issues` the newest first; aware times. A reading holds until the next of its issue, at most
    six hours, a last one as long as the step before it, a single one three hours [house]. Hours
    for which nothing is known come with nothing but their time. ValueError for a span that ends
    before it starts and for readings out of order.
    """
    if end <= start:
        raise ValueError(f"The span ends ({end}) before it starts ({start}): exchange them.")
    spoken = [_Spoken(issue) for issue in issues]
    instants = _instants(issues, start, end)
    used: dict[int, None] = {}
    hours = []
    for at in instants:
        found = WeatherHour(at)
        for issue in spoken:
            reading = issue.at(at)
            if reading is None:
                continue
            news = {
                name: value
                for name in FIGURES
                if getattr(found, name) is None and (value := getattr(reading, name)) is not None
            }
            if news:
                found = replace(found, **news)
                used[issue.key] = None
        hours.append(found)
    order = [issue.key for issue in issues if issue.key in used]
    return Outlook(tuple(hours), tuple(order))


def _instants(issues: tuple[Issue, ...], start: datetime, end: datetime) -> list[datetime]:
    """Every whole hour of the span, its start, and the readings that lie between."""
    start, end = start.astimezone(UTC), end.astimezone(UTC)
    whole = start.replace(minute=0, second=0, microsecond=0) + _HOUR
    found = {start}
    while whole < end:
        found.add(whole)
        whole += _HOUR
    found |= {hour.at for issue in issues for hour in issue.hours if start < hour.at < end}
    return sorted(found)


class _Spoken:
    """An issue that can be asked for an instant."""

    def __init__(self, issue: Issue) -> None:
        self.key = issue.key
        self.hours = issue.hours
        self.times = [hour.at for hour in issue.hours]
        if any(b <= a for a, b in zip(self.times, self.times[1:], strict=False)):
            raise ValueError("The readings of a forecast are not in order of time: sort them.")

    def at(self, instant: datetime) -> WeatherHour | None:
        i = bisect_right(self.times, instant) - 1
        return self.hours[i] if i >= 0 and instant < self.times[i] + self._hold(i) else None

    def _hold(self, i: int) -> timedelta:
        if len(self.times) == 1:
            return LONE_HOLD
        last = i == len(self.times) - 1
        step = self.times[i] - self.times[i - 1] if last else self.times[i + 1] - self.times[i]
        return min(step, LONGEST_HOLD)
