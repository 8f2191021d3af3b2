"""Whoever wants to know of a price that was agreed is told, once it is written down."""

from __future__ import annotations

import datetime

from django.conf import settings
from django.db import transaction
from django.utils.module_loading import import_string


def tell_agreed(*, trip_pk: int, at: datetime.datetime) -> None:
    """After this is committed, call what `settings.BOOKINGS_AGREED` names, if it names anything.

    What goes wrong there is logged and takes no yes back; the worker tells what was not told.
    """
    name = getattr(settings, "BOOKINGS_AGREED", "")
    if not name:
        return
    told = import_string(name)

    def tell() -> None:
        told(trip_pk=trip_pk, at=at)

    transaction.on_commit(tell, robust=True)
