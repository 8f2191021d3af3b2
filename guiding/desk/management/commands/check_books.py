"""`manage.py check_books`: every invariant, asked of the whole database."""

from __future__ import annotations

import json

from django.core.management.base import BaseCommand, CommandError, CommandParser

from guiding.desk.queries.books import CHECKS, broken


class Command(BaseCommand):
    help = (
        "Run every invariant over the whole database; exit code 1 names what broke. "
        "Example: manage.py check_books --json"
    )

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("--json", action="store_true", help="print JSON")

    def handle(self, *, json: bool, **_: object) -> None:
        found = broken()
        if json:
            self.stdout.write(_dump({"checks": len(CHECKS), "broken": found}))
        if found:
            raise CommandError(
                f"{len(found)} broken: {' '.join(found[:10])}"
                + (f" (and {len(found) - 10} more)" if len(found) > 10 else "")
            )
        if not json:
            self.stdout.write(f"The books are sound: {len(CHECKS)} kinds of invariant hold.")


def _dump(value: object) -> str:
    return json.dumps(value, ensure_ascii=False)
