"""Writes about forecasts: typed, read from a file, fetched. Each is added, none is changed."""

from __future__ import annotations

import datetime
import hashlib
import json
from collections.abc import Sequence
from typing import Any

from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction
from django.utils import timezone

from guiding.days.models import Forecast, ForecastFetch, ForecastHour, Spot
from guiding.days.queries.weather_service import Service, ServiceError, ask, services
from guiding.days.rules.forecasts import (
    ForecastColumns,
    ForecastReading,
    ForecastUnits,
    read_forecast_table,
    read_service_answer,
)
from guiding.days.rules.weather import FIGURES, WeatherHour

_AHEAD = datetime.timedelta(days=17)  # no forecast speaks further [house]
_BACK = datetime.timedelta(days=1)
_CLOCKS_DIFFER = datetime.timedelta(minutes=15)
_MOST_ROWS = 1000


@transaction.atomic
def add_forecast(
    *,
    spot: Spot,
    kind: str,
    source: str,
    issued_at: datetime.datetime,
    hours: Sequence[WeatherHour],
    at: datetime.datetime | None = None,
    by: Any = None,
    attribution: str = "",
    told_when: bool = True,
) -> Forecast:
    """Keep an issue of a forecast beside all others; the same one again is the row of before.

    `told_when` False where the source does not say when it was issued: then only the figures tell
    whether it is new. ValidationError for hours that cannot belong to this issue.
    """
    at = at or timezone.now()
    kept = [hour for hour in hours if not hour.is_empty]
    _check(kept, issued_at, at)
    digest = _digest(kind, source, issued_at if told_when else None, hours)
    known = Forecast.objects.filter(spot=spot, digest=digest).first()
    if known is not None:
        return known
    row = Forecast(
        spot=spot,
        kind=kind,
        source=source.strip(),
        issued_at=issued_at,
        entered_at=at,
        entered_by=by,
        attribution=attribution,
        first_at=hours[0].at,
        last_at=hours[-1].at,
        digest=digest,
    )
    row.full_clean(validate_unique=False)
    try:
        with transaction.atomic():
            row.save()
            ForecastHour.objects.bulk_create(_row(row, hour) for hour in hours)
    except IntegrityError:
        known = Forecast.objects.filter(spot=spot, digest=digest).first()
        if known is None:
            raise ValidationError("These figures cannot be kept: look at them again.") from None
        return known
    return row


def _row(forecast: Forecast, hour: WeatherHour) -> ForecastHour:
    figures = {name: getattr(hour, name) for name in FIGURES}
    return ForecastHour(forecast=forecast, at=hour.at, **figures)


def _check(
    hours: Sequence[WeatherHour], issued_at: datetime.datetime, at: datetime.datetime
) -> None:
    if not hours:
        raise ValidationError("The forecast holds no figure at all: give one wind or one wave.")
    if len(hours) > _MOST_ROWS:
        raise ValidationError(f"{len(hours)} hours are more than a forecast has: {_MOST_ROWS}.")
    if issued_at > at + _CLOCKS_DIFFER:
        raise ValidationError({"issued_at": "It was issued in the future: check day and time."})
    for hour in hours:
        if not issued_at - _BACK <= hour.at <= issued_at + _AHEAD:
            days = round(abs(hour.at - issued_at) / datetime.timedelta(days=1))
            side = "after" if hour.at > issued_at else "before"
            raise ValidationError(
                f"{hour.at:%-d %B %Y} lies {days} day{'s' * (days != 1)} {side} the day on which "
                f"this was issued, {issued_at:%-d %B %Y}: check the year."
            )


def _digest(
    kind: str, source: str, issued_at: datetime.datetime | None, hours: Sequence[WeatherHour]
) -> str:
    figures = [[hour.at.isoformat(), *(getattr(hour, name) for name in FIGURES)] for hour in hours]
    when = issued_at.isoformat() if issued_at else ""
    return hashlib.sha256(json.dumps([kind, source, when, figures]).encode()).hexdigest()


def import_forecast(
    *,
    spot: Spot,
    text: str,
    source: str,
    issued_at: datetime.datetime,
    columns: ForecastColumns | None = None,
    units: ForecastUnits | None = None,
    at: datetime.datetime | None = None,
    by: Any = None,
    dry_run: bool = False,
) -> tuple[Forecast | None, ForecastReading]:
    """A forecast from a table in CSV, whole or not at all; `dry_run` only reads and checks it.

    ValidationError lists the bad rows under `text`.
    """
    try:
        reading = read_forecast_table(text, columns, units)
    except ValueError as refusal:
        raise ValidationError({"text": str(refusal)}) from None
    if reading.problems:
        raise ValidationError({"text": [str(problem) for problem in reading.problems[:20]]})
    at = at or timezone.now()
    _check([hour for hour in reading.hours if not hour.is_empty], issued_at, at)
    if dry_run:
        return None, reading
    row = add_forecast(
        spot=spot,
        kind=Forecast.Kind.FILE,
        source=source,
        issued_at=issued_at,
        hours=reading.hours,
        at=at,
        by=by,
    )
    return row, reading


def fetch_forecasts(
    *,
    spot: Spot,
    at: datetime.datetime | None = None,
    named: Sequence[Service] | None = None,
) -> list[ForecastFetch]:
    """Ask each service once for a spot, unless it asked us to wait; how each question ended.

    What was kept before stays, whatever comes back.
    """
    at = at or timezone.now()
    asked = services() if named is None else named
    if not asked:
        raise ValidationError(
            "No service is set up: type the forecast in, or name one in the settings."
        )
    return [_fetch(spot, service, at) for service in asked]


def _fetch(spot: Spot, service: Service, at: datetime.datetime) -> ForecastFetch:
    last = spot.forecast_fetches.filter(part=service.part).first()
    if last is not None and at < last.not_before:
        return last
    # What was answered last time is only worth repeating where it led to a forecast.
    heard = last if last is not None and last.forecast_id else None
    try:
        answer = ask(
            service,
            latitude=spot.latitude,
            longitude=spot.longitude,
            at=at,
            etag=heard.etag if heard else "",
            last_modified=heard.last_modified if heard else "",
        )
    except ServiceError as trouble:
        return _ended(spot, service, at, ok=False, message=str(trouble),
                      not_before=trouble.not_before)  # fmt: skip
    kept = heard.forecast if heard else None
    if answer.text is None:
        message = "Nothing new since the last time."
    else:
        try:
            kept = _kept(spot, service, answer.text, at)
        except ValidationError as refusal:
            return _ended(spot, service, at, ok=False, message=" ".join(refusal.messages),
                          not_before=answer.not_before)  # fmt: skip
        hours = kept.hours.count()
        message = f"Read: {hours} hour{'s' * (hours != 1)}."
    return _ended(
        spot, service, at, ok=True, message=" ".join(filter(None, (message, answer.note))),
        not_before=answer.not_before, etag=answer.etag, last_modified=answer.last_modified,
        forecast=kept,
    )  # fmt: skip


def _kept(spot: Spot, service: Service, text: str, at: datetime.datetime) -> Forecast:
    reading = read_service_answer(text)
    if reading.problems:
        raise ValidationError(f"The answer is of no use: {reading.problems[0]}")
    return add_forecast(
        spot=spot,
        kind=Forecast.Kind.SERVICE,
        source=service.credit,
        issued_at=reading.issued_at or at,
        hours=reading.hours,
        at=at,
        attribution=service.credit,
        told_when=reading.issued_at is not None,
    )


def _ended(
    spot: Spot,
    service: Service,
    at: datetime.datetime,
    *,
    ok: bool,
    message: str,
    not_before: datetime.datetime,
    **more: Any,
) -> ForecastFetch:
    row = ForecastFetch(
        spot=spot, part=service.part, at=at, ok=ok, message=message[:300],
        not_before=not_before, **more,
    )  # fmt: skip
    row.full_clean()
    row.save()
    return row
