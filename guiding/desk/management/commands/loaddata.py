"""`manage.py loaddata`: Django's own, which reads history in and writes none of it anew."""

from __future__ import annotations

from typing import Any

from django.conf import settings
from django.core.management.base import CommandError
from django.core.management.commands.loaddata import Command as LoadData
from django.core.serializers.base import DeserializationError

from bookings.models import Business


class Command(LoadData):
    help = (
        "Read what dumpdata wrote into a database that was only migrated; put the keys of the "
        "health notes in place before. Example: manage.py loaddata season.json"
    )

    def handle(self, *labels: str, **options: Any) -> None:
        Business.objects.exists()  # where no tables are, that is said before the file is read
        # A row that is read in writes no history, but its links to many others would: the rows of
        # history that come with them then find their numbers taken.
        before = settings.SIMPLE_HISTORY_ENABLED
        settings.SIMPLE_HISTORY_ENABLED = False
        try:
            super().handle(*labels, **options)
        except DeserializationError as problem:
            raise CommandError(f"{problem} Nothing was read in.") from None
        finally:
            settings.SIMPLE_HISTORY_ENABLED = before
