"""Writes about permissions to drop bait from the air."""

from __future__ import annotations

import datetime
from collections.abc import Sequence
from typing import Any, BinaryIO

from django.core.exceptions import ValidationError
from django.core.files.base import ContentFile
from django.db import transaction

from guiding.days.actions.scans import kept_scan
from guiding.days.models import DropPermit, Spot

_FIRST, _LAST = datetime.date(2000, 1, 1), datetime.date(2100, 1, 1)


@transaction.atomic
def save_permit(
    *,
    permit: DropPermit | None = None,
    spots: Sequence[Spot],
    file: BinaryIO | None = None,
    **fields: Any,
) -> DropPermit:
    """A permission with the spots that the paper itself covers, and a scan of it if given."""
    permit = permit or DropPermit()
    for name, value in fields.items():
        setattr(permit, name, value)
    permit.keep_words(fields)
    if not spots:
        raise ValidationError({"spots": "Tick the spots that the paper covers."})
    problems: dict[str, str] = {}
    for name in ("valid_from", "valid_until"):
        day = getattr(permit, name)
        if day is not None and not _FIRST <= day < _LAST:
            problems[name] = f"The year {day.year} cannot be right: give the day on the paper."
    first, last = permit.valid_from, permit.valid_until
    if not problems and first and last and last < first:
        problems["valid_until"] = "The last day lies before the first."
    if problems:
        raise ValidationError(problems)
    permit.full_clean(exclude=["file"])
    if file is not None:
        suffix, content = kept_scan(file)
        permit.file.save(f"scan.{suffix}", ContentFile(content), save=False)
    permit.save()
    permit.spots.set(spots)
    return permit


@transaction.atomic
def withdraw_permit(*, permit: DropPermit, on: datetime.date, reason: str) -> DropPermit:
    """The authority took it back, or the guide did: from that day on it proves nothing."""
    if not reason.strip():
        raise ValidationError({"reason": "Say who withdrew it, and why."})
    if not _FIRST <= on < _LAST:
        raise ValidationError({"on": f"The year {on.year} cannot be right: give the day."})
    permit.withdrawn_on, permit.withdrawn_reason = on, reason.strip()
    permit.full_clean()
    permit.save()
    return permit


@transaction.atomic
def restore_permit(*, permit: DropPermit) -> DropPermit:
    """A withdrawal that was entered by mistake, or was lifted."""
    permit.withdrawn_on, permit.withdrawn_reason = None, ""
    permit.full_clean()
    permit.save()
    return permit
