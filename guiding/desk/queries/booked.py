"""What the gear house is told: the days that are booked, and the zone of the desk."""

from __future__ import annotations

import datetime

from django.utils import timezone

from bookings.models import Booking, Business, Trip
from bookings.queries.trips import LIVE


def booked_days(*, on: datetime.date) -> list[datetime.date]:
    """Days from `on` of trips that are not called off and that a party has a place on, in order.

    A day that is planned but not sold yet does not count: nothing has to be ready for it. One
    query; days are those of the zone in force.
    """
    start = timezone.make_aware(datetime.datetime.combine(on, datetime.time()))
    live = Booking.objects.exclude(status=Booking.Status.CANCELLED)
    begins = Trip.objects.filter(
        starts_at__gte=start, status__in=LIVE, pk__in=live.values("trip")
    ).values_list("starts_at", flat=True)
    return sorted({timezone.localdate(at) for at in begins})


def desk_zone() -> datetime.tzinfo:
    """The zone of the business; UTC before there is one."""
    business = Business.objects.first()
    return business.tz if business else datetime.UTC
