"""Small facts that a signer gives: a birth date, a guardian's name."""

from __future__ import annotations

import datetime

from django.core.exceptions import ValidationError
from django.db import transaction

from bookings.models import Guardian, Participant
from bookings.models.party import FIRST_BIRTHDAY


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
    """A guardian from outside the party, who then gets a link of their own."""
    if not email.strip() and not phone.strip():
        raise ValidationError(
            {"email": "Give a mail address or a telephone number: the guardian must be reached."}
        )
    guardian = Guardian(
        ward=ward,
        name=" ".join(name.split()),
        relation=relation.strip(),
        email=email.strip(),
        phone=phone.strip(),
    )
    guardian.full_clean()
    if Guardian.objects.filter(ward=ward, name__iexact=guardian.name).exists():
        raise ValidationError({"name": f"{guardian.name} is named as a guardian already."})
    guardian.save()
    return guardian


@transaction.atomic
def remove_guardian(*, guardian: Guardian) -> None:
    """Take a guardian off again; what they signed stays as it was signed."""
    guardian.delete()
