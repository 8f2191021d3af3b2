"""`manage.py papers`: the papers of a trip on disk."""

from __future__ import annotations

import datetime
from pathlib import Path

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.utils import timezone

from bookings.models import Business
from bookings.queries.trips import next_trips
from guiding.desk.sheets.family import trip_family
from guiding.desk.sheets.gather import gather


class Command(BaseCommand):
    help = (
        "Write every paper of a trip: trip sheet, run sheet, cost sheet (PDF and CSV), invite, and "
        "whatever else there is something to print for: briefing, emergency card, lists, signed "
        "forms. "
        "Example: manage.py papers --next --out out"
    )

    def add_arguments(self, parser: CommandParser) -> None:
        which = parser.add_mutually_exclusive_group(required=True)
        which.add_argument("trip", nargs="?", type=int, help="number of the trip")
        which.add_argument("--next", action="store_true", help="the next confirmed trip")
        parser.add_argument("--out", required=True, help="folder to write to; made if missing")
        parser.add_argument("--paper", choices=["A4", "Letter"], default="", help="page size")

    def handle(self, *, trip: int | None, next: bool, out: str, paper: str, **_: object) -> None:
        business = Business.objects.first()
        if business is None:
            raise CommandError("There is no business yet: open the desk once, or load the demo.")
        at = timezone.now()
        if next:
            trip = _next_trip(business, at)
        file = gather(trip, business=business) if trip else None
        if file is None:
            raise CommandError(
                f"There is no trip {trip}: {settings.PROGRAM} papers --next takes the next."
            )
        folder = Path(out)
        printed_at = at.replace(minute=0, second=0, microsecond=0)
        try:
            made = trip_family(file, printed_at=printed_at, page_size=paper)
            folder.mkdir(parents=True, exist_ok=True)
            for name, content in made.items():
                (folder / name).write_bytes(content)
        except ValueError as refusal:
            raise CommandError(str(refusal)) from None
        except OSError as error:
            raise CommandError(
                f"{folder} cannot be written to ({error.strerror}): choose another --out."
            ) from None
        for name, content in made.items():
            self.stdout.write(f"{folder / name}  {len(content)} bytes")


def _next_trip(business: Business, at: datetime.datetime) -> int:
    """The next confirmed trip with a plan; a demo season is looked at from its own day as well."""
    moments = [at]
    if business.is_demo and business.demo_day:
        moments.append(datetime.datetime.combine(business.demo_day, datetime.time(), business.tz))
    for moment in moments:
        soonest = next_trips(at=moment).filter(plan__isnull=False, status="confirmed").first()
        if soonest is not None:
            return soonest.pk
    raise CommandError("There is no confirmed trip to come that has a plan.")
