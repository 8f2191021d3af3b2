"""The emergency card of a trip: where, what to say, who comes, what to do."""

from __future__ import annotations

import datetime
from collections.abc import Iterable
from dataclasses import dataclass

from bookings.models import Business, Trip
from bookings.queries.health import NoteState
from bookings.rules.phones import phone_text
from guiding.almanac.coordinates import CoordinateNotation, position_text
from guiding.days.models import DayPlan
from guiding.papers import records
from guiding.safety.models import Watch
from guiding.safety.queries.facts import marks_of, safety_of
from guiding.safety.queries.watch import told_contact
from guiding.safety.sheets.emergency_numbers import emergency_unconfirmed
from guiding.safety.sheets.letterhead import letterhead


@dataclass(frozen=True, slots=True)
class Position:
    """A place in the three notations that rescuers read."""

    decimal: str
    minutes: str
    grid: str


def position_of_spot(latitude: float, longitude: float) -> Position:
    """A place in decimal degrees, degrees and minutes, and MGRS."""
    return Position(
        decimal=position_text(latitude, longitude, CoordinateNotation.DECIMAL),
        minutes=position_text(latitude, longitude, CoordinateNotation.MINUTES),
        grid=position_text(latitude, longitude, CoordinateNotation.MGRS),
    )


def emergency_facts(
    business: Business, plan: DayPlan | None, trip: Trip, keeper: Watch | None = None
) -> records.EmergencyFacts:
    """Who does what and where help is, as far as it is known.

    The contact ashore is named once they were told of the day, or where `keeper` is being told now.
    """
    keeper = keeper or told_contact(trip)
    spot = plan.spot if plan else None
    known = safety_of(plan) if plan else None
    marks = marks_of(trip)
    where = position_of_spot(spot.latitude, spot.longitude) if spot else None
    place = None
    if spot and where:
        place = records.Place(
            name=spot.name,
            lat=spot.latitude,
            lon=spot.longitude,
            grid=f"{where.minutes} · {where.grid}",
        )
    return records.EmergencyFacts(
        number=business.emergency_number,
        number_unconfirmed=bool(emergency_unconfirmed(business)),
        guide_name=business.guide_name,
        guide_phone=phone_text(business.phone),
        position=place,
        access=spot.access if spot else "",
        beacon=marks.beacon,
        first_aid=known.first_aid if known else "",
        hospital=known.hospital if known else "",
        nearest_help=spot.nearest_help if spot else "",
        hospital_phone=phone_text(known.hospital_phone) if known else "",
        landing_site=known.landing_place if known else "",
        signal_point=spot.signal if spot else "",
        contact_name=keeper.contact_name if keeper else "",
        contact_phone=phone_text(keeper.contact_phone) if keeper else "",
        overdue_at=keeper.overdue_at if keeper else plan.overdue_at if plan else None,
    )


def emergency_card(
    *,
    business: Business,
    trip: Trip,
    plan: DayPlan,
    people: int,
    day: datetime.date,
    printed_at: datetime.datetime,
    size: records.CardSize = records.CardSize.A6,
    page_size: str = "",
    medicines: tuple[records.PersonMedicine, ...] | None = None,
    keeper: Watch | None = None,
) -> records.EmergencyCard:
    """The card for the client's pocket and for the shore contact; nobody's health stands on it.

    Only the guide's own copy is given `medicines`, once the look at the notes is written down.
    """
    marks = marks_of(trip)
    where = position_of_spot(plan.spot.latitude, plan.spot.longitude)
    return records.EmergencyCard(
        letterhead=letterhead(
            business,
            number=f"E{trip.pk:05d}-{trip.sequence}",
            printed_at=printed_at,
            page_size=page_size,
            trip=trip,
        ),
        title=f"{trip.offer.name}, {plan.spot.name}",
        day=day,
        emergency=emergency_facts(business, plan, trip, keeper),
        people=people,
        minutes=where.minutes,
        mgrs=where.grid,
        medicines=medicines,
        vehicle=": ".join(part for part in (_vehicle(plan), marks.vehicle) if part),
        keys=marks.keys,
        size=size,
    )


def _vehicle(plan: DayPlan) -> str:
    return plan.vehicle.label if plan.vehicle else ""


def medicines_of(notes: Iterable[NoteState]) -> tuple[records.PersonMedicine, ...]:
    """Who declared something that a rescuer asks for, from notes that were opened.

    A note that no key opens is named with the reason, so that nobody takes it for 'nothing'.
    """
    told = (_medicine(state) for state in notes)
    return tuple(one for one in told if one is not None)


def _medicine(state: NoteState) -> records.PersonMedicine | None:
    name = str(state.person)
    if state.problem:
        return records.PersonMedicine(name, more=state.problem)
    facts, words = state.facts, state.words
    more = " · ".join(part for part in (words.get("more", ""), state.told) if part)
    asked = ("allergy", "injector", "medicine")
    if not more and not any(facts.get(name) for name in asked):
        return None
    yes = "declared, no words"
    return records.PersonMedicine(
        name=name,
        allergy=words.get("allergy_note", yes) if facts.get("allergy") else "",
        injector=bool(facts.get("injector")),
        medicine=words.get("medicine_note", yes) if facts.get("medicine") else "",
        more=more,
        call=f"{words.get('kin_name', '')} {words.get('kin_phone', '')}".strip(),
    )
