"""Who may sign for whom on a day, and where they are reached: grown people for themselves,
guardians for minors."""

from __future__ import annotations

import datetime
from dataclasses import dataclass
from zoneinfo import ZoneInfo

from bookings.models import (
    Booking,
    Business,
    Client,
    Guardian,
    Participant,
    Party,
    SigningRules,
    Trip,
)
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

    @property
    def client(self) -> Client:
        """Who booked for them."""
        person = self.person or (self.guardian.ward if self.guardian else None)
        assert person is not None  # noqa: S101  one of the two is always set
        return person.party.client


@dataclass(frozen=True, slots=True)
class SendTo:
    """Where the link of a signer goes; `booker` is set where it goes to who booked, because the
    signer cannot be reached."""

    name: str
    email: str
    phone: str
    booker: Client | None = None


def send_to(signer: Signer, *, by_mail: bool = False) -> SendTo:
    """The signer's own address, else that of the booker, who hands the link on; `by_mail` where
    nobody is there to write to a telephone."""
    client = signer.client
    own = signer.email or (signer.phone and not by_mail)
    if own or not (client.email or client.phone):
        return SendTo(signer.name, signer.email, signer.phone)
    return SendTo(str(client), client.email, client.phone, booker=client)


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


def reach_of(person: Participant) -> tuple[str, str]:
    """Mail and telephone of a person; the client's where they booked and have none of their own."""
    if not person.is_client:
        return person.email, person.phone
    client = person.party.client
    return person.email or client.email, person.phone or client.phone


def of_person(person: Participant) -> Signer:
    return Signer(str(person), *reach_of(person), person=person)


def of_guardian(guardian: Guardian) -> Signer:
    """A guardian as a signer; one who comes along signs as that person."""
    person = guardian.person
    email, phone = reach_of(person) if person else ("", "")
    return Signer(
        guardian.name,
        guardian.email or email,
        guardian.phone or phone,
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


def adults_of(party: Party, *, ward: Participant | None, on: datetime.date) -> list[Participant]:
    """Who of a party may answer for a minor: grown people first, then those of unknown age."""
    rules = signing_rules()
    others = party.participants.exclude(pk=ward.pk) if ward else party.participants.all()
    ages = [(is_minor_on(person, on, rules), person) for person in others]
    grown = [person for minor, person in ages if minor is False]
    return grown + [person for minor, person in ages if minor is None]


def day_of_party(party: Party, *, at: datetime.datetime) -> datetime.date:
    """The day on which a party's ages count: its next trip, else the day wished for, else today."""
    zone = zone_of_business()
    booked = (
        Booking.objects.filter(party=party, trip__ends_at__gt=at)
        .exclude(status=Booking.Status.CANCELLED)
        .select_related("trip")
        .order_by("trip__starts_at")
        .first()
    )
    if booked:
        return trip_day(booked.trip, zone)
    today = at.astimezone(zone).date()
    return max(party.day_from or today, today)


def stays_with(person: Participant) -> str:
    """Who is with a minor on the day: a guardian of the party, or the adult whom a guardian named;
    empty while nobody is."""
    if person.guardian:
        return str(person.guardian)
    named = list(person.guardians.all())
    along = next((str(each.person) for each in named if each.person), "")
    return along or next((each.responsible for each in named if each.responsible), "")
