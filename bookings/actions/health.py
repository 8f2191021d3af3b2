"""Writes about health notes: declared, looked at, erased, and their keys changed."""

from __future__ import annotations

import datetime
import secrets
from collections.abc import Iterable, Sequence
from dataclasses import asdict, dataclass

from django.contrib.auth.models import AbstractBaseUser, User
from django.core.exceptions import ValidationError
from django.db import models, transaction
from django.utils import timezone

from bookings.models import (
    HealthKeyError,
    HealthLog,
    HealthNote,
    Participant,
    Signature,
    ToldNote,
    Trip,
    TripGuide,
)
from bookings.models.keys import cipher, has_keys, make_first_key


@dataclass(frozen=True, slots=True)
class HealthAnswers:
    """What somebody says about their health; the words only where there is something to say."""

    allergy: bool
    medicine: bool
    swims: bool
    injector: bool = False
    allergy_note: str = ""
    medicine_note: str = ""
    more: str = ""
    kin_name: str = ""
    kin_phone: str = ""

    @property
    def facts(self) -> dict[str, bool]:
        """Yes and no, for the triggers of hazards."""
        return {
            "allergy": self.allergy,
            "injector": self.injector,
            "medicine": self.medicine,
            "non_swimmer": not self.swims,
        }

    @property
    def words(self) -> dict[str, str]:
        told = asdict(self)
        return {name: value for name, value in told.items() if isinstance(value, str)}


_LONGEST = 1000


def health_gaps(answers: HealthAnswers) -> dict[str, str]:
    """What cannot be meant, by its field: a yes without a word, a novel."""
    wrong = {}
    if answers.allergy and not answers.allergy_note.strip():
        wrong["allergy_note"] = "Say what it is, or that you will tell the guide in person."
    if answers.medicine and not answers.medicine_note.strip():
        wrong["medicine_note"] = "Say what it is, or that you will tell the guide in person."
    for name, value in answers.words.items():
        if len(value) > _LONGEST:
            wrong[name] = f"This is longer than {_LONGEST} characters. Say the rest in person."
    return wrong


@transaction.atomic
def declare_health(
    *, participant: Participant, trip: Trip, answers: HealthAnswers, at: datetime.datetime
) -> HealthNote:
    """The note of a person for a trip; an older one is replaced and the log says so."""
    if wrong := health_gaps(answers):
        raise ValidationError(wrong)
    _have_a_key()
    erase_notes(
        HealthNote.objects.filter(participant=participant, trip=trip),
        act=HealthLog.Act.REPLACED,
        by="the person",
        at=at,
    )
    swims = Participant.Swims.YES if answers.swims else Participant.Swims.NO
    Participant.objects.filter(pk=participant.pk).update(swims=swims)
    return HealthNote.objects.create(
        participant=participant,
        trip=trip,
        declared_at=at,
        facts=answers.facts,
        answers={**answers.words, "salt": secrets.token_hex(16)},
    )


def _have_a_key() -> None:
    try:
        if not has_keys() and (HealthNote.objects.exists() or ToldNote.objects.exists()):
            cipher()  # tells which key file is missing: no second key may take its place
        make_first_key()
        cipher()
    except HealthKeyError as problem:
        raise ValidationError(f"Health answers cannot be stored now. {problem}") from None


@transaction.atomic
def keep_told(
    *, participant: Participant, words: str, by: str, at: datetime.datetime | None = None
) -> ToldNote:
    """What was told of a person, in place of what was kept before; the log says so."""
    words, at = words.strip(), at or timezone.now()
    if not words or len(words) > _LONGEST:
        raise ValidationError({"told": f"Write 1 to {_LONGEST} characters, or leave it empty."})
    _have_a_key()
    kept = ToldNote.objects.filter(participant=participant)
    erase_told(kept, act=HealthLog.Act.REPLACED, by=by, at=at)
    return ToldNote.objects.create(
        participant=participant, words={"told": words}, told_at=at, written_by=by[:150]
    )


@transaction.atomic
def erase_told(
    told: models.QuerySet[ToldNote],
    *,
    by: str,
    at: datetime.datetime,
    act: str = HealthLog.Act.ERASED,
    why: str = "",
) -> int:
    """Delete what was told, unread, and write down that it went; how much there was."""
    rows = list(told.order_by().values_list("pk", "participant"))
    HealthLog.objects.bulk_create(
        HealthLog(act=act, participant_id=participant, by=by[:150], at=at, why=why[:200])
        for _, participant in rows
    )
    ToldNote.objects.filter(pk__in=[pk for pk, _ in rows]).delete()
    return len(rows)


@transaction.atomic
def erase_notes(
    notes: models.QuerySet[HealthNote],
    *,
    by: str,
    at: datetime.datetime,
    act: str = HealthLog.Act.ERASED,
    why: str = "",
) -> int:
    """Delete notes, unread, and write down that they went; how many there were."""
    rows = list(notes.order_by().values_list("pk", "participant", "trip", "signature"))
    HealthLog.objects.bulk_create(
        HealthLog(
            act=act,
            participant_id=participant,
            trip_id=trip,
            record_number=record,
            by=by[:150],
            at=at,
            why=why[:200],
        )
        for _, participant, trip, record in rows
    )
    HealthNote.objects.filter(pk__in=[pk for pk, *_ in rows]).delete()
    return len(rows)


@transaction.atomic
def look_at_notes(
    *,
    notes: Sequence[HealthNote | ToldNote],
    user: AbstractBaseUser | None,
    trip: Trip | None = None,
    by: str = "",
    act: str = HealthLog.Act.LOOKED,
    why: str = "",
    at: datetime.datetime | None = None,
) -> None:
    """Write down each look before anything is shown; `trip` is where what was told is looked at."""
    name = by or (user.get_username() if user else "the desk")
    HealthLog.objects.bulk_create(
        HealthLog(
            act=act,
            participant_id=note.participant_id,
            trip_id=note.trip_id if isinstance(note, HealthNote) else trip.pk if trip else None,
            record_number=note.signature_id if isinstance(note, HealthNote) else None,
            user_id=user.pk if user else None,
            by=name[:150],
            at=at or timezone.now(),
            why=why[:200],
        )
        for note in notes
    )


@transaction.atomic
def set_guides(*, trip: Trip, users: Iterable[User]) -> None:
    """Who guides a trip beside the owner."""
    wanted = {user.pk for user in users}
    TripGuide.objects.filter(trip=trip).exclude(user__in=wanted).delete()
    for pk in sorted(wanted):
        TripGuide.objects.get_or_create(trip=trip, user_id=pk)


def attach_note(*, note: HealthNote, signature: Signature) -> None:
    """Hang a note on the record that vouches for it."""
    HealthNote.objects.filter(pk=note.pk).update(signature=signature)
