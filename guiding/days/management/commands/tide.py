"""`manage.py tide`: highs and lows of a station from files of harmonic constants."""

from __future__ import annotations

import datetime
import json
from pathlib import Path

from django.core.management.base import BaseCommand, CommandError, CommandParser

from guiding.almanac.tide import read_tide_constants
from guiding.days.management.dates import iso_day

_MOST_DAYS = 3700


class Command(BaseCommand):
    help = (
        "Predict highs and lows over whole UTC days, in the datum of the stations file. "
        "Example: manage.py tide --constants tide_harmonics.csv --stations tide_stations.csv "
        "--station 8724580 --from 2017-01-01 --to 2017-01-31 --json"
    )

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("--constants", required=True, help="CSV of harmonic constants")
        parser.add_argument("--stations", required=True, help="CSV of stations")
        parser.add_argument("--station", required=True, help="number of the station")
        parser.add_argument("--from", dest="first", required=True, help="first UTC day")
        parser.add_argument("--to", dest="last", required=True, help="last UTC day, included")
        parser.add_argument("--json", action="store_true", help="print JSON")

    def handle(
        self,
        *,
        constants: str,
        stations: str,
        station: str,
        first: str,
        last: str,
        json: bool,
        **_: object,
    ) -> None:
        start, end = _midnight(iso_day(first)), _midnight(iso_day(last))
        end += datetime.timedelta(days=1)
        if end <= start:
            raise CommandError(f"--to {last} lies before --from {first}.")
        if (end - start).days > _MOST_DAYS:
            raise CommandError(f"Ask for {_MOST_DAYS} days at most, not {(end - start).days}.")
        reading = read_tide_constants(_text(constants), _text(stations))
        if reading.problems:
            raise CommandError("; ".join(str(problem) for problem in reading.problems[:5]))
        try:
            tide = reading.station(station)
            turns = tide.turns(start, end)
        except ValueError as refusal:
            raise CommandError(str(refusal)) from None
        rows = [
            {
                "utc": f"{turn.at:%Y-%m-%dT%H:%M:%SZ}",
                "height_m": round(turn.height_m, 3),
                "kind": turn.kind.value,
            }
            for turn in turns
        ]
        if json:
            self.stdout.write(_dump(rows))
            return
        self.stdout.write(f"{tide.name}, {tide.datum}. {tide.source}. Not for navigation.")
        for row in rows:
            self.stdout.write(f"{row['utc']}  {row['height_m']:6.2f} m  {row['kind']}")


def _dump(rows: list[dict[str, str | float]]) -> str:
    return json.dumps(rows)


def _midnight(day: datetime.date) -> datetime.datetime:
    return datetime.datetime.combine(day, datetime.time(), datetime.UTC)


def _text(name: str) -> str:
    try:
        return Path(name).read_text(encoding="utf-8")
    except OSError as error:
        raise CommandError(f"{name} cannot be read: {error.strerror}.") from None
    except UnicodeDecodeError:
        raise CommandError(f"{name} is no text file in UTF-8.") from None
