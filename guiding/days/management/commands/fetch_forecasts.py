"""`manage.py fetch_forecasts`: ask the services that are set up, for the spots soon fished."""

from __future__ import annotations

import datetime
import json

from django.core.exceptions import ValidationError
from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.utils import timezone

from bookings.queries.trips import LIVE
from guiding.days.actions.forecasts import fetch_forecasts
from guiding.days.management.reading import refused, spot_named
from guiding.days.models import Spot


class Command(BaseCommand):
    help = (
        "Ask the weather and sea services of the settings, as far as they let us; for one spot, or "
        "for those with a trip within ten days. Example: manage.py fetch_forecasts --json"
    )

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("--spot", default="", help="name or number; else all soon fished")
        parser.add_argument("--json", action="store_true", help="print JSON")

    def handle(self, *, spot: str, json: bool, **_: object) -> None:
        now = timezone.now()
        rows = [spot_named(spot)] if spot else list(_soon_fished(now))
        told: list[dict[str, object]] = []
        for place in rows:
            try:
                ended = fetch_forecasts(spot=place, at=now)
            except ValidationError as refusal:
                raise refused(refusal) from None
            told += [
                {"spot": place.name, "part": each.part, "ok": each.ok, "message": each.message}
                for each in ended
            ]
        if json:
            self.stdout.write(_dump(told))
        for line in () if json else told:
            self.stdout.write(f"{line['spot']}, {line['part']}: {line['message']}")
        if told and not any(line["ok"] for line in told):
            raise CommandError("No service gave a forecast; the last good figures are kept.")


def _soon_fished(now: datetime.datetime) -> list[Spot]:
    soon = now + datetime.timedelta(days=10)
    return list(
        Spot.objects.filter(
            plans__trip__status__in=LIVE,
            plans__trip__starts_at__lt=soon,
            plans__trip__ends_at__gt=now,
        ).distinct()
    )


def _dump(told: list[dict[str, object]]) -> str:
    return json.dumps(told, ensure_ascii=False)
