"""Who is out, what waits to be sent, and which trips still need a watch."""

from __future__ import annotations

import datetime
from typing import Any

from django.db.models import F, Q, QuerySet

from bookings.models import Business, Trip
from guiding.days.models import DayPlan
from guiding.days.rules.session import OVERDUE_AFTER
from guiding.safety.models import Watch, WatchMessage
from guiding.safety.rules.watch import CARD_BEFORE, KNOWS, is_running

_LOOK_BACK = datetime.timedelta(days=14)
# Called off before anybody went out; called off later, people are out and the watch goes on.
_OFF_BEFORE = Q(trip__status=Trip.Status.CANCELLED, trip__changed_at__lt=F("trip__starts_at"))


def watches_out(*, at: datetime.datetime) -> QuerySet[Watch]:
    """Watches that may have something to tell: those still out, and those just home."""
    return (
        Watch.objects.filter(stood_down_at=None, overdue_at__gt=at - _LOOK_BACK)
        .exclude(_OFF_BEFORE)
        .select_related("trip__offer")
        .prefetch_related("messages")
    )


def waiting() -> QuerySet[WatchMessage]:
    """Messages written down and not yet sent, the oldest first."""
    return WatchMessage.objects.filter(sent_at=None, dropped_at=None).order_by("due_at", "pk")


def off_before(trip: Trip | None = None) -> QuerySet[Watch]:
    """Watches over days that were called off before anybody went out."""
    found = Watch.objects.filter(_OFF_BEFORE, home_at=None, stood_down_at=None)
    return (found if trip is None else found.filter(trip=trip)).select_related("trip")


def running_watch(trip: Trip, *, at: datetime.datetime) -> Watch | None:
    """The watch over people who may be out now."""
    watch = Watch.objects.filter(trip=trip).first()
    return watch if watch and is_running(trip.starts_at, watch.is_over, at) else None


def told_contact(trip: Trip) -> Watch | None:
    """The watch whose contact was told of the day: nobody else may be named on a paper."""
    told = WatchMessage.objects.filter(
        watch__trip=trip,
        watch__stood_down_at=None,
        step__in=KNOWS,
        to__iexact=F("watch__contact_mail"),
    ).exclude(sent_at=None)
    row = told.select_related("watch").first()
    return row.watch if row else None


def contact_ashore(business: Business | None) -> dict[str, str] | None:
    """Who is to wait: the contact of Setup, else whoever kept watch last; None for nobody."""
    if business and business.shore_contact_name and business.shore_contact_mail:
        return {
            "contact_name": business.shore_contact_name,
            "contact_mail": business.shore_contact_mail,
            "contact_phone": business.shore_contact_phone,
        }
    before = Watch.objects.order_by("-set_at", "-pk").first()
    if before is None:
        return None
    return {
        "contact_name": before.contact_name,
        "contact_mail": before.contact_mail,
        "contact_phone": before.contact_phone,
    }


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


def set_by_themselves(
    *, at: datetime.datetime, trip: Trip | None = None
) -> list[tuple[Trip, dict[str, Any]]]:
    """Confirmed trips over which the watch sets itself, with the contact; of one trip or all."""
    contact = contact_ashore(Business.objects.first())
    if contact is None:
        return []
    plans = DayPlan.objects.filter(
        trip__status=Trip.Status.CONFIRMED, trip__ends_at__gt=at, trip__watch=None
    ).select_related("trip__offer")
    if trip is not None:
        plans = plans.filter(trip=trip)
    return [
        (plan.trip, {"overdue_at": plan.overdue_at or plan.trip.ends_at + OVERDUE_AFTER, **contact})
        for plan in plans
    ]
