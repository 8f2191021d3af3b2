"""`manage.py catch_return`: the catch of a year for whoever collects it."""

from __future__ import annotations

import json
from pathlib import Path

from django.core.management.base import BaseCommand, CommandError, CommandParser

from bookings.models import Business
from guiding.days.sheets.catch_return import CatchReturn, catch_return


class Command(BaseCommand):
    help = (
        "Write the catch of a year as CSV: date, spot, hours, rods, clients, species, count, kept, "
        "released, lengths; without --out to the screen. "
        "Example: manage.py catch_return --year 2026 --out out"
    )

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("--year", type=int, required=True, help="the year, such as 2026")
        parser.add_argument("--out", help="folder to write to; made if missing")
        parser.add_argument("--json", action="store_true", help="print the sums as JSON")

    def handle(self, *, year: int, out: str | None, json: bool, **_: object) -> None:
        business = Business.objects.first()
        if business is None:
            raise CommandError("There is no business yet: open the desk once, or load the demo.")
        try:
            found = catch_return(year=year, zone=business.tz)
        except ValueError as refusal:
            raise CommandError(str(refusal)) from None
        text = "".join(found.lines())
        file = Path(out) / f"catch-{year}.csv" if out else None
        if file is not None:
            try:
                file.parent.mkdir(parents=True, exist_ok=True)
                file.write_text(text, encoding="utf-8", newline="")
            except OSError as error:
                raise CommandError(
                    f"{out} cannot be written to ({error.strerror}): choose another --out."
                ) from None
        if json:
            self.stdout.write(_dump(found))
        elif file is None:
            self.stdout.write(text.removeprefix("\ufeff"), ending="")
        else:
            self.stdout.write(
                f"{file}  {found.count} fish on {found.days} day{'s' * (found.days != 1)}"
            )


def _dump(found: CatchReturn) -> str:
    facts = {
        "year": found.year,
        "days": found.days,
        "hours": found.hours,
        "species": [
            {
                "name": one.name_en,
                "count": one.total.count,
                "kept": one.total.kept,
                "released": one.total.released,
                "lengths_mm": list(one.total.lengths_mm),
            }
            for one in found.totals
        ],
    }
    return json.dumps(facts)
