"""`manage.py almanac`: sun and moon of any place on a date."""

from __future__ import annotations

import json

from django.core.management.base import BaseCommand, CommandError, CommandParser

from guiding.almanac.light import light_day
from guiding.days.management.dates import iso_day

EVENTS = ("civil_dawn", "sunrise", "sunset", "civil_dusk", "moonrise", "moonset")


class Command(BaseCommand):
    help = (
        "Print dawn, sunrise, sunset, dusk, moonrise and moonset of a place on a local date. "
        "Example: manage.py almanac --lat 53.42 --lon -9.95 --zone Europe/Dublin "
        "--date 2026-06-13 --json"
    )

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("--lat", type=float, required=True, help="degrees, north positive")
        parser.add_argument("--lon", type=float, required=True, help="degrees, east positive")
        parser.add_argument("--zone", required=True, help="time zone, such as Europe/Dublin")
        parser.add_argument("--date", required=True, help="local date, such as 2026-06-13")
        parser.add_argument("--json", action="store_true", help="print JSON")

    def handle(
        self, *, lat: float, lon: float, zone: str, date: str, json: bool, **_: object
    ) -> None:
        try:
            light = light_day(lat, lon, zone, iso_day(date))
        except ValueError as refusal:
            raise CommandError(str(refusal)) from None
        facts: dict[str, object] = {}
        for name in EVENTS:
            at = getattr(light, name)
            facts[name] = f"{at:%Y-%m-%dT%H:%M:%SZ}" if at else None
        facts["moon_fraction"] = round(light.moon_fraction, 4)
        facts["why"] = dict(light.why)
        if json:
            self.stdout.write(_dump(facts))
            return
        for name in EVENTS:
            self.stdout.write(f"{name:<12}{facts[name] or light.why.get(name, '')}")
        self.stdout.write(f"moon        {light.moon_fraction:.0%} lit, {light.moon_phase}")


def _dump(facts: dict[str, object]) -> str:
    return json.dumps(facts)
