"""`manage.py import_tides`: an official tide table, or harmonic constants, from files."""

from __future__ import annotations

import json
from typing import Any

from django.core.exceptions import ValidationError
from django.core.management.base import BaseCommand, CommandError, CommandParser

from guiding.almanac.tide import HeightUnit, RepeatedHour, TurnColumns
from guiding.days.actions.tides import (
    TideLoad,
    import_constants,
    import_turns,
    tide_source_of,
)
from guiding.days.management.reading import refused, spot_named, text_file


class Command(BaseCommand):
    help = (
        "Load highs and lows for a spot, whole or not at all; every bad row is named. "
        "Example: manage.py import_tides marram-2027.csv --spot 'North Strand' --height height_m "
        "--zone Europe/Dublin --source 'Official tables 2027' --dry-run"
    )

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("file", help="CSV with one high or low a row, or constants")
        parser.add_argument("--spot", required=True, help="name or number of the spot")
        parser.add_argument("--dry-run", action="store_true", help="read and check, write nothing")
        parser.add_argument("--source", default="", help="where the table comes from")
        parser.add_argument("--time", default="time", help="column of the time")
        parser.add_argument("--date", default="", help="column of the date, where it is another")
        parser.add_argument("--height", default="height", help="column of the height")
        parser.add_argument("--kind", default="", help="column of high or low")
        parser.add_argument("--time-format", default="", help="such as %%d/%%m/%%Y %%H:%%M")
        parser.add_argument("--unit", default="m", choices=[each.value for each in HeightUnit])
        parser.add_argument("--zone", default="UTC", help="UTC, an IANA name, or +01:00")
        parser.add_argument(
            "--repeated-hour", default="refuse", choices=[each.value for each in RepeatedHour]
        )
        parser.add_argument("--stations", default="", help="stations file: FILE holds constants")
        parser.add_argument("--station", default="", help="number of the station")
        parser.add_argument("--json", action="store_true", help="print JSON")

    def handle(self, *, file: str, spot: str, stations: str, json: bool, **asked: Any) -> None:
        place = spot_named(spot)
        text = text_file(file)
        try:
            if stations:
                load = import_constants(
                    constants=text,
                    stations=text_file(stations),
                    station_id=asked["station"],
                    tide=place.tide_source,
                    file_name=file,
                    spot=place,
                    dry_run=asked["dry_run"],
                )
            else:
                load = import_turns(
                    tide=tide_source_of(spot=place),
                    text=text,
                    columns=TurnColumns(
                        asked["time"],
                        asked["height"],
                        asked["kind"],
                        asked["date"],
                        asked["time_format"],
                    ),
                    unit=HeightUnit(asked["unit"]),
                    zone=asked["zone"],
                    table_source=asked["source"],
                    file_name=file,
                    repeated_hour=RepeatedHour(asked["repeated_hour"]),
                    spot=place,
                    dry_run=asked["dry_run"],
                )
        except ValidationError as refusal:
            raise refused(refusal) from None
        except ValueError as refusal:
            raise CommandError(str(refusal)) from None
        facts = load_facts(load)
        self.stdout.write(_dump(facts) if json else _text(facts))


def load_facts(load: TideLoad) -> dict[str, Any]:
    """What the command prints."""
    return {
        "source": str(load.source),
        "rows": load.rows,
        "replaced": load.replaced,
        "first_utc": f"{load.first_at:%Y-%m-%dT%H:%M:%SZ}" if load.first_at else None,
        "last_utc": f"{load.last_at:%Y-%m-%dT%H:%M:%SZ}" if load.last_at else None,
        "notes": list(load.notes),
        "loaded": load.done,
    }


def _dump(facts: dict[str, Any]) -> str:
    return json.dumps(facts, ensure_ascii=False)


def _text(facts: dict[str, Any]) -> str:
    verb = "loaded" if facts["loaded"] else "can be loaded, nothing is written yet"
    lines = [f"{facts['source']}: {facts['rows']} rows {verb}, {facts['replaced']} replaced."]
    if facts["first_utc"]:
        lines.append(f"From {facts['first_utc']} to {facts['last_utc']}.")
    return "\n".join([*lines, *facts["notes"]])
