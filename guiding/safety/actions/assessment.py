"""Writes about the assessment of a trip and the briefing that follows from it."""

from __future__ import annotations

import datetime
from collections.abc import Iterable
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone

from bookings.models import Booking, Participant, Trip
from guiding.days.models import Spot
from guiding.safety.models import (
    DayMarks,
    Hazard,
    HazardChoice,
    Heard,
    SignedAssessment,
    SpotSafety,
)
from guiding.safety.queries.assessment import Assessment, facts_record, lines_record
from guiding.safety.rules.facts import DAY_FEATURES, SPOT_FEATURES


@transaction.atomic
def save_spot_safety(*, spot: Spot, features: Iterable[str], **fields: Any) -> SpotSafety:
    """What a spot is like, as ticked from the list of features."""
    row = SpotSafety.objects.select_for_update().filter(spot=spot).first() or SpotSafety(spot=spot)
    return _saved(row, _known(features, SPOT_FEATURES), fields)


@transaction.atomic
def save_day_marks(*, trip: Trip, features: Iterable[str], **fields: Any) -> DayMarks:
    """What the guide knows of the day and no other table holds."""
    row = DayMarks.objects.select_for_update().filter(trip=trip).first() or DayMarks(trip=trip)
    return _saved(row, _known(features, DAY_FEATURES), fields)


def _saved(row: Any, features: list[str], fields: dict[str, Any]) -> Any:
    row.features = features
    for name, value in fields.items():
        setattr(row, name, value)
    row.full_clean()
    row.save()
    return row


def _known(features: Iterable[str], known: dict[str, str]) -> list[str]:
    ticked = set(features)
    unknown = ticked - set(known)
    if unknown:
        raise ValidationError({"features": f"'{min(unknown)}' is not on the list. Tick from it."})
    return [name for name in known if name in ticked]


@transaction.atomic
def choose_hazard(
    *,
    trip: Trip,
    hazard: Hazard,
    take: bool,
    reason: str,
    by: Any = None,
    at: datetime.datetime | None = None,
) -> HazardChoice:
    """Put a hazard on the list of a trip or take it off, with a reason; the last word counts."""
    reason = reason.strip()
    if not reason:
        raise ValidationError({"reason": "Say why; whoever looks back will ask."})
    row = HazardChoice.objects.filter(trip=trip, hazard=hazard).first()
    row = row or HazardChoice(trip=trip, hazard=hazard)
    row.take, row.reason, row.by, row.at = take, reason, by, at or timezone.now()
    row.full_clean()
    row.save()
    return row


@transaction.atomic
def forget_choice(*, choice: HazardChoice) -> None:
    """Back to what the facts say."""
    choice.delete()


@transaction.atomic
def sign_assessment(
    *,
    trip: Trip,
    assessment: Assessment,
    name: str,
    note: str = "",
    by: Any = None,
    at: datetime.datetime | None = None,
) -> SignedAssessment:
    """Sign the list as it stands, with the facts it was made from. Signed once more adds a row."""
    if not name.strip():
        raise ValidationError({"name": "Sign with your name."})
    if not assessment.library_size:
        raise ValidationError("The library is empty: put the shipped hazards in first.")
    if assessment.in_order and assessment.signed is not None:
        return assessment.signed
    row = SignedAssessment(
        trip=trip,
        signed_at=at or timezone.now(),
        signed_by=by,
        signed_name=name.strip(),
        facts=facts_record(assessment.facts),
        lines=lines_record(assessment.hazards),
        note=note.strip(),
    )
    row.full_clean()
    row.save()
    return row


@transaction.atomic
def tick_heard(
    *,
    trip: Trip,
    people: Iterable[Participant],
    on_paper: bool = False,
    by: Any = None,
    at: datetime.datetime | None = None,
) -> int:
    """Note who heard the briefing; whoever is noted already stays as they are. How many are new."""
    at = at or timezone.now()
    live = Booking.objects.filter(trip=trip).exclude(status=Booking.Status.CANCELLED)
    coming = set(
        Participant.objects.filter(party__in=live.values("party")).values_list("pk", flat=True)
    )
    rows = []
    for person in people:
        if person.pk not in coming:
            raise ValidationError({"people": f"{person} does not come along on this trip."})
        rows.append(Heard(trip=trip, person=person, at=at, on_paper=on_paper, by=by))
    before = Heard.objects.filter(trip=trip).count()
    # The database decides who was ticked before, so a form that is sent twice notes nobody twice.
    Heard.objects.bulk_create(rows, ignore_conflicts=True)
    return Heard.objects.filter(trip=trip).count() - before
