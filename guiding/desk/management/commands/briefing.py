"""`manage.py briefing TRIP --out FILE.pdf`: what is said on the day, on paper."""

from __future__ import annotations

from pathlib import Path

from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.utils import timezone

from guiding.desk.management.commands.assess import trip_file
from guiding.desk.sheets.briefing import talk
from guiding.desk.sheets.files import make_trip_file


class Command(BaseCommand):
    help = (
        "Write the briefing of a trip as a PDF and say how many words it has read aloud. "
        "Example: manage.py briefing 12 --out briefing.pdf"
    )

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("trip", type=int, help="number of the trip")
        parser.add_argument("--out", required=True, help="the file to write")
        parser.add_argument("--paper", choices=["A4", "Letter"], default="", help="page size")

    def handle(self, *, trip: int, out: str, paper: str, **_: object) -> None:
        file, place = trip_file(trip), Path(out)
        printed_at = timezone.now().replace(second=0, microsecond=0)
        try:
            said = talk(file).spoken
            content = make_trip_file("briefing.pdf", file, printed_at=printed_at, page_size=paper)
            place.parent.mkdir(parents=True, exist_ok=True)
            place.write_bytes(content)
        except ValueError as refusal:
            raise CommandError(str(refusal)) from None
        except OSError as error:
            raise CommandError(
                f"{place} cannot be written ({error.strerror}): choose another --out."
            ) from None
        self.stdout.write(f"{place}  {len(content)} bytes, {said.words} words read aloud")
