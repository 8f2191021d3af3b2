"""Whose turn the worker's round is: one row decides between the processes that could go."""

from __future__ import annotations

import datetime

from django.db import IntegrityError, transaction
from django.db.models import Q

from bookings.models import WorkerRound


def claim_round(*, holder: str, at: datetime.datetime, lease: datetime.timedelta) -> bool:
    """Take the turn until `at + lease`, or keep it for longer; False while somebody else has it.

    A holder who died holds the others up until its lease has ended, and no longer.
    """
    free = Q(held_until=None) | Q(held_until__lte=at) | Q(holder=holder)
    until = at + lease
    if WorkerRound.objects.filter(free).update(holder=holder, held_until=until):
        return True
    if WorkerRound.objects.exists():
        return False
    try:
        with transaction.atomic():
            WorkerRound.objects.create(holder=holder, held_until=until)
    except IntegrityError:
        return False  # somebody else was first, a moment ago
    return True


def end_round(*, holder: str, at: datetime.datetime, problem: str = "") -> None:
    """Give the turn back. A round that broke off leaves the time of the last one that did not."""
    gone = {"problem": problem[:200]} if problem else {"problem": "", "ended_at": at}
    WorkerRound.objects.filter(holder=holder).update(holder="", held_until=None, **gone)
