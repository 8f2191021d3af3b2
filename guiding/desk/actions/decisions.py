"""A decision on a day, with everybody told who has to know."""

from __future__ import annotations

import datetime
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction

from bookings.models import Trip
from bookings.rules.states import TripState
from guiding.days.actions.decisions import decide
from guiding.days.models import Decision
from guiding.days.rules.decision import Call, seen_mark
from guiding.days.sheets.decision import Conditions
from guiding.desk.actions.telling import move_and_tell, tell_decision


@transaction.atomic
def decide_and_tell(
    *,
    trip: Trip,
    conditions: Conditions,
    call: Call,
    reason: str = "",
    seen: str = "",
    by: Any = None,
    at: datetime.datetime,
) -> Decision:
    """Take the decision and tell the parties; a day called off is cancelled, in calendars too.

    `seen` marks the findings that stood on the page: where others hold by now, nothing is decided.
    """
    if seen and seen != seen_mark(conditions.findings):
        raise ValidationError("The numbers have changed since you looked. Look at them again.")
    row = decide(
        plan=conditions.plan,
        facts=conditions.facts,
        call=call,
        reason=reason,
        by=by,
        at=at,
        moves_trip=False,
    )
    if call is Call.CALL_OFF:
        move_and_tell(trip=trip, to=TripState.CANCELLED, reason=row.reason[:200], at=at)
    else:
        tell_decision(decision=row, at=at)
    return row
