"""What Find a day must know of the rows: days taken, days away, what the season says, fit gear."""

from __future__ import annotations

import datetime
from bisect import bisect_left, bisect_right
from dataclasses import dataclass

from django.db.models import Sum

from bookings.models import Booking, Trip
from bookings.queries.trips import LIVE
from equipment.queries.gear import GROUNDED, RETIRED, gear_list
from guiding.days.models import Away, DayPlan

_BESIDE = datetime.timedelta(days=2)
_YEARS_BACK = 3  # of our own results [house]
_SEASON_DAYS = 45  # to either side of a date [house]
_RESTED = datetime.timedelta(days=30)  # beyond which the rest of a spot no longer matters


@dataclass(frozen=True, slots=True)
class TakenDay:
    """A trip that stands, as it takes its day; `plan` None while it has none.

    `lapsed` are places held for somebody whose time has run out.
    """

    trip: Trip
    day: datetime.date
    plan: DayPlan | None
    lapsed: int = 0

    @property
    def places_left(self) -> int:
        """The places left when the holds that have run out are given back."""
        return self.trip.places_left + self.lapsed

    @property
    def is_empty(self) -> bool:
        return self.trip.places_taken <= self.lapsed

    @property
    def spot_id(self) -> int | None:
        return self.plan.spot_id if self.plan else None

    @property
    def words(self) -> str:
        place = f" at {self.plan.spot}" if self.plan else ""
        if self.is_empty:
            return f"{self.trip.offer}{place} is planned, with nobody on it: call it off first"
        return f"you are out already: {self.trip.offer}{place}"


@dataclass(frozen=True, slots=True)
class Diary:
    """The trips that stand around a stretch of days, and the days on which the guide is away."""

    taken: dict[datetime.date, tuple[TakenDay, ...]]
    starts: tuple[datetime.datetime, ...]
    ends: tuple[datetime.datetime, ...]
    away: tuple[Away, ...]

    def away_on(self, day: datetime.date) -> str:
        """Why the guide is away on a day; empty where not."""
        for row in self.away:
            if row.first_day <= day <= row.last_day:
                return f"you are away: {row.reason}" if row.reason else "you are away"
        return ""

    def rest_h(self, out_at: datetime.datetime, home_at: datetime.datetime) -> float | None:
        """The shorter rest to the trips before and after; None where there is none within reach."""
        rests = []
        i = bisect_right(self.ends, out_at) - 1
        if i >= 0:
            rests.append((out_at - self.ends[i]) / datetime.timedelta(hours=1))
        j = bisect_left(self.starts, home_at)
        if j < len(self.starts):
            rests.append((self.starts[j] - home_at) / datetime.timedelta(hours=1))
        return min(rests, default=None)

    def rest_days(self, spot_id: int, day: datetime.date) -> float | None:
        """Days to the nearest trip at a spot; None where it is fished on no other day."""
        gaps = [
            abs((day - taken.day).days)
            for rows in self.taken.values()
            for taken in rows
            if taken.spot_id == spot_id
        ]
        return float(min(gaps)) if gaps else None


def diary(
    *,
    first: datetime.date,
    last: datetime.date,
    tz: datetime.tzinfo,
    at: datetime.datetime,
    but: int | None = None,
) -> Diary:
    """The diary around a stretch of days, as of a moment: four queries. `but` leaves a trip out."""
    start = datetime.datetime.combine(first, datetime.time(), tz)
    end = datetime.datetime.combine(last + datetime.timedelta(days=1), datetime.time(), tz)
    rows = Trip.objects.filter(
        status__in=[*LIVE, Trip.Status.FISHED],
        starts_at__gte=start - _RESTED,
        starts_at__lt=end + _RESTED,
    )
    if but is not None:
        rows = rows.exclude(pk=but)
    trips = list(rows.select_related("offer").order_by("starts_at"))
    plans = {
        plan.trip_id: plan for plan in DayPlan.objects.filter(trip__in=trips).select_related("spot")
    }
    over = Booking.objects.filter(
        trip__in=trips, status=Booking.Status.TENTATIVE, hold_until__lte=at
    )
    lapsed = dict(over.order_by().values_list("trip").annotate(Sum("heads")))
    taken: dict[datetime.date, list[TakenDay]] = {}
    for trip in trips:
        day = trip.starts_at.astimezone(tz).date()
        found = TakenDay(trip, day, plans.get(trip.pk), lapsed.get(trip.pk, 0))
        taken.setdefault(day, []).append(found)
    near = [t for t in trips if start - _BESIDE <= t.ends_at and t.starts_at <= end + _BESIDE]
    return Diary(
        taken={day: tuple(rows) for day, rows in taken.items()},
        starts=tuple(sorted(trip.starts_at for trip in near)),
        ends=tuple(sorted(trip.ends_at for trip in near)),
        away=tuple(Away.objects.filter(last_day__gte=first, first_day__lte=last)),
    )


@dataclass(frozen=True, slots=True)
class OwnResults:
    """How the days planned at each spot ended: fished, or called off; by day of the year."""

    by_spot: dict[int, tuple[tuple[int, bool], ...]]

    def share(self, spot_id: int, day: datetime.date) -> float | None:
        """The share of days fished here at this season; None where none was planned."""
        here = day.timetuple().tm_yday
        near = [
            fished
            for yday, fished in self.by_spot.get(spot_id, ())
            if min(abs(yday - here), 365 - abs(yday - here)) <= _SEASON_DAYS
        ]
        return sum(near) / len(near) if near else None


def own_results(*, on: datetime.date, tz: datetime.tzinfo) -> OwnResults:
    """The results of the last three years as of a day: one query."""
    end = datetime.datetime.combine(on, datetime.time(), tz)
    rows = DayPlan.objects.filter(
        trip__status__in=[Trip.Status.FISHED, Trip.Status.CANCELLED],
        trip__starts_at__lt=end,
        trip__starts_at__gte=end - datetime.timedelta(days=365 * _YEARS_BACK),
    ).values_list("spot_id", "trip__starts_at", "trip__status")
    found: dict[int, list[tuple[int, bool]]] = {}
    for spot_id, starts_at, status in rows:
        yday = starts_at.astimezone(tz).timetuple().tm_yday
        found.setdefault(spot_id, []).append((yday, status == Trip.Status.FISHED))
    return OwnResults({spot_id: tuple(days) for spot_id, days in found.items()})


@dataclass(frozen=True, slots=True)
class FitGear:
    """From which day on nothing is left to fly with; None: there is always something."""

    until: datetime.date | None
    why: str

    def grounded_on(self, day: datetime.date) -> str:
        return self.why if self.until is not None and day >= self.until else ""


def fit_gear(*, first: datetime.date, last: datetime.date) -> FitGear:
    """Whether craft and packs are fit over a stretch of days: what is grounded stays grounded.

    Asked for the first and the last day, and in between only where the two differ.
    """
    why = _grounded(last)
    if not why:
        return FitGear(None, "")
    if _grounded(first):
        return FitGear(first, why)
    fit, unfit = first, last
    while (unfit - fit).days > 1:
        middle = fit + (unfit - fit) // 2
        if _grounded(middle):
            unfit = middle
        else:
            fit = middle
    return FitGear(unfit, why)


def _grounded(day: datetime.date) -> str:
    """Why nothing can be flown on a day with the gear there is; empty where something can."""
    gear = gear_list(on=day, kinds=["craft", "pack"])
    for kind, words in (("craft", "craft"), ("pack", "flight pack")):
        states = [state for state in gear if state.kind == kind]
        if not states:
            return f"there is no {words}"
        if all(state.state in {GROUNDED, RETIRED} for state in states):
            return f"no {words} is fit: {states[0].label}: {states[0].reason}"
    return ""
