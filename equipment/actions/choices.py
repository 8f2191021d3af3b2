"""The guide's own word on what goes along, against the advice."""

from __future__ import annotations

import datetime
import uuid
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone

from equipment.models import Overrule, Thing
from equipment.queries.gear import GROUNDED, fit_for
from equipment.queries.lines import USUAL_DROP_M


@transaction.atomic
def overrule(
    *,
    thing: Thing,
    trip_uid: uuid.UUID,
    on: datetime.date,
    take: bool,
    reason: str,
    drop_m: float = USUAL_DROP_M,
    at: datetime.datetime | None = None,
    by: Any = None,
) -> Overrule:
    """Take a thing on a trip, or leave it, against the advice, with a reason. What is grounded
    cannot be taken: it has to be put right or signed off."""
    if not reason.strip():
        raise ValidationError({"reason": "Say why, in a few words."})
    if take:
        for fitness in fit_for(on=on, drop_m=drop_m, things=[thing.pk]):
            if fitness.state == GROUNDED:
                raise ValidationError(
                    f"{thing.label} is grounded and cannot go along. {fitness.reason}"
                )
    row, _ = Overrule.objects.update_or_create(
        trip_uid=trip_uid,
        thing_id=thing.pk,
        defaults={
            "take": take,
            "reason": reason.strip()[:200],
            "at": at or timezone.now(),
            "by": by,
        },
    )
    return row


@transaction.atomic
def follow_advice(*, thing: Thing, trip_uid: uuid.UUID) -> None:
    """Take the guide's own word back: the advice counts again."""
    Overrule.objects.filter(trip_uid=trip_uid, thing_id=thing.pk).delete()
