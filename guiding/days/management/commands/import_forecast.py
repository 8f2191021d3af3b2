"""`manage.py import_forecast`: a forecast for a spot from a table in CSV."""

from __future__ import annotations

import datetime
import json
from dataclasses import fields
from typing import Any

from django.core.exceptions import ValidationError
from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.utils import timezone

from guiding.days.actions.forecasts import import_forecast
from guiding.days.management.reading import refused, spot_named, text_file, the_business
from guiding.days.rules.forecasts import ForecastColumns, ForecastUnits
from guiding.days.rules.forecasts.table import HeatUnit, LengthUnit, SpeedUnit


class Command(BaseCommand):
    help = (
        "Keep a forecast from a CSV beside those of before; nothing is written over. "
        "Example: manage.py import_forecast friday.csv --spot 'North Strand' "
        "--issued 2026-06-12T18:00 --source 'Demo Weather Office' --speed kn "
        "--column wind_ms=wind_kn"
    )

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("file", help="CSV with one hour a row")
        parser.add_argument("--spot", required=True, help="name or number of the spot")
        parser.add_argument("--issued", default="", help="when it was issued; now if left out")
        parser.add_argument("--source", default="", help="whose forecast it is")
        parser.add_argument("--speed", default="m/s", choices=[u.value for u in SpeedUnit])
        parser.add_argument("--length", default="m", choices=[u.value for u in LengthUnit])
        parser.add_argument("--heat", default="°C", choices=[u.value for u in HeatUnit])
        parser.add_argument("--zone", default="", help="clock of the table; the business's own")
        parser.add_argument(
            "--column", action="append", default=[], metavar="OURS=THEIRS",
            help="the name of a column, such as wind_ms=speed",
        )  # fmt: skip
        parser.add_argument("--dry-run", action="store_true", help="read and check, write nothing")
        parser.add_argument("--json", action="store_true", help="print JSON")

    def handle(self, *, file: str, spot: str, json: bool, **asked: Any) -> None:
        business, place = the_business(), spot_named(spot)
        now = timezone.now()
        units = ForecastUnits(
            SpeedUnit(asked["speed"]),
            LengthUnit(asked["length"]),
            HeatUnit(asked["heat"]),
            asked["zone"] or business.zone,
        )
        try:
            row, reading = import_forecast(
                spot=place,
                text=text_file(file),
                source=asked["source"] or file[-200:],
                issued_at=_moment(asked["issued"], business.tz) or now,
                columns=_columns(asked["column"]),
                units=units,
                at=now,
                dry_run=asked["dry_run"],
            )
        except ValidationError as refusal:
            raise refused(refusal) from None
        facts = {
            "spot": place.name,
            "hours": len(reading.hours),
            "first_utc": _utc(reading.hours[0].at),
            "last_utc": _utc(reading.hours[-1].at),
            "issued_utc": _utc(row.issued_at) if row else None,
            "kept": row is not None,
        }
        self.stdout.write(_dump(facts) if json else _text(facts))


def _utc(at: datetime.datetime) -> str:
    return f"{at.astimezone(datetime.UTC):%Y-%m-%dT%H:%M:%SZ}"


def _dump(facts: dict[str, Any]) -> str:
    return json.dumps(facts, ensure_ascii=False)


def _text(facts: dict[str, Any]) -> str:
    verb = "kept" if facts["kept"] else "can be kept, nothing is written yet"
    return (
        f"{facts['spot']}: {facts['hours']} hours from {facts['first_utc']} to "
        f"{facts['last_utc']} {verb}."
    )


def _moment(typed: str, zone: datetime.tzinfo) -> datetime.datetime | None:
    if not typed:
        return None
    try:
        found = datetime.datetime.fromisoformat(typed)
    except ValueError:
        raise CommandError(f"{typed!r} is no time: write it like 2026-06-12T18:00.") from None
    return found.replace(tzinfo=zone) if found.tzinfo is None else found


def _columns(typed: list[str]) -> ForecastColumns:
    known = [each.name for each in fields(ForecastColumns)]
    found: dict[str, str] = {}
    for pair in typed:
        ours, mark, theirs = pair.partition("=")
        if not mark or ours not in known:
            raise CommandError(
                f"{pair!r} names no column: write OURS=THEIRS with {', '.join(known)}."
            )
        found[ours] = theirs
    return ForecastColumns(**found)
