"""Small facts that a signer gives: a birth date, a guardian's name."""

from __future__ import annotations

import datetime

from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import Q
from django.utils import timezone

from bookings.models import Guardian, Participant, Party, Signature, SigningLink
from bookings.models.party import FIRST_BIRTHDAY
from bookings.queries.signers import is_minor_on, signing_rules


@transaction.atomic
def tell_birthday(*, person: Participant, born_on: datetime.date, on: datetime.date) -> Participant:
    """A date of birth that was not known; a known one is the guide's to mend."""
    person = Participant.objects.select_for_update(of=("self",)).get(pk=person.pk)
    if person.born_on is not None:
        raise ValidationError({"born_on": "The date of birth is known. Ask the guide to mend it."})
    if born_on > on:
        raise ValidationError({"born_on": "The date of birth lies in the future."})
    if born_on < FIRST_BIRTHDAY:
        raise ValidationError({"born_on": f"Born in {born_on.year}? Check the year of birth."})
    person.born_on = born_on
    person.save(update_fields=["born_on"])
    return person


@transaction.atomic
def name_guardian(
    *, ward: Participant, name: str, relation: str = "", email: str = "", phone: str = ""
) -> Guardian:
    """A guardian by name, who then gets a link of their own. Who is on the party's list under this
    name is that person, with no other address to give."""
    guardian = Guardian(
        ward=ward,
        name=" ".join(name.split()),
        relation=relation.strip(),
        email=email.strip(),
        phone=phone.strip(),
    )
    inside = _grown_people(ward.party).get(name_key(guardian.name))
    if not guardian.email and not guardian.phone and inside in {None, ward}:
        raise ValidationError(
            {"email": "Give a mail address or a telephone number: the guardian must be reached."}
        )
    guardian.full_clean()
    same = Q(name__iexact=guardian.name) | Q(person__isnull=False, person=inside)
    if Guardian.objects.filter(same, ward=ward).exists():
        raise ValidationError({"name": f"{guardian.name} is named as a guardian already."})
    guardian.save()
    recognise_guardians(party=ward.party)
    guardian.refresh_from_db()
    return guardian


@transaction.atomic
def choose_guardian(*, ward: Participant, person: Participant) -> None:
    """One of the party answers for a minor; a second one beside the first."""
    if person.party_id != ward.party_id:
        raise ValidationError({"guardian": f"{person} is not of this party."})
    if ward.guardian is None:
        ward.guardian = person
        ward.full_clean()
        ward.save(update_fields=["guardian"])
    elif ward.guardian != person and not Guardian.objects.filter(ward=ward, person=person).exists():
        beside = Guardian(ward=ward, person=person, name=str(person))
        beside.full_clean()
        beside.save()


def recognise_guardians(*, party: Party) -> None:
    """Guardians from outside who are on the party's list by now are those people: asked once, and
    there on the day."""
    people = _grown_people(party)
    outside = Guardian.objects.filter(ward__party=party, person=None).select_related("ward")
    for guardian in outside:
        person = people.get(name_key(guardian.name))
        if person is not None and person != guardian.ward:
            _is_of_the_party(guardian, person)


def name_key(name: object) -> str:
    """A name as it is compared: without regard to capitals and spaces."""
    return " ".join(str(name).split()).casefold()


def _grown_people(party: Party) -> dict[str, Participant]:
    """Who of a party may be somebody's guardian, by name: all who are not known to be minors."""
    rules, today = signing_rules(), timezone.localdate()
    return {
        name_key(person): person
        for person in party.participants.all()
        if is_minor_on(person, today, rules) is not True
    }


def _is_of_the_party(guardian: Guardian, person: Participant) -> None:
    ward = guardian.ward
    SigningLink.objects.filter(guardian=guardian).update(guardian=None, person=person)
    known = Guardian.objects.filter(ward=ward, person=person).first()
    if known is None:
        guardian.person = person
        guardian.save(update_fields=["person"])
    else:
        Signature.objects.filter(guardian=guardian).update(guardian=known)
        guardian.delete()
    if ward.guardian is None:
        ward.guardian = person
        ward.save(update_fields=["guardian"])


@transaction.atomic
def remove_guardian(*, guardian: Guardian) -> None:
    """Take a guardian off again; what they signed stays as it was signed."""
    Participant.objects.filter(pk=guardian.ward_id, guardian=guardian.person_id).exclude(
        guardian=None
    ).update(guardian=None)
    guardian.delete()
