"""`manage.py import_bank`: a bank statement read, and whose money each line may be."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.db import transaction
from django.utils import timezone

from bookings.actions.money.bank import keep_statement
from bookings.models import Business
from bookings.queries.bank import Proposal, proposals
from bookings.rules.statement import Statement, read_statement
from bookings.sheets.bank import what_is_owed


class Command(BaseCommand):
    help = (
        "Read a bank statement in CSV, keep its new lines, and say whose money each may be. "
        "Payments are recorded on the page Money, Bank statement. "
        "Example: manage.py import_bank statement.csv --dry-run --json"
    )

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("file", help="the statement, UTF-8 or the old western letters")
        parser.add_argument("--dry-run", action="store_true", help="keep nothing")
        parser.add_argument("--json", action="store_true", help="print JSON; money as text")

    def handle(self, *, file: str, dry_run: bool, json: bool, **_: object) -> None:
        business = Business.objects.first()
        if business is None:
            raise CommandError("There is no business yet: open the desk once, or load the demo.")
        try:
            raw = Path(file).read_bytes()
        except OSError as error:
            raise CommandError(f"{file} cannot be read: {error.strerror}.") from None
        try:
            text = raw.decode("utf-8-sig")
        except UnicodeDecodeError:
            text = raw.decode("cp1252", errors="replace")
        try:
            statement = read_statement(text, business.currency)
        except ValueError as refusal:
            raise CommandError(str(refusal)) from None
        with transaction.atomic():
            new = keep_statement(lines=statement.lines)
            on = timezone.now().astimezone(business.tz).date()
            found = proposals(
                [x for x in new if x.amount > 0], *what_is_owed(business=business, on=on)
            )
            transaction.set_rollback(dry_run)
        facts = _facts(statement, len(new), found, dry_run)
        self.stdout.write(_dump(facts) if json else _text(facts))


def _facts(statement: Statement, new: int, found: list[Proposal], dry_run: bool) -> dict[str, Any]:
    return {
        "dry_run": dry_run,
        "lines": len(statement.lines),
        "new": new,
        "problems": [
            {"row": x.row, "column": x.column, "reason": x.reason} for x in statement.problems
        ],
        "proposals": [
            {
                "booked_on": each.line.booked_on.isoformat(),
                "amount": f"{each.line.amount.normalize() + 0:f}",
                "payer": each.line.payer,
                "matches": [
                    {
                        "booking": booking.pk,
                        "client": str(booking.party.client),
                        "certainty": match.certainty.value,
                        "why": match.why,
                    }
                    for match, booking in each.matches
                ],
            }
            for each in found
        ],
    }


def _dump(facts: dict[str, Any]) -> str:
    return json.dumps(facts, ensure_ascii=False, indent=2)


def _text(facts: dict[str, Any]) -> str:
    kept = "would be new" if facts["dry_run"] else "new"
    lines = [f"{facts['lines']} lines read, {facts['new']} {kept}."]
    lines += [f"Row {x['row']}, {x['column']}: {x['reason']}" for x in facts["problems"]]
    for each in facts["proposals"]:
        whose = "; ".join(
            f"{x['certainty']} {x['client']}, booking {x['booking']} ({x['why']})"
            for x in each["matches"]
        )
        lines.append(
            f"{each['booked_on']} {each['amount']} {each['payer']}: {whose or 'not recognised'}"
        )
    return "\n".join(lines)
