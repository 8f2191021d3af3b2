"""`manage.py import_use`: uses from a CSV file, looked through first, whole or not at all."""

from __future__ import annotations

import zoneinfo
from dataclasses import asdict
from pathlib import Path
from typing import Any

from django.core.exceptions import ValidationError
from django.core.management.base import CommandError, CommandParser
from django.utils import timezone

from equipment.actions.import_use import Preview, import_use, look_through
from equipment.management.asking import GearCommand


class Command(GearCommand):
    help = (
        "Enter the uses in a CSV file with the columns thing, kind, amount, at and, where wanted, "
        "trip, note, key, reverses. With any problem in it nothing is entered."
    )
    example = "manage.py import_use june.csv --dry-run"

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("file", metavar="FILE.csv")
        parser.add_argument(
            "--dry-run", action="store_true", help="name every problem and write nothing"
        )
        parser.add_argument(
            "--zone", default="", metavar="NAME", help="zone of times without one (the desk's own)"
        )
        parser.add_argument("--json", action="store_true", help="print facts for another program")

    def handle(self, *args: Any, **options: Any) -> None:
        path = Path(options["file"])
        if not path.is_file():
            raise CommandError(f"There is no file {options['file']}.")
        zone = options["zone"] or timezone.get_current_timezone_name()
        try:
            chosen = zoneinfo.ZoneInfo(zone)
        except (zoneinfo.ZoneInfoNotFoundError, ValueError):
            raise CommandError(
                f"{zone!r} is no time zone; give one such as Europe/Dublin."
            ) from None
        with timezone.override(chosen):
            preview = look_through(path=path)
            if not preview.problems and not options["dry_run"]:
                try:
                    preview = import_use(path=path)
                except ValidationError as error:
                    raise CommandError(" ".join(error.messages)) from None
        self._print(preview, options)
        if preview.problems:
            raise CommandError(
                f"{len(preview.problems)} problems in {preview.rows} rows; nothing was entered."
            )

    def _print(self, preview: Preview, options: dict[str, Any]) -> None:
        if options["json"]:
            self.print_json(
                {
                    "rows": preview.rows,
                    "new": preview.new,
                    "known": preview.known,
                    "entered": 0 if options["dry_run"] or preview.problems else preview.new,
                    "problems": [asdict(problem) for problem in preview.problems],
                }
            )
            return
        for problem in preview.problems:
            column = f", {problem.column}" if problem.column else ""
            self.stdout.write(f"Row {problem.row}{column}: {problem.what}")
        if not preview.problems:
            verb = "would be entered" if options["dry_run"] else "entered"
            self.stdout.write(
                f"{preview.rows} rows read, {preview.new} uses {verb}, "
                f"{preview.known} in the log before."
            )
