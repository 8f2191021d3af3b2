"""`manage.py demo`: the invented season, for looking around."""

from __future__ import annotations

import datetime
import json

from django.conf import settings
from django.core.exceptions import ValidationError
from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.utils import timezone

from bookings.models import Business
from guiding.days.management.dates import iso_day
from guiding.desk.actions.demo import demo_statement, load_demo

_FIRST, _LAST = datetime.date(2010, 1, 1), datetime.date(2090, 1, 1)


class Command(BaseCommand):
    help = (
        "Load the demo season into an empty database, around today or a given day; loaded twice "
        "it changes nothing. Example: manage.py demo --today 2026-06-01"
    )

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("--today", help="the day the season lies around, such as 2026-06-01")
        parser.add_argument("--json", action="store_true", help="print JSON")

    def handle(self, *, today: str | None, json: bool, **_: object) -> None:
        now = timezone.now()
        here = timezone.localdate(now)
        day = iso_day(today) if today else here
        if not _FIRST <= day <= _LAST:
            raise CommandError(f"The demo season lies between {_FIRST.year} and {_LAST.year}.")
        source = settings.FIXTURES_DIR / "demo" / "season.json"
        try:
            loaded = load_demo(today=day, source=source, at=now if day == here else None)
        except ValidationError as refusal:
            raise CommandError(" ".join(refusal.messages)) from None
        except OSError as error:
            raise CommandError(f"{source} cannot be read: {error.strerror}.") from None
        statement = settings.DATA_DIR / "demo-bank.csv"
        if not statement.exists():
            words = demo_statement(today=loaded.day, business=Business.objects.get())
            statement.write_text(words, encoding="utf-8")
        facts = {
            "day": loaded.day.isoformat(),
            "new": loaded.new,
            "trips": loaded.trips,
            "parties": loaded.parties,
            "email": loaded.email,
            "password": loaded.password,
            "statement": str(statement),
        }
        if json:
            self.stdout.write(_dump(facts))
            return
        word = "loaded" if loaded.new else "is loaded already"
        self.stdout.write(
            f"Demo season {word} around {loaded.day:%-d %B %Y}: {loaded.trips} trips, "
            f"{loaded.parties} parties. Sign in with {loaded.email} and {loaded.password}\n"
            f"A bank statement to try the import with: {statement}"
        )


def _dump(facts: dict[str, object]) -> str:
    return json.dumps(facts)
