"""`manage.py dumpdata`: Django's own, written so that any desk's empty database can take it."""

from __future__ import annotations

from typing import Any

from django.core.management.base import CommandParser
from django.core.management.commands.dumpdata import Command as DumpData

from bookings.models import Business

# `migrate` makes the kinds of rows and the rights in every database, with numbers of its own; who
# is signed in here is nobody's business elsewhere.
_LEFT_OUT = ("contenttypes", "auth.permission", "sessions")


class Command(DumpData):
    help = (
        "Write every row as JSON, to be read with loaddata into a database that was only "
        "migrated. Health notes stay sealed: keep the keys beside it. Example: manage.py dumpdata "
        "--output season.json"
    )

    def add_arguments(self, parser: CommandParser) -> None:
        super().add_arguments(parser)
        # Rights and logins are pointed to by name: their numbers differ from desk to desk.
        parser.set_defaults(use_natural_foreign_keys=True)

    def handle(self, *labels: str, **options: Any) -> None:
        Business.objects.exists()  # where no tables are, that is said before anything is written
        options["exclude"] = [
            *options["exclude"],
            *(
                each
                for each in _LEFT_OUT
                if not any(f"{label}.".startswith(f"{each}.") for label in labels)
            ),
        ]
        super().handle(*labels, **options)
