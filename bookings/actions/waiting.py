"""The waiting list of a full day."""

from __future__ import annotations

import datetime

from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction
from django.utils import timezone

from bookings.actions.locks import lock_trips
from bookings.actions.trips import hold_places, refuse_begun
from bookings.models import Booking, Party, Trip, Waiting

Outcome = Waiting.Outcome


@transaction.atomic
def join_waiting_list(
    *, party: Party, trip: Trip, heads: int, at: datetime.datetime | None = None
) -> Waiting:
    """Put a party on the list; it gets no place by that."""
    if party.state != Party.State.OPEN:
        raise ValidationError("This case is closed. Open it again first.")
    if trip.status in {Trip.Status.CANCELLED, Trip.Status.FISHED}:
        raise ValidationError(f"This trip is {trip.get_status_display()}: nobody waits for it.")
    refuse_begun(trip, at or timezone.now())
    if heads > trip.places:
        raise ValidationError(
            {"heads": f"This day takes {trip.places} at most, and {heads} never fit in it."}
        )
    waiting = Waiting(party=party, trip=trip, heads=heads, asked_at=at or timezone.now())
    waiting.full_clean(validate_constraints=False)
    try:
        with transaction.atomic():
            waiting.save()
    except IntegrityError:
        raise ValidationError("This party is on the list of this day already.") from None
    return waiting


@transaction.atomic
def place_waiting(*, waiting: Waiting, at: datetime.datetime | None = None) -> Booking:
    """Hold the places for a party that has waited, if they are free."""
    at = at or timezone.now()
    lock_trips([waiting.trip_id])
    waiting = _open(waiting)
    booking = hold_places(party=waiting.party, trip=waiting.trip, heads=waiting.heads, at=at)
    waiting.outcome, waiting.ended_at = Outcome.PLACED, at
    waiting.save()
    return booking


@transaction.atomic
def leave_waiting_list(*, waiting: Waiting, at: datetime.datetime | None = None) -> Waiting:
    waiting = _open(waiting)
    waiting.outcome, waiting.ended_at = Outcome.LEFT, at or timezone.now()
    waiting.save()
    return waiting


def _open(waiting: Waiting) -> Waiting:
    waiting = (
        Waiting.objects.select_for_update(of=("self",), no_key=True)
        .select_related("party", "trip__offer")
        .get(pk=waiting.pk)
    )
    if waiting.outcome != Outcome.WAITS:
        raise ValidationError(f"This party {waiting.get_outcome_display()}: nothing was changed.")
    return waiting
