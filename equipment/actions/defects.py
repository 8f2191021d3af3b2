"""Defects: grounding a thing, and signing it off."""

from __future__ import annotations

import datetime

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone

from equipment.actions.use import CLOCK_SLACK
from equipment.models import Defect, Thing


@transaction.atomic
def ground(*, thing: Thing, what: str, found_at: datetime.datetime | None = None) -> Defect:
    """Enter a defect: the thing is grounded until somebody signs it off. Sent twice within some
    minutes it is one defect."""
    found_at = found_at or timezone.now()
    if not what.strip():
        raise ValidationError({"what": "Say what is wrong with it."})
    if found_at > timezone.now() + CLOCK_SLACK:
        raise ValidationError({"found_at": "That time is still to come."})
    row = Defect(thing=thing, what=what.strip(), found_at=found_at)
    row.full_clean()
    Thing.objects.select_for_update().get(pk=thing.pk)  # a form sent twice waits here
    before = Defect.objects.filter(
        thing=thing.pk, what=row.what, signed_off_at=None, found_at__gte=found_at - CLOCK_SLACK
    ).first()
    if before is not None:
        return before
    row.save()
    return row


@transaction.atomic
def sign_off(
    *, defect: Defect, by: str, reason: str, at: datetime.datetime | None = None
) -> Defect:
    """Say that a defect is put right, with name and reason; a defect is signed off once."""
    row = Defect.objects.select_for_update().get(pk=defect.pk)
    if row.signed_off_at is not None:
        raise ValidationError(f"{row.signed_off_by} has signed this off already.")
    problems = {}
    if not by.strip():
        problems["by"] = "Give the name of whoever answers for it."
    if not reason.strip():
        problems["reason"] = "Say what was done, or why it may be used again."
    at = at or timezone.now()
    if at < row.found_at:
        problems["at"] = "A defect cannot be signed off before it was found."
    if problems:
        raise ValidationError(problems)
    row.signed_off_at, row.signed_off_by, row.signed_off_reason = at, by.strip(), reason.strip()
    row.full_clean()
    row.save()
    return row
