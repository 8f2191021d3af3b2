"""Papers in date for trips: every date that is booked is tested."""

from __future__ import annotations

import datetime
from collections.abc import Sequence
from dataclasses import dataclass

from bookings.models import Booking, Business, Participant, Trip
from bookings.queries.trips import next_trips, people_of
from equipment.models import Thing
from guiding.days.models import DayPlan
from guiding.days.sheets.day import cast_only_reason
from guiding.desk.sheets.gather import TripFile, gather, is_minor
from guiding.safety.queries.papers import (
    DayScope,
    PaperAnswer,
    PaperBook,
    refusals,
    trip_days,
    trip_papers,
    vehicles_in_use,
)


@dataclass(frozen=True, slots=True)
class TripPapers:
    """A trip and what the papers say for it, the worst first."""

    trip: Trip
    answers: list[PaperAnswer]

    @property
    def gaps(self) -> list[PaperAnswer]:
        return [answer for answer in self.answers if answer.state.gravity]

    @property
    def blocks(self) -> list[str]:
        return refusals(self.answers)


@dataclass(frozen=True, slots=True)
class PaperGap:
    """One paper that is short or missing, said once, with the trips it touches, soonest first."""

    answer: PaperAnswer
    trips: list[Trip]


def gaps_by_paper(found: list[TripPapers]) -> list[PaperGap]:
    """What the trips lack, a row a paper and state: what stops a trip first, then the soonest."""
    rows: dict[tuple[int, str, str], PaperGap] = {}
    for one in found:
        for answer in one.gaps:
            key = (answer.kind.pk, answer.subject, answer.state.value)
            rows.setdefault(key, PaperGap(answer, [])).trips.append(one.trip)
    return sorted(rows.values(), key=lambda row: (not row.answer.blocks, row.trips[0].starts_at))


def flies(plan: DayPlan | None, day: datetime.date) -> bool:
    """Whether bait is flown that day: a craft is planned and both permissions are proven."""
    return plan is not None and plan.craft_id is not None and not cast_only_reason(plan.spot, day)


def papers_of(file: TripFile, days: Sequence[datetime.date] = ()) -> TripPapers:
    """What the papers say for every date that the trip touches, or for other `days`."""
    return _papers(
        file.trip,
        file.plan,
        list(file.people),
        days or trip_days(file.trip, file.business.tz),
        PaperBook(),
        vehicles_in_use(),
    )


def confirm_refusals(file: TripFile) -> list[str]:
    """Why the trip may not be confirmed for want of a paper; empty where all are in date."""
    return papers_of(file).blocks


def hard_stops(trip: Trip, on: datetime.date | None = None) -> list[str]:
    """Why a trip may not be confirmed: a sentence for each hard paper that is not in date for it.

    The one gate for whatever confirms a trip, the guide's button and a client's yes alike: it looks
    at the papers of the business, the guide, the planned craft and vehicle and the planned spot as
    the plan stands now, so that a craft swapped in or a spot moved is asked for its own. Every
    local date that the trip touches is tested, or the one date `on`. A paper that only warns is
    not among them, and an empty list says nothing about the law: check with your own authority.
    """
    business = Business.objects.get()
    file = gather(trip.pk, business=business)
    if file is None:
        return []
    days = (on,) if on else trip_days(trip, business.tz)
    return papers_of(file, days).blocks


def trip_stops(*, trip: Trip) -> list[str]:
    """What stops a trip, for the house that sells it."""
    return hard_stops(trip)


def agreed_and_stopped(*, at: datetime.datetime, business: Business) -> list[TripPapers]:
    """Trips to come that are a party's and that are not confirmed, with their papers."""
    theirs = Booking.objects.filter(status=Booking.Status.CONFIRMED, awaits_deposit=False)
    agreed = theirs.values("trip")
    trips = next_trips(at=at).filter(status=Trip.Status.TENTATIVE, pk__in=agreed)
    return _with_papers(list(trips), business)


def papers_ahead(
    *, at: datetime.datetime, business: Business, on: datetime.date | None = None
) -> list[TripPapers]:
    """Every trip still to come, or those of one local date, with what the papers say for it.

    The number of questions does not grow with the trips.
    """
    trips = list(next_trips(at=at))
    if on is not None:
        trips = [trip for trip in trips if on in trip_days(trip, business.tz)]
    return _with_papers(trips, business)


def _with_papers(trips: list[Trip], business: Business) -> list[TripPapers]:
    if not trips:
        return []
    plans = {
        plan.trip_id: plan
        for plan in DayPlan.objects.filter(trip__in=trips)
        .select_related("spot", "craft", "vehicle")
        .prefetch_related("spot__permits")
    }
    book, vehicles = PaperBook(), vehicles_in_use()
    return [
        _papers(
            trip,
            plans.get(trip.pk),
            people_of(trip),
            trip_days(trip, business.tz),
            book,
            vehicles,
        )
        for trip in trips
    ]


def _papers(
    trip: Trip,
    plan: DayPlan | None,
    people: list[Participant],
    days: Sequence[datetime.date],
    book: PaperBook,
    vehicles: tuple[Thing, ...],
) -> TripPapers:
    scope = DayScope(
        spot=plan.spot if plan else None,
        craft=plan.craft if plan else None,
        vehicles=(plan.vehicle,) if plan and plan.vehicle else vehicles,
        flying=any(flies(plan, day) for day in days),
        sand=bool(plan and plan.sand_km > 0),
        minors=any(is_minor(person, days[0]) for person in people),
    )
    return TripPapers(trip, trip_papers(scope, days, book))
