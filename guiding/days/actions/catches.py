"""Writes about the catch: logging, correcting and striking out, and the rules of species."""

from __future__ import annotations

import datetime
import re
import uuid
from collections.abc import Sequence
from typing import Any

from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction
from django.db.models import Q
from django.utils import timezone

from bookings.models import Booking, Participant, Trip
from guiding.days.models import Catch, SpeciesRule

CLOCK_SLACK = datetime.timedelta(minutes=10)  # a phone's clock may be ahead of ours
_AROUND = datetime.timedelta(hours=12)  # fish landed before pick-up or after drop-off
_FIELDS = ("species", "count", "length_mm", "mass_g", "kept", "person", "rod", "bait", "note")
# What a second press must repeat; the moment of a press is never the same twice.
_CONTENT = ("trip_id", "species_id", "count", "length_mm", "mass_g", "kept", "person_id")
FORGOTTEN_NAME = "somebody"


@transaction.atomic
def log_catch(
    *,
    trip: Trip,
    species: SpeciesRule | str,
    at: datetime.datetime,
    key: uuid.UUID | None = None,
    by: Any = None,
    now: datetime.datetime | None = None,
    corrects: Catch | None = None,
    **facts: Any,
) -> Catch:
    """Add fish to the log of a trip; with a key that is in the log already, give back that entry.

    species: a row, or the name of one that may be new. facts: count, length_mm, mass_g, kept,
    person, rod, bait, note. Nothing is refused for being kept; the findings say what is wrong.
    """
    if isinstance(species, str):
        species = species_named(name=species)
    row = Catch(
        key=key or uuid.uuid4(), trip=trip, species=species, at=at, entered_by=by,
        corrects=corrects, **facts,
    )  # fmt: skip
    row.keep_words(facts)
    for name in ("rod", "bait", "note"):
        setattr(row, name, " ".join(getattr(row, name).split()))
    if known := _known(row):
        return known
    _check_moment(row, now or timezone.now())
    _check_person(row)
    row.full_clean(exclude=["key", "trip", "entered_by", "corrects"])
    try:
        with transaction.atomic():
            row.save(force_insert=True)
    except IntegrityError:  # the same press, a moment ago, through another door
        if known := _known(row):
            return known
        raise
    return row


def _known(row: Catch) -> Catch | None:
    """The entry of this key where it says the same; refused where it says something else."""
    known = Catch.objects.filter(key=row.key).select_related("species").first()
    if known is None:
        return None
    same = all(getattr(known, name) == getattr(row, name) for name in _CONTENT)
    if not same or known.struck_out_at is not None:
        raise ValidationError("That page was sent before with other fish. Press again to log this.")
    return known


def _check_moment(row: Catch, now: datetime.datetime) -> None:
    if row.at.tzinfo is None:
        raise ValidationError({"at": "The time has no zone: give it in UTC."})
    if row.trip.status == Trip.Status.CANCELLED:
        raise ValidationError("This trip was called off: no fish are logged on it.")
    if row.at > now + CLOCK_SLACK:
        raise ValidationError({"at": "That is still to come; log fish once they are landed."})
    if not row.trip.starts_at - _AROUND <= row.at <= row.trip.ends_at + _AROUND:
        raise ValidationError({"at": "That is not on the day of this trip. Check the date."})


def _check_person(row: Catch) -> None:
    if row.person_id is None:
        return
    live = Booking.objects.filter(trip=row.trip).exclude(status=Booking.Status.CANCELLED)
    if not live.filter(party__participants=row.person_id).exists():
        raise ValidationError({"person": "This person is not on the trip."})


def landed_at(trip: Trip, now: datetime.datetime) -> datetime.datetime:
    """The moment of a fish that is logged now: the day itself where it is logged later."""
    return min(max(now, trip.starts_at - _AROUND), trip.ends_at)


@transaction.atomic
def species_named(*, name: str) -> SpeciesRule:
    """The species of a name in any of our languages; a new one, of no known rule, if there is none.

    A species that was out of use is offered again.
    """
    name = " ".join(name.split())
    known = SpeciesRule.objects.filter(Q(name_en__iexact=name) | Q(name_de__iexact=name)).first()
    if known is None:
        return save_species(name_en=name)
    if not known.in_use:
        known.in_use = True
        known.save(update_fields=["in_use"])
    return known


@transaction.atomic
def strike_catch(
    *, catch: Catch, reason: str = "logged by mistake", at: datetime.datetime | None = None
) -> Catch:
    """A wrong entry counts no more and stays readable; struck out twice, it is struck out once."""
    catch = Catch.objects.select_for_update(of=("self",)).get(pk=catch.pk)
    if catch.struck_out_at is not None:
        return catch
    if not reason.strip():
        raise ValidationError({"reason": "Say why the entry is wrong."})
    catch.struck_out_at, catch.struck_out_reason = at or timezone.now(), reason.strip()[:200]
    catch.save(update_fields=["struck_out_at", "struck_out_reason"])
    return catch


@transaction.atomic
def correct_catch(
    *,
    catch: Catch,
    key: uuid.UUID | None = None,
    by: Any = None,
    now: datetime.datetime | None = None,
    **facts: Any,
) -> Catch:
    """Strike an entry out and add the right one in its place; what is not given stays as it was."""
    catch = Catch.objects.select_for_update(of=("self",)).get(pk=catch.pk)
    told = {name: getattr(catch, name) for name in ("at", *_FIELDS)} | facts
    if catch.struck_out_at is not None:
        again = Catch.objects.filter(key=key, corrects=catch).first() if key else None
        if again is None:
            raise ValidationError("This entry was struck out before. Look at the list again.")
        return again
    strike_catch(catch=catch, reason="corrected", at=now)
    return log_catch(trip=catch.trip, key=key, by=by, now=now, corrects=catch, **told)


@transaction.atomic
def save_species(
    *, rule: SpeciesRule | None = None, on: datetime.date | None = None, **fields: Any
) -> SpeciesRule:
    """A species with what may be kept of it, as the guide looked it up; `on` is today if empty."""
    rule = rule or SpeciesRule()
    for name, value in fields.items():
        setattr(rule, name, value)
    rule.keep_words(fields)
    rule.name_en, rule.name_de = (" ".join(x.split()) for x in (rule.name_en, rule.name_de))
    if rule.checked_on is not None and rule.checked_on > (on or timezone.localdate()):
        raise ValidationError({"checked_on": "That day is still to come."})
    rule.full_clean()
    rule.save()
    return rule


@transaction.atomic
def forget_people(*, people: Sequence[int]) -> list[str]:
    """Take people's names off the fish they caught; the fish stay, as fishery records.

    people: numbers of participants, while their rows still bear the names. What stays is said.
    """
    gone = Participant.objects.filter(pk__in=people)
    trips = Booking.objects.filter(party__participants__in=people).values("trip")
    names = {
        name
        for given, family in gone.values_list("given_name", "family_name")
        for name in (f"{given} {family}".strip(), given, family)
        if len(name) > 1
    }
    for row in Catch.objects.filter(trip__in=trips).exclude(rod="", note=""):
        row.rod, row.note = _without(row.rod, names), _without(row.note, names)
        row.save(update_fields=["rod", "note"])
    count = Catch.objects.filter(person__in=people).update(person=None)
    if not count:
        return []
    return [f"Fish ({count}): records of the fishery; the name is off them."]


def _without(text: str, names: set[str]) -> str:
    for name in sorted(names, key=len, reverse=True):
        text = re.sub(rf"(?<!\w){re.escape(name)}(?!\w)", FORGOTTEN_NAME, text, flags=re.I)
    return text
