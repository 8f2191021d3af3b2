"""One thing: its log, its services, its papers, all that its page shows."""

from __future__ import annotations

import datetime
from collections.abc import Collection
from dataclasses import dataclass

from django.db.models import F, Q, QuerySet, Sum

from equipment.models import Attachment, Defect, ServiceRecord, Thing, UseEntry
from equipment.queries.defects import valid_defects
from equipment.queries.gear import GearState, gear_list
from equipment.queries.wear import Wear, wear_list


@dataclass(frozen=True, slots=True)
class ThingPage:
    """What the page of a thing shows on a day. `state` is None before it was bought."""

    thing: Thing
    state: GearState | None
    last_uses: list[UseEntry]
    more_uses: bool
    defects: list[Defect]
    services: list[ServiceRecord]
    spent: object
    attachments: list[Attachment]
    wear: Wear | None


_LAST = 8


def thing_page(
    *, thing: Thing, on: datetime.date, booked: tuple[datetime.date, ...] = ()
) -> ThingPage:
    """Everything about one thing; a fixed number of queries."""
    states = gear_list(on=on, booked=booked, things=[thing.pk], with_retired=True)
    uses = list(use_log(thing=thing)[: _LAST + 1])
    services = list(ServiceRecord.objects.filter(thing=thing.pk)[:20])
    spent = ServiceRecord.objects.filter(thing=thing.pk, struck_out_reason="").aggregate(
        spent=Sum("cost")
    )["spent"]
    return ThingPage(
        thing=thing,
        state=states[0] if states else None,
        last_uses=uses[:_LAST],
        more_uses=len(uses) > _LAST,
        defects=list(valid_defects().filter(thing=thing.pk)[:20]),
        services=services,
        spent=spent,
        attachments=list(Attachment.objects.filter(thing=thing.pk, taken_off_at=None)),
        wear=next(iter(wear_list(on=on, things=[thing.pk], booked=booked)), None),
    )


def use_log(*, thing: Thing | None = None) -> QuerySet[UseEntry]:
    """The log, newest first, each entry with the one that took it out, if any."""
    rows = UseEntry.objects.select_related("thing", "line", "reverses").annotate(
        taken_out_by=F("reversed_by")
    )
    if thing is not None:
        rows = rows.filter(thing=thing.pk)
    return rows.order_by("-at", "-pk")


def things_in_use(*, on: datetime.date, kinds: Collection[str] | None = None) -> list[Thing]:
    """Things owned and not retired on a day, in the order of the kinds' list, then by label."""
    rows = Thing.objects.filter(
        Q(bought_on=None) | Q(bought_on__lte=on), Q(retired_on=None) | Q(retired_on__gt=on)
    )
    if kinds is not None:
        rows = rows.filter(kind__in=kinds)
    order = {kind: place for place, kind in enumerate(Thing.Kind.values)}
    return sorted(rows, key=lambda thing: (order[thing.kind], thing.label))
