"""`manage.py retention`: erase what was kept for long enough."""

from __future__ import annotations

import json as jsonlib

from django.core.management.base import BaseCommand, CommandParser
from django.utils import timezone

from bookings.actions.retention import carry_out
from bookings.queries.retention import due_by_kind


class Command(BaseCommand):
    help = (
        "Erase what the rules of retention say, kind by kind; --dry-run counts and touches "
        "nothing. Example: manage.py retention --dry-run"
    )

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("--dry-run", action="store_true", help="only count")
        parser.add_argument("--json", action="store_true", help="print JSON")

    def handle(self, *, dry_run: bool, json: bool, **_: object) -> None:
        at = timezone.now()
        due = due_by_kind(at=at)
        counts = {each.rule.kind.value: each.due for each in due}
        if not dry_run:
            counts = carry_out(at=at, by="the rule")
        if json:
            facts = {"dry_run": dry_run, "kinds": counts}
            self.stdout.write(jsonlib.dumps(facts, ensure_ascii=False))
            return
        for each in due:
            count = counts[each.rule.kind.value]
            self.stdout.write(
                f"{each.rule.name}: {count} {'due' if dry_run else 'erased'} "
                f"({each.rule.days} days from {each.rule.counted_from}; {each.rule.goes})"
            )
