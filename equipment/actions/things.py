"""Things: adding, changing, retiring and taking back into use."""

from __future__ import annotations

import datetime
from typing import Any

from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction
from django.utils import timezone

from equipment.actions.service import adopt_default_rules
from equipment.models import Craft, FlightPack, Reel, Thing, UseTally

# Kinds with columns of their own; every other kind is a plain thing.
TABLES: dict[str, type[Thing]] = {
    Thing.Kind.CRAFT: Craft,
    Thing.Kind.PACK: FlightPack,
    Thing.Kind.REEL: Reel,
}


@transaction.atomic
def add_thing(*, kind: str, label: str, **columns: Any) -> Thing:
    """Enter a new thing; the first of its kind brings the default service rules with it."""
    if kind not in Thing.Kind.values:
        raise ValidationError({"kind": f"{kind!r} is no kind of gear; choose one of the list."})
    row = TABLES.get(kind, Thing)(kind=kind, label=label.strip(), **columns)
    row.keep_words(columns)
    row.full_clean()
    try:
        with transaction.atomic():
            row.save()
    except IntegrityError:  # somebody entered the same label in the same moment
        raise ValidationError({"label": f"There is a {row.label} already."}) from None
    UseTally.objects.create(thing_id=row.pk)
    adopt_default_rules(kind=kind)
    return row


@transaction.atomic
def edit_thing(*, thing: Thing, **changes: Any) -> Thing:
    """Change what is written about a thing; its log, checks and services stay as they are."""
    row = of_its_kind(thing=thing)
    for name, value in changes.items():
        setattr(row, name, value.strip() if name == "label" else value)
    row.keep_words(changes)
    row.full_clean()
    row.save()
    return row


def of_its_kind(*, thing: Thing) -> Thing:
    """The same thing with the columns of its kind."""
    table = TABLES.get(thing.kind, Thing)
    return thing if isinstance(thing, table) else table.objects.get(pk=thing.pk)


@transaction.atomic
def retire(*, thing: Thing, reason: str, on: datetime.date | None = None) -> Thing:
    """Take a thing out of use for good; its log stays."""
    day = on or timezone.localdate()
    if not reason.strip():
        raise ValidationError(
            {"reason": "Say why it is retired; the next buyer's choice needs it."}
        )
    if thing.retired_on is not None:
        raise ValidationError(f"{thing.label} is retired already.")
    if day > timezone.localdate():
        raise ValidationError({"on": "That day is still to come; retire it then."})
    thing.retired_on, thing.retired_reason = day, reason.strip()
    thing.full_clean()
    thing.save()
    return thing


@transaction.atomic
def take_back(*, thing: Thing) -> Thing:
    """Undo a retirement."""
    thing.retired_on, thing.retired_reason = None, ""
    thing.save()
    return thing
