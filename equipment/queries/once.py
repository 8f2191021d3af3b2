"""What a whole day and the drops of that day both tell, and must be counted once."""

from __future__ import annotations

import datetime
from collections.abc import Collection, Sequence
from dataclasses import dataclass

from django.db.models import QuerySet, Sum
from django.utils import timezone

from equipment.models import UseEntry
from equipment.models.use import TOLD_TWICE
from equipment.queries.use import end_of, standing

_Source = UseEntry.Source


@dataclass(frozen=True, slots=True)
class Share:
    """The entry of a day that must become `amount`: what the day tells beyond its drops."""

    entry: UseEntry
    stands: bool
    amount: float


def shares_to_settle(written: Sequence[UseEntry]) -> list[Share]:
    """The entries of whole days that no longer are what their day tells beyond its drops."""
    touched = {
        (told.thing_id, told.kind, timezone.localdate(told.at))
        for told in (row.reverses or row for row in written)
        if told.kind in TOLD_TWICE and told.source
    }
    found = (_share(thing, kind, day) for thing, kind, day in sorted(touched))
    return [share for share in found if share is not None]


def _share(thing_id: int, kind: str, day: datetime.date) -> Share | None:
    rows = _of_day(UseEntry.objects.filter(thing=thing_id, kind=kind), day)
    entry = rows.filter(source=_Source.DAY).order_by("-pk").first()
    if entry is None:
        return None
    taken_out = UseEntry.objects.filter(reverses=entry).first()
    if taken_out is not None and taken_out.source != _Source.DAY:
        return None  # the guide struck it out
    drops = _of_day(standing().filter(thing=thing_id, kind=kind, source=_Source.DROP), day)
    in_drops = drops.aggregate(sum=Sum("amount"))["sum"] or 0
    amount = max(0.0, (entry.day_total or 0) - in_drops)
    stands = taken_out is None
    return None if amount == (entry.amount if stands else 0) else Share(entry, stands, amount)


def told_twice(things: Collection[int], *, on: datetime.date) -> list[str]:
    """Labels of things whose use of a day is told by a whole day and by drops as well."""
    told = _of_day(UseEntry.objects.filter(thing__in=things, kind__in=TOLD_TWICE), on)
    by_source: dict[str, set[str]] = {_Source.DAY: set(), _Source.DROP: set()}
    for source, label in told.exclude(source="").values_list("source", "thing__label"):
        by_source[source].add(label)
    return sorted(by_source[_Source.DAY] & by_source[_Source.DROP])


def _of_day(rows: QuerySet[UseEntry], day: datetime.date) -> QuerySet[UseEntry]:
    return rows.filter(at__gte=end_of(day - datetime.timedelta(days=1)), at__lt=end_of(day))
