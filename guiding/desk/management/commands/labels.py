"""`manage.py labels`: a sheet of labels for gear, to cut."""

from __future__ import annotations

from pathlib import Path

from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.utils import timezone

from bookings.models import Business
from equipment.models import Thing
from guiding.desk.sheets.labels import gear_labels


class Command(BaseCommand):
    help = (
        "Write labels for the gear in use as a PDF to print and cut; the square code on each opens "
        "the page of its thing. "
        "Example: manage.py labels --out labels.pdf --kind pack reel"
    )

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("--out", required=True, metavar="FILE.pdf", help="file to write")
        parser.add_argument(
            "--kind", nargs="+", choices=Thing.Kind.values, help="only these kinds of things"
        )
        parser.add_argument(
            "--start", type=int, default=0, metavar="N", help="places of a used sheet to leave free"
        )
        parser.add_argument("--paper", choices=["A4", "Letter"], default="", help="page size")

    def handle(
        self, *, out: str, kind: list[str] | None, start: int, paper: str, **_: object
    ) -> None:
        business = Business.objects.first()
        if business is None:
            raise CommandError("There is no business yet: open the desk once, or load the demo.")
        now = timezone.now()
        try:
            content, count = gear_labels(
                business=business,
                on=timezone.localdate(now, business.tz),
                printed_at=now.replace(minute=0, second=0, microsecond=0),
                kinds=kind,
                start=start,
                page_size=paper,
            )
            Path(out).write_bytes(content)
        except ValueError as refusal:
            raise CommandError(str(refusal)) from None
        except OSError as error:
            raise CommandError(
                f"{out} cannot be written to ({error.strerror}): choose another --out."
            ) from None
        labels = "label" if count == 1 else "labels"
        self.stdout.write(f"{out}  {count} {labels}, {len(content)} bytes")
