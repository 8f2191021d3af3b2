"""`manage.py lines`: every reel, the metres left on it and what they still serve."""

from __future__ import annotations

from dataclasses import asdict
from typing import Any

from django.core.management.base import CommandParser

from equipment.management.asking import GearCommand, day, number
from equipment.queries.lines import USUAL_DROP_M, ReelSheet, reel_sheets


class Command(GearCommand):
    help = "Print every reel in use with the metres left, the reach and the advice."
    example = "manage.py lines --drop 350 --json"

    def add_arguments(self, parser: CommandParser) -> None:
        self.add_common(parser)
        parser.add_argument(
            "--drop",
            default=str(USUAL_DROP_M),
            metavar="METRES",
            help="distance of the drop to judge by (%(default)s)",
        )

    def handle(self, *args: Any, **options: Any) -> None:
        drop_m = number(options["drop"], "--drop", above=0, up_to=5000)
        sheets = reel_sheets(on=day(options["on"]), drop_m=drop_m)
        if options["json"]:
            self.print_json([_facts(sheet) for sheet in sheets])
            return
        for sheet in sheets:
            if sheet.advice is None:
                self.stdout.write(f"{sheet.label}  no line on it")
                continue
            self.stdout.write(
                f"{sheet.label}  {sheet.line}  {sheet.left_m:.0f} m left, serves "
                f"{sheet.reach_m:.0f} m out  {sheet.advice.advice.value}: {sheet.advice.reason}"
            )
        if not sheets:
            self.stdout.write("No reel is in use on that day.")


def _facts(sheet: ReelSheet) -> dict[str, object]:
    facts = asdict(sheet)
    if sheet.advice is not None:
        facts["advice"] = {"what": sheet.advice.advice.value, "reason": sheet.advice.reason}
    return facts
