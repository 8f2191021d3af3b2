"""`manage.py rotate_keys`: a new key for the health notes."""

from __future__ import annotations

from django.core.exceptions import ValidationError
from django.core.management.base import BaseCommand, CommandError, CommandParser

from bookings.actions.keys import rotate_keys
from bookings.models.keys import ENVIRONMENT


class Command(BaseCommand):
    help = (
        "Make a new key for the health notes and encrypt each of them anew. The key before stays "
        "for one more round, unless --drop-old. Example: manage.py rotate_keys"
    )

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument(
            "--drop-old",
            action="store_true",
            help="forget every older key at once; do it while nobody signs",
        )

    def handle(self, *, drop_old: bool, **_: object) -> None:
        try:
            done = rotate_keys(drop_old=drop_old)
        except ValidationError as refusal:
            raise CommandError(" ".join(refusal.messages)) from None
        self.stdout.write(f"{done.notes} health notes encrypted anew.")
        if done.in_environment:
            self.stdout.write(f"With the first key of {ENVIRONMENT}: the others may go now.")
        else:
            self.stdout.write(
                f"{done.keys} keys in the file. Put it into your backup, apart from the database."
            )
