"""What the use log adds up to, thing by thing, up to the end of a day."""

from __future__ import annotations

import datetime
from collections.abc import Collection, Mapping
from dataclasses import dataclass
from typing import Any

from django.db.models import Count, Max, Min, Q, QuerySet, Sum
from django.utils import timezone

from equipment.models import UseEntry, UseTally

Kind = UseEntry.Kind

# Column of a count, and the kind of entry that adds to it.
COUNTED = {
    "flights": Kind.FLIGHT,
    "cycles": Kind.CYCLE,
    "drops": Kind.DROP,
    "fish": Kind.FISH,
    "hours": Kind.HOURS,
    "km": Kind.KM,
    "cut_back_m": Kind.CUT_BACK_M,
    "lost_m": Kind.LOST_M,
}
MEASURED = ("hours", "km", "cut_back_m", "lost_m")
_DIGITS = 6  # sums of binary floats carry dust further down


@dataclass(frozen=True, slots=True)
class Counts:
    """What a thing has been through, in sums."""

    trips: int = 0
    flights: int = 0
    cycles: int = 0
    drops: int = 0
    fish: int = 0
    hours: float = 0.0
    km: float = 0.0
    cut_back_m: float = 0.0
    lost_m: float = 0.0
    first_at: datetime.datetime | None = None
    last_at: datetime.datetime | None = None

    @property
    def metres(self) -> float:
        return round(self.cut_back_m + self.lost_m, _DIGITS)


NO_USE = Counts()


def end_of(on: datetime.date) -> datetime.datetime:
    """The instant at which a day ends where the business is."""
    return timezone.make_aware(
        datetime.datetime.combine(on + datetime.timedelta(days=1), datetime.time())
    )


def standing() -> QuerySet[UseEntry]:
    """Entries that count: no reversal, and none that a reversal took out."""
    return UseEntry.objects.filter(reversed_by=None).exclude(kind=Kind.REVERSAL)


def summed(entries: QuerySet[UseEntry]) -> dict[int, Counts]:
    """Sums of standing entries by the id of the thing; a trip counts once however it was logged."""
    columns = {name: Sum("amount", filter=Q(kind=kind)) for name, kind in COUNTED.items()}
    rows = (
        entries.order_by()
        .values("thing_id")
        .annotate(
            trips_named=Count("trip_uid", distinct=True),
            trips_unnamed=Sum("amount", filter=Q(kind=Kind.TRIP, trip_uid=None)),
            earliest=Min("at"),
            latest=Max("at"),
            **columns,
        )
    )
    return {row["thing_id"]: _counts(row) for row in rows}


def _counts(row: Mapping[str, Any]) -> Counts:
    sums = {name: row[name] or 0 for name in COUNTED}
    for name, amount in sums.items():
        sums[name] = round(amount, _DIGITS) if name in MEASURED else round(amount)
    return Counts(
        trips=row["trips_named"] + round(row["trips_unnamed"] or 0),
        first_at=row["earliest"],
        last_at=row["latest"],
        **sums,
    )


def counts(*, on: datetime.date, things: Collection[int] | None = None) -> dict[int, Counts]:
    """Sums by the id of the thing up to the end of a day; a thing without any use is left out.

    Two queries at most: the kept tallies, and the log itself for things that were used later.
    """
    end = end_of(on)
    tallies = UseTally.objects.all()
    if things is not None:
        tallies = tallies.filter(thing__in=things)
    found: dict[int, Counts] = {}
    used_later: list[int] = []
    for values in tallies.values_list("thing_id", "trips", *COUNTED, "first_at", "last_at"):
        thing_id, trips, *sums, first_at, last_at = values
        if last_at is None:
            continue
        if last_at < end:
            counted = dict(zip(COUNTED, sums, strict=True))
            found[thing_id] = Counts(trips=trips, first_at=first_at, last_at=last_at, **counted)
        else:
            used_later.append(thing_id)
    if used_later:
        found |= summed(standing().filter(thing_id__in=used_later, at__lt=end))
    return found
