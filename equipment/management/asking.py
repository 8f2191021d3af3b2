"""What the commands of gear share: days as arguments, facts as JSON, an example in the help."""

from __future__ import annotations

import argparse
import datetime
import json
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.core.serializers.json import DjangoJSONEncoder
from django.utils import timezone

from equipment.queries.booked import home_zone


class GearCommand(BaseCommand):
    """A command whose help ends with an example and that can print its facts as JSON.

    Its days begin and end where the desk is, unless it reads no table (`reads_tables`).
    """

    example = ""
    reads_tables = True

    def execute(self, *args: Any, **options: Any) -> str | None:
        with timezone.override(home_zone() if self.reads_tables else None):
            return super().execute(*args, **options)

    def create_parser(self, prog_name: str, subcommand: str, **kwargs: Any) -> CommandParser:
        return super().create_parser(
            prog_name,
            subcommand,
            epilog=f"Example:\n  {self.example}",
            formatter_class=argparse.RawDescriptionHelpFormatter,
            **kwargs,
        )

    def add_common(self, parser: CommandParser) -> None:
        parser.add_argument("--on", metavar="DATE", help="a day, such as 2026-06-14 (today)")
        parser.add_argument("--json", action="store_true", help="print facts for another program")

    def print_json(self, facts: object) -> None:
        self.stdout.write(json.dumps(facts, cls=DjangoJSONEncoder, indent=2, ensure_ascii=False))


def day(typed: str | None, option: str = "--on") -> datetime.date:
    """A day typed on the command line, or today; one sentence about what is wrong with it."""
    if typed is None:
        return timezone.localdate()
    try:
        found = datetime.date.fromisoformat(typed)
    except ValueError:
        raise CommandError(
            f"{option} is {typed!r}: write year, month and day, such as 2026-06-14."
        ) from None
    if not 2000 <= found.year <= 2100:
        raise CommandError(f"{option} is {typed}: give a day in the years 2000 to 2100.")
    return found


def number(typed: str, option: str, *, above: float, up_to: float) -> float:
    """A number typed on the command line, within its range."""
    try:
        found = float(typed)
    except ValueError:
        found = float("nan")
    if not above < found <= up_to:
        raise CommandError(
            f"{option} is {typed!r}: give a number above {above:g}, up to {up_to:g}."
        )
    return found
