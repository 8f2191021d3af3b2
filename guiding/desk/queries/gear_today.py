"""What gear asks for today: grounded, due, to be watched, lying badly."""

from __future__ import annotations

import datetime

from equipment.queries.booked import booked_days
from equipment.queries.due import DueItem, due_list
from equipment.queries.gear import FIT


def gear_today(*, on: datetime.date) -> list[DueItem]:
    """What has to be done to gear now, worst first; what only comes due before a later trip is for
    the due list. A fixed number of queries."""
    return [item for item in due_list(on=on, booked=booked_days(on=on)) if item.state != FIT]
