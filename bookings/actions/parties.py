"""Writes about people: an enquiry opened, its party named, the case closed."""

from __future__ import annotations

import datetime
from collections.abc import Mapping
from typing import Any

import phonenumbers
from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone

from bookings.actions.health import erase_told, keep_told
from bookings.actions.locks import lock_parties
from bookings.actions.people import name_guardian, name_key, recognise_guardians
from bookings.models import Client, Guardian, Offer, Participant, Party, ToldNote
from bookings.models.party import FIRST_BIRTHDAY, FIRST_DAY
from bookings.queries.parties import known_clients
from bookings.rules.states import EnquiryState, checked_enquiry_move


def international_phone(typed: str, country: str) -> str:
    """The number as E.164, whatever way it was typed; empty stays empty."""
    if not typed.strip():
        return ""
    try:
        number = phonenumbers.parse(typed, country)
    except phonenumbers.NumberParseException:
        number = None
    if number is None or not phonenumbers.is_possible_number(number):
        raise ValidationError(
            {
                "phone": f"{typed!r} is no telephone number of {country}. "
                "Write it with its country code, such as +353 1 555 0100."
            }
        )
    return phonenumbers.format_number(number, phonenumbers.PhoneNumberFormat.E164)


@transaction.atomic
def save_client(*, client: Client | None = None, country: str, **fields: Any) -> Client:
    """A new client, or an old one with new particulars."""
    client = client or Client()
    fields["phone"] = international_phone(fields.get("phone", ""), country)
    for name, value in fields.items():
        setattr(client, name, value)
    client.full_clean()
    client.save()
    return client


@transaction.atomic
def open_party(
    *,
    client: Client,
    heads: int,
    minors: int = 0,
    offer: Offer | None = None,
    day_from: datetime.date | None = None,
    day_until: datetime.date | None = None,
    wishes: str = "",
    source: str = "",
    at: datetime.datetime | None = None,
) -> Party:
    """An enquiry: who asks, how many they are, and what they wish for."""
    at = at or timezone.now()
    last_day = day_until or day_from
    if last_day and FIRST_DAY <= last_day < timezone.localtime(at).date():
        raise ValidationError(
            {"day_until" if day_until else "day_from": "This day has passed. Check the year."}
        )
    party = Party(
        client=client,
        heads=heads,
        minors=minors,
        offer=offer,
        day_from=day_from,
        day_until=day_until,
        wishes=wishes,
        source=source,
        asked_at=at,
    )
    _clean(party)
    party.save()
    return party


@transaction.atomic
def open_enquiry(
    *, country: str, person: dict[str, Any], at: datetime.datetime | None = None, **wish: Any
) -> Party:
    """A first question in one go: the person, known or new, and what they wish for.

    Somebody with the same mail or telephone is the same client; what they told us before is kept.
    """
    phone = international_phone(person.get("phone", ""), country)
    known = known_clients(person.get("email", ""), phone)
    client = known[0] if known else save_client(country=country, **person)
    return open_party(client=client, at=at, **wish)


@transaction.atomic
def change_party(*, party: Party, **fields: Any) -> Party:
    """The party's wishes, set anew; never fewer heads than are named or booked."""
    lock_parties([party.pk])
    for name, value in fields.items():
        setattr(party, name, value)
    _clean(party)
    named = party.participants.count()
    if party.heads < named:
        raise ValidationError(
            {"heads": f"{named} people of this party are named. Take somebody off the list first."}
        )
    party.save()
    return party


def _clean(party: Party) -> None:
    if party.minors > party.heads:
        raise ValidationError(
            {"minors": f"{party.minors} minors do not fit in a party of {party.heads}."}
        )
    for name in ("day_from", "day_until"):
        day = getattr(party, name)
        if day and day < FIRST_DAY:
            raise ValidationError({name: f"The year {day.year} is long past. Check the date."})
    if party.day_until and not party.day_from:
        party.day_from = party.day_until
    if party.day_from and party.day_until and party.day_until < party.day_from:
        raise ValidationError({"day_until": "The last day wished for lies before the first one."})
    if party.offer and party.heads > party.offer.places:
        raise ValidationError(
            {
                "heads": f"{party.offer} takes {party.offer.places} at most, not {party.heads}. "
                "Choose another offer or split the party."
            }
        )
    party.full_clean()


@transaction.atomic
def close_party(*, party: Party, reason: str, at: datetime.datetime | None = None) -> Party:
    """Close the case; it can be opened again."""
    _check_move(party, EnquiryState.CLOSED)
    if not reason.strip():
        raise ValidationError({"reason": "Say in a few words why the case is closed."})
    party.state, party.closed_reason = Party.State.CLOSED, reason.strip()
    party.closed_at = at or timezone.now()
    party.full_clean()
    party.save()
    return party


def _check_move(party: Party, to: EnquiryState) -> None:
    try:
        checked_enquiry_move(EnquiryState(party.state), to)
    except ValueError as refusal:
        raise ValidationError(str(refusal)) from None


@transaction.atomic
def reopen_party(*, party: Party) -> Party:
    """The undo of closing."""
    _check_move(party, EnquiryState.OPEN)
    party.state, party.closed_at, party.closed_reason = Party.State.OPEN, None, ""
    party.full_clean()
    party.save()
    return party


@transaction.atomic
def save_participant(
    *,
    party: Party,
    participant: Participant | None = None,
    country: str,
    on: datetime.date,
    told: str = "",
    told_gone: bool = False,
    is_client: bool | None = None,
    outside: Mapping[str, str] | None = None,
    **fields: Any,
) -> Participant:
    """One person of the party, new or changed; `on` is today, for the date of birth.

    `told` is for the guides alone and kept sealed; empty it leaves what is kept as it is.
    `is_client` None goes by the name; `outside` is a guardian who is not on the party's list.
    """
    # Locked, so that two tabs cannot name one person more than the party has heads.
    (party,) = lock_parties([party.pk])
    participant = participant or Participant(party=party)
    fields["phone"] = international_phone(fields.get("phone", ""), country)
    before = participant.guardian
    for name, value in fields.items():
        setattr(participant, name, value)
    if participant.born_on and participant.born_on > on:
        raise ValidationError({"born_on": "The date of birth lies in the future."})
    if participant.born_on and participant.born_on < FIRST_BIRTHDAY:
        raise ValidationError(
            {"born_on": f"Born in {participant.born_on.year}? Check the year of birth."}
        )
    guardian = participant.guardian
    if guardian and guardian.party_id != party.pk:
        raise ValidationError({"guardian": f"{guardian} is not of this party."})
    if participant.pk is None and party.participants.count() >= party.heads:
        raise ValidationError(
            f"Everybody of this party is named: it has room for {party.heads}. "
            "Raise the number of heads first."
        )
    _say_who_booked(party, participant, is_client)
    participant.full_clean()
    participant.save()
    _settle_guardians(participant, before, outside)
    if told.strip():
        keep_told(participant=participant, words=told, by="the desk")
    elif told_gone:
        kept = ToldNote.objects.filter(participant=participant)
        erase_told(kept, by="the desk", at=timezone.now())
    return participant


def _say_who_booked(party: Party, participant: Participant, told: bool | None) -> None:
    """Mark who of the party is the client: as told, else by the name while nobody is marked."""
    others = party.participants.filter(is_client=True).exclude(pk=participant.pk)
    if told:
        others.update(is_client=False)
    elif told is None and not participant.is_client:
        told = name_key(participant) == name_key(party.client) and not others.exists()
    participant.is_client = participant.is_client if told is None else told


def _settle_guardians(
    participant: Participant, before: Participant | None, outside: Mapping[str, str] | None
) -> None:
    """One row a guardian: who no longer answers and signed nothing goes, who is named comes."""
    if before and before != participant.guardian:
        Guardian.objects.filter(ward=participant, person=before, signatures=None).delete()
    if outside:
        try:
            name_guardian(ward=participant, **outside)
        except ValidationError as refusal:
            told = refusal.message_dict
            raise ValidationError(
                {f"guardian_{name}": sentences for name, sentences in told.items()}
            ) from None
    recognise_guardians(party=participant.party)


@transaction.atomic
def remove_participant(*, participant: Participant) -> None:
    participant.delete()
