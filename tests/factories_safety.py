"""Rows of safety for tests: the shipped library, and papers, watches and incidents, invented."""

from __future__ import annotations

import datetime
import json
from functools import cache
from typing import Any

import factory
from django.conf import settings
from factory.django import DjangoModelFactory

from guiding.safety import models as safety
from guiding.safety.rules.facts import LibraryHazard, Part


@cache
def shipped_library() -> tuple[LibraryHazard, ...]:
    """The hazards of the shipped file as the rules read them, without a database."""
    entries = json.loads(
        (settings.FIXTURES_DIR / "safety" / "hazards.json").read_text(encoding="utf-8")
    )["hazards"]
    return tuple(_hazard(entry) for entry in entries)


def _hazard(entry: dict[str, Any]) -> LibraryHazard:
    lists = {name: tuple(entry[name]) for name in ("controls_before", "controls_during")}
    names = set(LibraryHazard.__dataclass_fields__) - {"part", *lists}
    plain = {name: entry[name] for name in names}
    return LibraryHazard(part=Part(entry["part"]), **lists, **plain)


class PaperKindFactory(DjangoModelFactory):
    class Meta:
        model = safety.PaperKind

    name = factory.Sequence(lambda n: f"Paper of kind {n}")
    scope = "business"
    activity = "every day"
    hard = True
    lead_days = 60
    in_force = True


class HeldPaperFactory(DjangoModelFactory):
    class Meta:
        model = safety.HeldPaper
        skip_postgeneration_save = True

    kind = factory.SubFactory(PaperKindFactory)
    number = factory.Sequence(lambda n: f"DEMO-{n}")
    issuer = "Demo Board of the Shore"
    valid_from = datetime.date(2026, 1, 1)
    valid_until = datetime.date(2026, 12, 31)

    @factory.post_generation
    def spots(self, create: bool, given: Any) -> None:
        if create and given:
            self.spots.set(given)


class WatchFactory(DjangoModelFactory):
    class Meta:
        model = safety.Watch

    overdue_at = datetime.datetime(2026, 6, 13, 16, 15, tzinfo=datetime.UTC)
    contact_name = "Bríd Tern"
    contact_phone = "+353209100101"
    contact_mail = "brid@marramhead.example"
    set_at = datetime.datetime(2026, 6, 12, 10, 0, tzinfo=datetime.UTC)
