"""The sums that are kept beside the log: tallies of things, metres used of lines, counts at
services. They are made anew from the log in the transaction that writes it, never added to."""

from __future__ import annotations

import datetime
from collections.abc import Sequence

from django.core.exceptions import ValidationError
from django.db.models import Sum

from equipment.models import Line, ServiceRecord, UseEntry, UseTally
from equipment.models.use import USED_UP_KINDS
from equipment.queries.use import COUNTED, NO_USE, Counts, standing, summed

Kind = UseEntry.Kind


def rebuild_sums(*, written: Sequence[UseEntry]) -> None:
    """Make tallies, metres used and counts at services equal to the log again."""
    earliest: dict[int, datetime.datetime] = {}
    lines: set[int] = set()
    for row in written:
        at = min(row.at, row.reverses.at) if row.reverses is not None else row.at
        earliest[row.thing_id] = min(at, earliest.get(row.thing_id, at))
        if row.line_id is not None:
            lines.add(row.line_id)
    rebuild_for(earliest=earliest, line_ids=sorted(lines))


def rebuild_for(*, earliest: dict[int, datetime.datetime], line_ids: Sequence[int]) -> None:
    """The same for things whose log changed from a time on, and for lines."""
    rebuild_tallies(thing_ids=list(earliest))
    rebuild_lines(line_ids=line_ids)
    for record in ServiceRecord.objects.filter(thing__in=list(earliest)):
        if record.done_at >= earliest[record.thing_id]:
            count_up_to(record=record)


def rebuild_tallies(*, thing_ids: Sequence[int]) -> None:
    """Sum up the logs of some things anew."""
    sums = summed(standing().filter(thing_id__in=thing_ids))
    UseTally.objects.bulk_create(
        [_tally(thing_id, sums.get(thing_id, NO_USE)) for thing_id in thing_ids],
        update_conflicts=True,
        unique_fields=["thing"],
        update_fields=["trips", *COUNTED, "first_at", "last_at"],
    )


def _tally(thing_id: int, sums: Counts) -> UseTally:
    columns = {name: getattr(sums, name) for name in ("trips", *COUNTED, "first_at", "last_at")}
    return UseTally(thing_id=thing_id, **columns)


def rebuild_lines(*, line_ids: Sequence[int]) -> None:
    """Set the metres used of some lines to what their log takes off; refuse to go below nothing."""
    rows = (
        standing()
        .filter(line__in=line_ids, kind__in=USED_UP_KINDS)
        .order_by()
        .values("line_id")
        .annotate(used_m=Sum("amount"))
    )
    used = {row["line_id"]: round(row["used_m"], 6) for row in rows}
    for line in Line.objects.select_for_update().filter(pk__in=line_ids).order_by("pk"):
        used_m = used.get(line.pk, 0.0)
        if used_m > line.spooled_m:
            raise ValidationError(
                {
                    "amount": f"{line} has {line.left_m:g} m left, and the log would take "
                    f"{used_m - line.used_m:g} m off it. Check the metres."
                }
            )
        if used_m != line.used_m:
            line.used_m = used_m
            line.save(update_fields=["used_m"])


def count_up_to(*, record: ServiceRecord) -> None:
    """Store with a service what the log had counted when it was done."""
    entries = standing().filter(thing=record.thing_id, at__lte=record.done_at)
    sums = summed(entries).get(record.thing_id, NO_USE)
    for name in ("trips", "flights", "cycles", "hours", "metres", "km"):
        setattr(record, name, getattr(sums, name))
    record.save(update_fields=["trips", "flights", "cycles", "hours", "metres", "km"])
