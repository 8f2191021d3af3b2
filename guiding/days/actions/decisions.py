"""Writes about decisions: go, hold or call off, each kept with every number it was taken on."""

from __future__ import annotations

import datetime
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone

from bookings.actions.locks import lock_trips
from bookings.actions.trips import move_trip_state
from bookings.models import Trip
from bookings.rules.states import TripState
from guiding.days.models import DayPlan, Decision, HouseLimits
from guiding.days.rules.decision import Call, DayFacts, day_findings, frozen_copy
from guiding.days.rules.limits import Scope, Verdict


@transaction.atomic
def decide(
    *,
    plan: DayPlan,
    facts: DayFacts,
    call: Call,
    reason: str = "",
    by: Any = None,
    by_name: str = "",
    at: datetime.datetime | None = None,
    moves_trip: bool = True,
) -> Decision:
    """Take a decision on a planned day and freeze the numbers that it was taken on.

    To go over a stop takes a reason, and so does calling off, which cancels the trip unless the
    caller does that with messages of its own. A day that is over or cancelled is decided no more.
    """
    at = at or timezone.now()
    (trip,) = lock_trips([plan.trip_id])
    if trip.status not in {Trip.Status.TENTATIVE, Trip.Status.CONFIRMED}:
        raise ValidationError(
            f"This trip is {trip.get_status_display()}: nothing is left to decide."
        )
    findings = [one for one in day_findings(facts) if one.scope is Scope.DAY]
    stops = [one for one in findings if one.verdict is Verdict.STOP]
    reason = reason.strip()
    if stops and call is Call.GO and not reason:
        named = ", ".join(one.what.lower() for one in stops)
        raise ValidationError({"reason": f"Over the limit: {named}. To go all the same, say why."})
    if call is Call.CALL_OFF and not reason:
        raise ValidationError({"reason": "Say why the day is called off; the parties will ask."})
    copy = frozen_copy(facts)
    row = Decision(
        plan=plan,
        verdict=call.value,
        taken_at=at,
        taken_by=by,
        taken_by_name=(by_name or _name(by))[:150],
        forecast_issued_at=facts.forecast.issued_at,
        stops=len(stops),
        cautions=sum(one.verdict is Verdict.CAUTION for one in findings),
        reason=reason,
        frozen=copy,
        digest=copy["sha256"],
    )
    row.full_clean()
    row.save()
    if call is Call.CALL_OFF and moves_trip:
        move_trip_state(trip=trip, to=TripState.CANCELLED, reason=reason[:200], at=at)
    return row


def _name(by: Any) -> str:
    return by.get_full_name() or by.get_username() if by is not None else "the guide"


@transaction.atomic
def save_house_limits(*, limits: HouseLimits, **fields: Any) -> HouseLimits:
    """New limits of the house; decisions taken before keep those they were taken on."""
    for name, value in fields.items():
        setattr(limits, name, value)
    limits.full_clean()
    limits.save()
    return limits
