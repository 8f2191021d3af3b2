"""Writes about days on which nothing is planned: a spot shut, the guide away."""

from __future__ import annotations

import datetime
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction

from guiding.days.models import Away, Closure

_FIRST, _LAST = datetime.date(2000, 1, 1), datetime.date(2100, 1, 1)


@transaction.atomic
def save_closure(*, closure: Closure | None = None, **fields: Any) -> Closure:
    """Dates on which a spot is shut; yearly ones may run over New Year."""
    closure = closure or Closure()
    for name, value in fields.items():
        setattr(closure, name, value)
    _check_days(closure, in_order=not closure.yearly)
    closure.full_clean()
    closure.save()
    return closure


@transaction.atomic
def remove_closure(*, closure: Closure) -> None:
    """It no longer holds; the history keeps it."""
    closure.delete()


@transaction.atomic
def save_away(*, away: Away | None = None, **fields: Any) -> Away:
    """Days on which the guide takes nobody out."""
    away = away or Away()
    for name, value in fields.items():
        setattr(away, name, value)
    _check_days(away, in_order=True)
    away.full_clean()
    away.save()
    return away


@transaction.atomic
def remove_away(*, away: Away) -> None:
    """The guide is there after all."""
    away.delete()


def _check_days(row: Closure | Away, *, in_order: bool) -> None:
    problems: dict[str, str] = {}
    for name in ("first_day", "last_day"):
        day = getattr(row, name)
        if day is not None and not _FIRST <= day < _LAST:
            problems[name] = f"The year {day.year} cannot be right: check the date."
    first, last = row.first_day, row.last_day
    if not problems and in_order and first and last and last < first:
        problems["last_day"] = "The last day lies before the first."
    if problems:
        raise ValidationError(problems)
