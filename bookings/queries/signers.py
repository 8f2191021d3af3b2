"""Who may sign for whom on a day: grown people for themselves, guardians for minors."""

from __future__ import annotations

import datetime
from dataclasses import dataclass
from zoneinfo import ZoneInfo

from bookings.models import Business, Guardian, Participant, SigningRules, Trip
from bookings.rules.ages import LeapBirthday, age_on


@dataclass(frozen=True, slots=True)
class Signer:
    """Somebody who signs: of the party (`person`), a guardian from outside, or a guardian who
    comes along (then both are set)."""

    name: str
    email: str
    phone: str
    person: Participant | None = None
    guardian: Guardian | None = None

    @property
    def key(self) -> tuple[str, int]:
        """What tells signers apart: a link belongs to one of these."""
        if self.person is not None:
            return "person", self.person.pk
        assert self.guardian is not None  # noqa: S101  one of the two is always set
        return "guardian", self.guardian.pk


def signing_rules() -> SigningRules:
    """What Setup says, or the house's defaults."""
    return SigningRules.objects.first() or SigningRules()


def zone_of_business() -> ZoneInfo:
    business = Business.objects.first()
    return business.tz if business else ZoneInfo("UTC")


def trip_day(trip: Trip, zone: ZoneInfo) -> datetime.date:
    """The local day on which a trip begins; ages are counted on it."""
    return trip.starts_at.astimezone(zone).date()


def age_of(person: Participant, day: datetime.date, rules: SigningRules) -> int | None:
    """The age on a day; None without a birth date, or with one that lies after the day."""
    if person.born_on is None or person.born_on > day:
        return None
    return age_on(person.born_on, day, LeapBirthday(rules.leap_birthday))


def is_minor_on(person: Participant, day: datetime.date, rules: SigningRules) -> bool | None:
    """Whether under age on a day; None when the birth date is not known."""
    age = age_of(person, day, rules)
    return None if age is None else age < rules.adult_age


def of_person(person: Participant) -> Signer:
    return Signer(str(person), person.email, person.phone, person=person)


def of_guardian(guardian: Guardian) -> Signer:
    """A guardian as a signer; one who comes along signs as that person."""
    person = guardian.person
    return Signer(
        guardian.name,
        guardian.email or (person.email if person else ""),
        guardian.phone or (person.phone if person else ""),
        person=person,
        guardian=guardian,
    )


def guardians_of(ward: Participant, day: datetime.date, rules: SigningRules) -> list[Signer]:
    """Who answers for a minor and is of age: of the party first, then those from outside."""
    found = [
        of_guardian(guardian)
        for guardian in ward.guardians.all()
        if guardian.person is None or is_minor_on(guardian.person, day, rules) is not True
    ]
    inside = ward.guardian
    if inside is None or is_minor_on(inside, day, rules) is True:
        return found
    if any(signer.person == inside for signer in found):
        return found
    return [of_person(inside), *found]
