"""Questions about decisions: the limits of the house, what was decided, the days beside a day."""

from __future__ import annotations

import datetime
from collections.abc import Iterable
from dataclasses import dataclass, fields

from django.db.models import QuerySet

from bookings.models import Trip
from bookings.queries.trips import LIVE
from guiding.days.models import DayPlan, Decision, HouseLimits, Spot
from guiding.days.rules.decision import TheHouse
from guiding.days.rules.limits import WindPart
from guiding.days.rules.seasons import ShutDates, shut_because

_NEAR = datetime.timedelta(days=2)


def house_limits(*, at: datetime.datetime | None = None) -> HouseLimits:
    """The row of the limits that hold everywhere; with the house's defaults where none is saved.

    `at` asks for those of an instant that is past.
    """
    rows = HouseLimits.objects.all() if at is None else HouseLimits.history.as_of(at)
    return rows.first() or HouseLimits()


def the_house(*, at: datetime.datetime | None = None) -> TheHouse:
    """The same as plain values."""
    row = house_limits(at=at)
    return TheHouse(**{each.name: getattr(row, each.name) for each in fields(TheHouse)})


def decisions_of(plan_pk: int) -> QuerySet[Decision]:
    """Every decision on a plan, the newest first."""
    return Decision.objects.filter(plan=plan_pk).select_related("taken_by")


def decision_that_holds(plan: DayPlan) -> Decision | None:
    """The newest decision on a plan; None where it was taken for other hours than the plan has."""
    row = decisions_of(plan.pk).first()
    if row is None:
        return None
    hours = row.frozen["facts"]["hours"]
    then = [
        datetime.datetime.fromisoformat(hours[name]) for name in ("session_start", "session_end")
    ]
    return row if then == [plan.session_start, plan.session_end] else None


def newest_decisions(plans: Iterable[int]) -> dict[int, Decision]:
    """The decision that holds for each of these plans, by plan; one query."""
    rows = Decision.objects.filter(plan__in=list(plans)).defer("frozen").order_by("taken_at", "pk")
    return {row.plan_id: row for row in rows}


@dataclass(frozen=True, slots=True)
class Beside:
    """When the guide comes home from the day before, and goes out for the next; within two days."""

    home_at: datetime.datetime | None
    out_at: datetime.datetime | None

    def rest_before_h(self, pick_up: datetime.datetime) -> float | None:
        return None if self.home_at is None else (pick_up - self.home_at) / _HOUR

    def rest_after_h(self, drop_off: datetime.datetime) -> float | None:
        return None if self.out_at is None else (self.out_at - drop_off) / _HOUR


_HOUR = datetime.timedelta(hours=1)


def beside(trip: Trip) -> Beside:
    """The days beside a trip: two queries."""
    others = Trip.objects.exclude(pk=trip.pk).filter(status__in=[*LIVE, Trip.Status.FISHED])
    before = (
        others.filter(ends_at__lte=trip.starts_at, ends_at__gt=trip.starts_at - _NEAR)
        .order_by("-ends_at")
        .values_list("ends_at", flat=True)
        .first()
    )
    after = (
        others.filter(starts_at__gte=trip.ends_at, starts_at__lt=trip.ends_at + _NEAR)
        .order_by("starts_at")
        .values_list("starts_at", flat=True)
        .first()
    )
    return Beside(before, after)


def shut_dates(spot: Spot) -> tuple[ShutDates, ...]:
    """The closures of a spot as plain values; uses what was fetched along."""
    return tuple(
        ShutDates(row.first_day, row.last_day, row.yearly, row.reason)
        for row in spot.closures.all()
    )


def closed_because(*, spot: Spot, on: datetime.date) -> str:
    """Why a spot is shut on a day; empty where it is open."""
    return shut_because(on, shut_dates(spot))


def wind_parts(spot: Spot) -> tuple[WindPart, ...]:
    """The wind limits of a spot by direction; uses what was fetched along."""
    return tuple(
        WindPart(row.from_deg, row.to_deg, row.stop_ms, row.why) for row in spot.wind_limits.all()
    )
