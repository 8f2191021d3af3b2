"""Where else, and when else: other spots on the same day, other days soon after."""

from __future__ import annotations

import datetime
from dataclasses import dataclass

from bookings.models import Business, Trip
from guiding.days.models import DayPlan
from guiding.days.queries.plans import spots
from guiding.days.sheets.find_days import DayOption, Search, find_days

_DAYS_ON = 14
_MOST = 2


@dataclass(frozen=True, slots=True)
class Fallbacks:
    """The best other spots on the day, and the best other days within a fortnight."""

    spots: tuple[DayOption, ...]
    days: tuple[DayOption, ...]

    def __bool__(self) -> bool:
        return bool(self.spots or self.days)


def fallbacks(
    *,
    trip: Trip,
    plan: DayPlan,
    heads: int,
    minors: int,
    business: Business,
    at: datetime.datetime,
) -> Fallbacks:
    """What could be done instead of a planned day, its own trip left out of the diary."""
    day = plan.session_start.astimezone(business.tz).date()
    search = Search(
        first=day,
        last=day + datetime.timedelta(days=_DAYS_ON),
        offers=(trip.offer,),
        spots=tuple(spots()),
        heads=max(heads, 1),
        minors=minors,
        but_trip=trip.pk,
    )
    try:
        found = find_days(search=search, business=business, at=at)
    except ValueError:
        return Fallbacks((), ())
    same_day = [o for o in found.options if o.day == day and o.spot.pk != plan.spot_id]
    later: dict[datetime.date, DayOption] = {}
    for option in found.options:  # the best first: one a day
        if option.day != day:
            later.setdefault(option.day, option)
    return Fallbacks(tuple(same_day[:_MOST]), tuple(list(later.values())[:_MOST]))
