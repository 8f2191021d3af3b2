"""What the gear house is told: the days that are booked, and the zone of the desk."""

from __future__ import annotations

import datetime
import uuid

from django.db.models import QuerySet
from django.utils import timezone

from bookings.models import Booking, Business, Trip
from bookings.queries.trips import LIVE


def booked_trips(*, on: datetime.date) -> QuerySet[Trip]:
    """Trips from a day on that are not called off and that a party has a place on.

    A day that is planned but not sold yet does not count: nothing has to be ready for it.
    """
    start = timezone.make_aware(datetime.datetime.combine(on, datetime.time()))
    live = Booking.objects.exclude(status=Booking.Status.CANCELLED)
    return Trip.objects.filter(starts_at__gte=start, status__in=LIVE, pk__in=live.values("trip"))


def booked_days(*, on: datetime.date) -> list[datetime.date]:
    """The days of booked trips, in order. One query; days are those of the zone in force."""
    begins = booked_trips(on=on).values_list("starts_at", flat=True)
    return sorted({timezone.localdate(at) for at in begins})


def trip_on(*, on: datetime.date) -> uuid.UUID | None:
    """The id of the trip that begins on a day and was not called off; None for none or several."""
    start = timezone.make_aware(datetime.datetime.combine(on, datetime.time()))
    end = timezone.make_aware(
        datetime.datetime.combine(on + datetime.timedelta(days=1), datetime.time())
    )
    out = Trip.objects.filter(starts_at__gte=start, starts_at__lt=end)
    found = out.exclude(status=Trip.Status.CANCELLED).values_list("uid", flat=True)[:2]
    return found[0] if len(found) == 1 else None


def desk_zone() -> datetime.tzinfo:
    """The zone of the business; UTC before there is one."""
    business = Business.objects.first()
    return business.tz if business else datetime.UTC
