"""`manage.py verify_waivers`: is every signed record what it was?"""

from __future__ import annotations

import json as jsonlib
import re
from pathlib import Path

from django.core.management.base import BaseCommand, CommandError, CommandParser

from bookings.queries.evidence import check_chain
from bookings.queries.records import signed_records
from bookings.sheets.signed import record_files, record_zip

_KNOWN = re.compile(r"(\d+):([0-9a-fA-F]{64})")


class Command(BaseCommand):
    help = (
        "Walk the chain of signed records and name each one that was changed, taken out or put in; "
        "exit code 1 when there is one. Example: manage.py verify_waivers --json"
    )

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("--json", action="store_true", help="print JSON")
        parser.add_argument(
            "--known",
            action="append",
            default=[],
            metavar="NUMBER:FINGERPRINT",
            help="a record's fingerprint from a signed form, to compare with; may be repeated",
        )
        parser.add_argument(
            "--export", type=int, metavar="NUMBER", help="write one record's files to --out"
        )
        parser.add_argument("--out", metavar="FILE.zip", help="where --export writes")

    def handle(
        self, *, json: bool, known: list[str], export: int | None, out: str | None, **_: object
    ) -> None:
        if export is not None:
            self._export(export, out)
            return
        check = check_chain([_known(told) for told in known])
        if json:
            facts = {
                "records": check.records,
                "last_hash": check.last_hash,
                "whole": check.whole,
                "broken": [{"record": each.number, "reason": each.reason} for each in check.broken],
                "notes": list(check.notes),
            }
            self.stdout.write(jsonlib.dumps(facts, ensure_ascii=False))
        if check.broken:
            shown = [each.sentence for each in check.broken[:20]]
            more = len(check.broken) - len(shown)
            raise CommandError(
                f"{len(check.broken)} broken: {' '.join(shown)}"
                + (f" (and {more} more)" if more else "")
            )
        if not json:
            for note in check.notes:
                self.stdout.write(note)
            self.stdout.write(f"{check.records} records, all whole. Last: {check.last_hash or '-'}")

    def _export(self, number: int, out: str | None) -> None:
        if not out:
            raise CommandError("Say where to write it: --out record.zip")
        signature = signed_records().filter(pk=number).first()
        if signature is None:
            raise CommandError(f"There is no signed record {number}.")
        try:
            content = record_zip(record_files(signature))
            Path(out).write_bytes(content)
        except ValueError as refusal:
            raise CommandError(str(refusal)) from None
        except OSError as error:
            raise CommandError(f"{out} cannot be written ({error.strerror}).") from None
        self.stdout.write(f"{out}  {len(content)} bytes")


def _known(told: str) -> tuple[int, str]:
    match = _KNOWN.fullmatch(told)
    if match is None:
        raise CommandError(f"{told!r} is not NUMBER:FINGERPRINT with 64 hex digits.")
    return int(match[1]), match[2].lower()
