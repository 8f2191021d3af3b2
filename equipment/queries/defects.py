"""Defects: what grounds a thing on a day."""

from __future__ import annotations

import datetime
from collections.abc import Collection

from django.db.models import Exists, OuterRef, Q, QuerySet

from equipment.models import Defect, UseEntry
from equipment.queries.use import end_of


def valid_defects() -> QuerySet[Defect]:
    """Defects that count, each with the entry that opened it, if any; a defect of an entry that was
    taken out of the log is none."""
    taken_out = UseEntry.objects.filter(reverses=OuterRef("entry_id"))
    return Defect.objects.filter(~Exists(taken_out)).select_related("entry")


def open_defects(
    *, on: datetime.date, things: Collection[int] | None = None
) -> dict[int, list[Defect]]:
    """Defects by the id of the thing that nobody had signed off at the end of a day."""
    end = end_of(on)
    rows = (
        valid_defects()
        .filter(Q(signed_off_at=None) | Q(signed_off_at__gte=end), found_at__lt=end)
        .order_by("found_at", "pk")
    )
    if things is not None:
        rows = rows.filter(thing__in=things)
    found: dict[int, list[Defect]] = {}
    for row in rows:
        found.setdefault(row.thing_id, []).append(row)
    return found
