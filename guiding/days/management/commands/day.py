"""`manage.py day`: light, moon and tide of a spot on a date."""

from __future__ import annotations

import datetime
import json
from typing import Any
from zoneinfo import ZoneInfo

from django.core.management.base import BaseCommand, CommandError, CommandParser

from bookings.models import Business
from guiding.days.management.dates import iso_day
from guiding.days.models import Spot
from guiding.days.sheets.day import SpotDay, spot_day


class Command(BaseCommand):
    help = (
        "Print light, moon and tide of a spot on a date, in UTC and local time. "
        "Example: manage.py day 'North Strand' 2026-06-13 --json"
    )

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("spot", help="name or number of the spot")
        parser.add_argument("date", help="local date, such as 2026-06-13")
        parser.add_argument("--json", action="store_true", help="print JSON")

    def handle(self, *, spot: str, date: str, json: bool, **_: object) -> None:
        business = Business.objects.first()
        if business is None:
            raise CommandError("There is no business yet: open the desk once, or load the demo.")
        found = Spot.objects.select_related("tide_source__reference")
        place = found.filter(name__iexact=spot).first() or (
            found.filter(pk=int(spot)).first() if spot.isdigit() else None
        )
        if place is None:
            known = ", ".join(Spot.objects.values_list("name", flat=True)) or "none yet"
            raise CommandError(f"There is no spot {spot!r}. Known spots: {known}.")
        try:
            facts = day_facts(spot_day(spot=place, day=iso_day(date), zone=business.zone))
        except ValueError as refusal:
            raise CommandError(str(refusal)) from None
        self.stdout.write(_as_json(facts) if json else _as_text(facts))


def day_facts(day: SpotDay) -> dict[str, Any]:
    """What the command prints."""
    light, zone = day.light, ZoneInfo(day.light.zone)
    events = {
        name: _instant(getattr(light, name), zone)
        for name in (
            "civil_dawn",
            "sunrise",
            "sunset",
            "civil_dusk",
            "moonrise",
            "moonset",
        )
    }
    return {
        "spot": day.spot.name,
        "date": light.day.isoformat(),
        "zone": light.zone,
        "light": events,
        "why": dict(light.why),
        "moon_fraction": round(light.moon_fraction, 3),
        "moon_phase": light.moon_phase,
        "tide": {
            "source": day.tide_source,
            "datum": day.tide.datum if day.tide else None,
            "why": day.tide_why or None,
            "turns": [
                {
                    **_both(turn.at, zone),
                    "height_m": round(turn.height_m, 2),
                    "kind": turn.kind.value,
                }
                for turn in day.turns
            ],
        },
        "note": "Not for navigation.",
    }


def _instant(at: datetime.datetime | None, zone: ZoneInfo) -> dict[str, str] | None:
    return None if at is None else _both(at, zone)


def _both(at: datetime.datetime, zone: ZoneInfo) -> dict[str, str]:
    local = at.astimezone(zone)
    return {"utc": f"{at:%Y-%m-%dT%H:%M:%SZ}", "local": f"{local:%Y-%m-%d %H:%M}"}


def _as_json(facts: dict[str, Any]) -> str:
    return json.dumps(facts, ensure_ascii=False, indent=2)


def _as_text(facts: dict[str, Any]) -> str:
    lines = [f"{facts['spot']}, {facts['date']} ({facts['zone']})"]
    for name, event in facts["light"].items():
        when = event["local"][-5:] if event else facts["why"].get(name, "does not happen")
        lines.append(f"{name.replace('_', ' '):>12}  {when}")
    lines.append(f"{'moon':>12}  {facts['moon_fraction']:.0%} lit, {facts['moon_phase']}")
    for turn in facts["tide"]["turns"]:
        lines.append(f"{turn['kind']:>12}  {turn['local'][-5:]}  {turn['height_m']:.2f} m")
    lines.append(facts["tide"]["source"])
    lines.append(facts["note"])
    return "\n".join(lines)
