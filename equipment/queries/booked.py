"""What gear is told from outside: on which days trips are booked, and in which zone days are.

The gear house knows no bookings and no business. The project plugs in who does, in its settings.
"""

from __future__ import annotations

import datetime
import uuid

from django.conf import settings
from django.utils import timezone
from django.utils.module_loading import import_string


def booked_days(*, on: datetime.date) -> tuple[datetime.date, ...]:
    """Days of booked trips from a day on, in order; none where no one can say.

    `settings.GEAR_BOOKED_DAYS` names a function that takes `on` and gives the days.
    """
    name = getattr(settings, "GEAR_BOOKED_DAYS", "")
    return tuple(sorted(import_string(name)(on=on))) if name else ()


def trip_on(*, on: datetime.date) -> uuid.UUID | None:
    """The trip that went out on a day; None where none did, or more than one, or no one can say.

    `settings.GEAR_TRIP_ON` names a function that takes `on` and gives the trip's id.
    """
    name = getattr(settings, "GEAR_TRIP_ON", "")
    return import_string(name)(on=on) if name else None


def home_zone() -> datetime.tzinfo:
    """The zone of the desk; the one in force where no one can say.

    Pages are served in it already; commands have to ask. `settings.GEAR_ZONE` names a function
    without arguments that gives it.
    """
    name = getattr(settings, "GEAR_ZONE", "")
    zone: datetime.tzinfo = import_string(name)() if name else timezone.get_current_timezone()
    return zone
