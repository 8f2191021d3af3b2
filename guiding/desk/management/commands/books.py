"""`manage.py books`: the books of a year for the accountant."""

from __future__ import annotations

import json
from pathlib import Path

from django.core.management.base import BaseCommand, CommandError, CommandParser

from bookings.models import Business
from bookings.queries.books import broken_money
from bookings.sheets.books import books_files


class Command(BaseCommand):
    help = (
        "Write the papers, the double-entry journal and the totals of a year as CSV. "
        "Example: manage.py books --year 2026 --out out"
    )

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("--year", type=int, required=True, help="the year, such as 2026")
        parser.add_argument("--out", required=True, help="folder to write to; made if missing")
        parser.add_argument("--json", action="store_true", help="print JSON")

    def handle(self, *, year: int, out: str, json: bool, **_: object) -> None:
        if not 2000 <= year <= 2100:
            raise CommandError(f"There are no books of {year}: give a year from 2000 to 2100.")
        if not Business.objects.exists():
            raise CommandError("There is no business yet: open the desk once, or load the demo.")
        if broken := broken_money():
            raise CommandError(f"The books do not agree, nothing was written: {broken[0]}")
        folder = Path(out)
        written = {}
        try:
            folder.mkdir(parents=True, exist_ok=True)
            for name, pieces in books_files(year):
                with (folder / name).open("w", encoding="utf-8", newline="") as file:
                    written[name] = sum(file.write(piece) for piece in pieces)
        except OSError as error:
            raise CommandError(
                f"{folder} cannot be written to ({error.strerror}): choose another --out."
            ) from None
        if json:
            self.stdout.write(_dump({str(folder / name): size for name, size in written.items()}))
            return
        for name, size in written.items():
            self.stdout.write(f"{folder / name}  {size} characters")


def _dump(facts: dict[str, int]) -> str:
    return json.dumps(facts)
