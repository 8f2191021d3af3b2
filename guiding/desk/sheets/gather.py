"""Everything about one trip, read once: the ground that each paper stands on."""

from __future__ import annotations

import datetime
from dataclasses import dataclass, replace

from django.utils import timezone

from bookings.models import Booking, Business, Participant, Party, Trip
from bookings.queries.trips import people_of, trip_page
from equipment.queries.gear import Fitness, GearState, fitness, gear_list
from guiding.days.models import DayPlan
from guiding.days.queries.decisions import the_house
from guiding.days.queries.plans import plan_of
from guiding.days.rules.decision import PartyFacts
from guiding.days.rules.session import judged_as_of
from guiding.days.sheets.day import SpotDay, spot_day, strip_facts
from guiding.days.sheets.decision import Conditions, conditions
from guiding.drawings.strip import StripFacts
from guiding.safety.sheets.letterhead import letterhead

__all__ = ["TripFile", "age_on", "gather", "is_minor", "letterhead"]


@dataclass(frozen=True, slots=True)
class TripFile:
    """A trip with plan, people and the nature of its day; `plan` and `nature` may be missing.

    `party` is whose file it is: bookings and people are then that party's alone.
    """

    business: Business
    trip: Trip
    plan: DayPlan | None
    bookings: tuple[Booking, ...]
    people: tuple[Participant, ...]
    nature: SpotDay | None
    day: datetime.date
    gear: tuple[GearState, ...]
    conditions: Conditions | None = None
    party: int | None = None

    @property
    def parties(self) -> tuple[Party, ...]:
        """Everybody who booked places on the trip, whoever's file this is, each once."""
        live = self.trip.live_bookings  # type: ignore[attr-defined]
        return tuple({one.party_id: one.party for one in live}.values())

    def of_party(self, pk: int) -> TripFile:
        """The trip as one party may know it: of the others nothing at all."""
        return replace(
            self,
            party=pk,
            bookings=tuple(one for one in self.bookings if one.party_id == pk),
            people=tuple(one for one in self.people if one.party_id == pk),
        )

    @property
    def gear_fit(self) -> tuple[Fitness, ...]:
        """Per thing that goes along: fit, watch or grounded, with the number that decides."""
        return tuple(fitness(state, None) for state in self.gear)

    @property
    def minors(self) -> tuple[Participant, ...]:
        return tuple(person for person in self.people if is_minor(person, self.day))

    def is_minor(self, person: Participant) -> bool:
        return is_minor(person, self.day)

    def strip(self, *, now: datetime.datetime | None = None) -> StripFacts | None:
        if self.nature is None or self.plan is None:
            return None
        parts = self.conditions.strip_parts() if self.conditions else {}
        return strip_facts(self.nature, plan=self.plan, now=now, **parts)


def is_minor(person: Participant, on: datetime.date) -> bool:
    """Under 18 on a day; unknown without a date of birth, and then not claimed."""
    born = person.born_on
    return born is not None and age_on(born, on) < 18


def age_on(born: datetime.date, on: datetime.date) -> int:
    return on.year - born.year - ((on.month, on.day) < (born.month, born.day))


def gather(pk: int, *, business: Business, at: datetime.datetime | None = None) -> TripFile | None:
    """The file of a trip as known at a moment, in a constant number of queries; None without it."""
    trip = trip_page(pk)
    if trip is None:
        return None
    plan = plan_of(trip)
    day = trip.starts_at.astimezone(business.tz).date()
    if plan:
        day = plan.session_start.astimezone(business.tz).date()
    at = at or timezone.now()
    house = the_house(at=judged_as_of(trip.ends_at, at))
    nature = spot_day(spot=plan.spot, day=day, zone=business.zone, house=house) if plan else None
    gear = _gear(plan, day)
    file = TripFile(
        business=business,
        trip=trip,
        plan=plan,
        bookings=tuple(trip.live_bookings),  # type: ignore[attr-defined]
        people=tuple(people_of(trip)),
        nature=nature,
        day=day,
        gear=gear,
    )
    if plan is None or nature is None:
        return file
    found = conditions(
        trip=trip,
        plan=plan,
        nature=nature,
        party=_party(file),
        gear=gear,
        at=at,
        house=house,
    )
    return replace(file, conditions=found)


def _party(file: TripFile) -> PartyFacts:
    """Who comes; minors that were announced count before they are named."""
    return PartyFacts(
        heads=sum(booking.heads for booking in file.bookings),
        minors=max(len(file.minors), sum(booking.party.minors for booking in file.bookings)),
        heads_per_guide=file.trip.offer.heads_per_guide,
    )


def _gear(plan: DayPlan | None, day: datetime.date) -> tuple[GearState, ...]:
    """The state on the day of everything that the plan takes along."""
    if plan is None:
        return ()
    things = [pack.pk for pack in plan.packs.all()] + [reel.pk for reel in plan.reels.all()]
    if plan.craft_id:
        things.append(plan.craft_id)
    if plan.vehicle_id:
        things.append(plan.vehicle_id)
    return tuple(gear_list(on=day, drop_m=plan.drop_m, things=things)) if things else ()
