"""What keeps a day from being confirmed: bookings do not know it and ask whoever does."""

from __future__ import annotations

from django.conf import settings
from django.utils.module_loading import import_string

from bookings.models import Trip


def trip_stops(*, trip: Trip) -> tuple[str, ...]:
    """Why this day may not be confirmed now, a sentence each; empty where nothing stops it.

    `settings.BOOKINGS_TRIP_STOPS` names a function that takes `trip` and gives the sentences: the
    project plugs in its papers there, so that bookings need not know what a day on the shore needs.
    """
    name = getattr(settings, "BOOKINGS_TRIP_STOPS", "")
    return tuple(import_string(name)(trip=trip)) if name else ()
