"""`manage.py prep`: the prep of a trip on disk."""

from __future__ import annotations

from pathlib import Path

from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.utils import timezone

from bookings.models import Business
from guiding.desk.sheets.gather import gather
from guiding.desk.sheets.prep import PREP_LABELS, prep_file, trip_prep


class Command(BaseCommand):
    help = (
        "Write the prep of a trip: prep and load lists, drops and rigs (PDF), all lists, shopping "
        "and charging (CSV). Example: manage.py prep 23 --out out"
    )

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("trip", type=int, help="number of the trip")
        parser.add_argument("--out", required=True, help="folder to write to; made if missing")
        parser.add_argument("--paper", choices=["A4", "Letter"], default="", help="page size")

    def handle(self, *, trip: int, out: str, paper: str, **_: object) -> None:
        business = Business.objects.first()
        if business is None:
            raise CommandError("There is no business yet: open the desk once, or load the demo.")
        file = gather(trip, business=business)
        if file is None:
            raise CommandError(f"There is no trip {trip}.")
        folder, at = Path(out), timezone.now()
        try:
            prep = trip_prep(file, at=at)
            printed_at = at.replace(minute=0, second=0, microsecond=0)
            made = {
                name: prep_file(name, prep, printed_at=printed_at, page_size=paper)
                for name in PREP_LABELS
            }
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
        self.stdout.write(f"{prep.day.open} lines are still to tick.")
