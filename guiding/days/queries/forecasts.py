"""What is forecast for a spot, as known at a moment: where it comes from and how old it is."""

from __future__ import annotations

import datetime
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from django.db.models import QuerySet

from guiding.days.models import Forecast, ForecastFetch, ForecastHour, Spot
from guiding.days.rules.decision import ForecastFacts
from guiding.days.rules.weather import FIGURES, LONGEST_HOLD, Issue, WeatherHour, outlook

_ISSUES_LOOKED_AT = 12  # the newest of a spot: older ones have long been spoken over


@dataclass(frozen=True, slots=True)
class Weather:
    """The forecast of a spot over a span: hour by hour, and the issues it is made of."""

    hours: tuple[WeatherHour, ...]
    issues: tuple[Forecast, ...]
    start: datetime.datetime
    end: datetime.datetime

    @property
    def is_known(self) -> bool:
        return bool(self.issues)

    @property
    def issued_at(self) -> datetime.datetime | None:
        """The newest issue used."""
        return max((issue.issued_at for issue in self.issues), default=None)

    @property
    def oldest_issued_at(self) -> datetime.datetime | None:
        return min((issue.issued_at for issue in self.issues), default=None)

    @property
    def credit(self) -> str:
        """How the sources want to be named, each once."""
        return "; ".join(dict.fromkeys(i.attribution for i in self.issues if i.attribution))

    @property
    def sources(self) -> str:
        return ", ".join(dict.fromkeys(issue.source for issue in self.issues))

    def facts(self, zone: datetime.tzinfo) -> ForecastFacts:
        """The same for a decision, with each issue in words."""
        if not self.issues:
            return ForecastFacts()
        return ForecastFacts(
            hours=self.hours,
            until=self.end,
            issued_at=self.issued_at,
            oldest_issued_at=self.oldest_issued_at,
            sources=tuple(
                f"{issue.source}, {issue.issued_at.astimezone(zone):%-d %b %H:%M}"
                for issue in self.issues
            ),
        )


def weather_of(
    spot: Spot, *, start: datetime.datetime, end: datetime.datetime, at: datetime.datetime
) -> Weather:
    """What was forecast for a spot over a span, as known at `at`: two queries."""
    return weather_at([spot], start=start, end=end, at=at)[spot.pk]


def weather_at(
    spots: Iterable[Spot],
    *,
    start: datetime.datetime,
    end: datetime.datetime,
    at: datetime.datetime,
) -> dict[int, Weather]:
    """The same for several spots, by row, still two queries."""
    wanted = [spot.pk for spot in spots]
    rows = Forecast.objects.filter(
        spot__in=wanted,
        entered_at__lte=at,
        first_at__lt=end,
        last_at__gt=start - LONGEST_HOLD,
    ).defer("digest")
    chosen: dict[int, list[Forecast]] = {pk: [] for pk in wanted}
    for row in rows:  # the newest first
        if len(chosen[row.spot_id]) < _ISSUES_LOOKED_AT:
            chosen[row.spot_id].append(row)
    hours = _hours([row.pk for of in chosen.values() for row in of], start, end)
    return {pk: _weather(of, hours, start, end) for pk, of in chosen.items()}


def _hours(
    issues: Sequence[int], start: datetime.datetime, end: datetime.datetime
) -> dict[int, list[WeatherHour]]:
    if not issues:
        return {}
    found: dict[int, list[WeatherHour]] = {}
    # A reading more on either side says how long the ones inside hold.
    rows = ForecastHour.objects.filter(
        forecast__in=issues, at__gt=start - 2 * LONGEST_HOLD, at__lt=end + LONGEST_HOLD
    ).order_by("forecast", "at")
    for pk, at, *figures in rows.values_list("forecast", "at", *FIGURES):
        found.setdefault(pk, []).append(WeatherHour(at, *figures))
    return found


def _weather(
    rows: Sequence[Forecast],
    hours: dict[int, list[WeatherHour]],
    start: datetime.datetime,
    end: datetime.datetime,
) -> Weather:
    if not rows:
        return Weather((), (), start, end)
    issues = tuple(
        Issue(row.pk, row.issued_at, tuple(hours[row.pk])) for row in rows if row.pk in hours
    )
    found = outlook(issues, start, end)
    by_pk = {row.pk: row for row in rows}
    return Weather(found.hours, tuple(by_pk[pk] for pk in found.used), start, end)


def forecasts_of(spot: Spot) -> QuerySet[Forecast]:
    """Every issue kept of a spot, the newest first."""
    return spot.forecasts.select_related("entered_by")


def last_fetches(spot: Spot) -> list[ForecastFetch]:
    """How the last question to each service ended."""
    found = []
    for part in ForecastFetch.Part.values:
        last = spot.forecast_fetches.filter(part=part).first()
        if last is not None:
            found.append(last)
    return found


def last_source(spot: Spot) -> str:
    """Where the last typed forecast of a spot came from, for the next one."""
    last = spot.forecasts.filter(kind=Forecast.Kind.TYPED).first()
    return last.source if last else ""
