"""`manage.py load_hazards`: the shipped library into the database."""

from __future__ import annotations

from django.core.exceptions import ValidationError
from django.core.management.base import BaseCommand, CommandError

from guiding.safety.actions.library import load_library
from guiding.safety.models import Hazard


class Command(BaseCommand):
    help = (
        "Put the shipped hazards and kinds of papers into the library; what is there stays as it "
        "is. Example: manage.py load_hazards"
    )

    def handle(self, **_: object) -> None:
        try:
            new = load_library()
        except ValidationError as refusal:
            raise CommandError(" ".join(refusal.messages)) from None
        self.stdout.write(f"{new} new rows; the library holds {Hazard.objects.count()} hazards.")
