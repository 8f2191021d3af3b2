"""Who is out, what waits to be sent, and which trips still need a watch."""

from __future__ import annotations

import datetime
from typing import Any

from django.db.models import QuerySet

from bookings.models import Trip
from guiding.days.models import DayPlan
from guiding.safety.models import Watch, WatchMessage
from guiding.safety.rules.watch import CARD_BEFORE

_LOOK_BACK = datetime.timedelta(days=14)


def watches_out(*, at: datetime.datetime) -> QuerySet[Watch]:
    """Watches that may have something to tell: those still out, and those just home."""
    return (
        Watch.objects.filter(stood_down_at=None, overdue_at__gt=at - _LOOK_BACK)
        .exclude(trip__status=Trip.Status.CANCELLED)
        .select_related("trip__offer")
        .prefetch_related("messages")
    )


def waiting() -> QuerySet[WatchMessage]:
    """Messages written down and not yet sent, the oldest first."""
    return WatchMessage.objects.filter(sent_at=None, dropped_at=None).order_by("due_at", "pk")


def last_contact() -> Watch | None:
    """Who kept watch last; the next watch proposes the same person."""
    return Watch.objects.order_by("-set_at", "-pk").first()


def unwatched(*, at: datetime.datetime) -> list[DayPlan]:
    """Plans of confirmed trips that begin soon or are out, and over which nobody watches."""
    return list(
        DayPlan.objects.filter(
            trip__status=Trip.Status.CONFIRMED,
            trip__starts_at__lte=at + CARD_BEFORE,
            trip__ends_at__gt=at,
            trip__watch=None,
            overdue_at__gt=at,
        ).select_related("trip__offer", "spot")
    )


def set_by_themselves(*, at: datetime.datetime) -> list[tuple[Trip, dict[str, Any]]]:
    """Trips over which the watch sets itself, with the contact of the watch before."""
    before = last_contact()
    if before is None:
        return []
    return [
        (
            plan.trip,
            {
                "overdue_at": plan.overdue_at,
                "contact_name": before.contact_name,
                "contact_mail": before.contact_mail,
                "contact_phone": before.contact_phone,
            },
        )
        for plan in unwatched(at=at)
    ]
