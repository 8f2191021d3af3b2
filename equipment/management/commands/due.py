"""`manage.py due`: what has to be done to the gear, and before which booked trip."""

from __future__ import annotations

from dataclasses import asdict
from typing import Any

from django.core.management.base import CommandParser

from equipment.management.asking import GearCommand, day
from equipment.queries.booked import booked_days
from equipment.queries.due import due_list


class Command(GearCommand):
    help = "Print what is due on a day or before a booked trip, most urgent first."
    example = "manage.py due --on 2026-06-14 --json"

    def add_arguments(self, parser: CommandParser) -> None:
        self.add_common(parser)
        parser.add_argument(
            "--booked",
            nargs="+",
            metavar="DATE",
            help="days of trips to forecast against, in place of the booked ones",
        )

    def handle(self, *args: Any, **options: Any) -> None:
        on = day(options["on"])
        if options["booked"] is None:
            booked = booked_days(on=on)
        else:
            booked = tuple(day(typed, "--booked") for typed in options["booked"])
        items = due_list(on=on, booked=booked)
        if options["json"]:
            self.print_json([asdict(item) for item in items])
            return
        for item in items:
            why = item.reason.removeprefix(f"{item.rule}: ")
            self.stdout.write(f"{item.state:>8}  {item.label}  {item.what}: {why}")
        if not items:
            self.stdout.write("Nothing is due.")
