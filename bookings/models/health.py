"""Health notes: encrypted in the database, and a log of who looked at them.

Nothing of anybody's health is kept anywhere else; no table has a column for it in clear.
"""

from __future__ import annotations

import json
import re
from dataclasses import dataclass
from typing import Any

from cryptography.fernet import InvalidToken
from django.conf import settings
from django.core.exceptions import ValidationError
from django.db import models
from django.db.models import Q

from bookings.models.keys import HealthKeyError, cipher
from bookings.models.party import Participant
from bookings.models.signature import Signature
from bookings.models.trip import Trip
from guiding.core.row import Row


@dataclass(frozen=True, slots=True)
class Unreadable:
    """What stands in place of a value whose key is missing; saved again it stays as it was."""

    token: str
    reason: str


# How a Fernet token begins, its version and the high bytes of its time, and the least it can hold.
_SEALED = re.compile(r"gAAAA[A-Za-z0-9_-]{90,}={0,2}")


class EncryptedJSONField(models.TextField):
    """A JSON object that the database, and every dump of it, holds only encrypted.

    ValidationError for text that is no sealed token: words in clear are not taken for one.
    """

    # For the type checker: any JSON in and out, whatever a text field would say.
    _pyi_private_set_type: Any
    _pyi_private_get_type: Any

    def get_prep_value(self, value: Any) -> str | None:
        if value is None:
            return None
        if isinstance(value, Unreadable):
            return value.token
        if not isinstance(value, dict):
            raise TypeError("A sealed value is an object with names.")
        written = json.dumps(value, ensure_ascii=False, sort_keys=True)
        return cipher().encrypt(written.encode()).decode("ascii")

    def from_db_value(self, token: str | None, _expression: Any, _connection: Any) -> Any:
        return None if token is None else _opened(token)

    def to_python(self, value: Any) -> Any:
        if not isinstance(value, str):
            return value
        if not _SEALED.fullmatch(value):
            raise ValidationError("This is no sealed note: health words are not loaded in clear.")
        return _opened(value)

    def value_to_string(self, obj: models.Model) -> str:
        return self.get_prep_value(self.value_from_object(obj)) or ""


def _opened(token: str) -> Any:
    try:
        return json.loads(cipher().decrypt(token.encode("ascii")))
    except HealthKeyError as problem:
        return Unreadable(token, str(problem))
    except (InvalidToken, ValueError):
        return Unreadable(
            token, "None of the keys opens this note. Put the backup of the keys in place."
        )


class HealthNote(Row):
    """What a person declared about their health for one trip.

    `facts` are yes and no, for the triggers of hazards; `answers` are the words, for the guides.
    """

    participant = models.ForeignKey(
        Participant, on_delete=models.CASCADE, related_name="health_notes"
    )
    trip = models.ForeignKey(Trip, on_delete=models.CASCADE, related_name="health_notes")
    signature = models.OneToOneField(
        Signature, on_delete=models.SET_NULL, null=True, related_name="health_note"
    )
    declared_at = models.DateTimeField()
    facts = EncryptedJSONField()
    answers = EncryptedJSONField()

    class Meta:
        ordering = ["trip", "participant"]
        default_permissions = ()
        constraints = [
            models.UniqueConstraint(
                fields=["participant", "trip"], name="health_note_once_per_person_and_trip"
            ),
        ]

    def __str__(self) -> str:
        return f"Health note of {self.participant}"


class ToldNote(Row):
    """What a guide was told of a person outside the form, on the telephone say.

    Kept as the health notes are, because people do tell of their health: {"told": the words}.
    """

    participant = models.OneToOneField(
        Participant, on_delete=models.CASCADE, related_name="told_note"
    )
    words = EncryptedJSONField()
    told_at = models.DateTimeField()
    written_by = models.CharField(max_length=150)

    class Meta:
        ordering = ["participant"]
        default_permissions = ()

    def __str__(self) -> str:
        return f"What was told of {self.participant}"


class HealthLog(Row):
    """Who looked at a health note, or why it went; never what it said."""

    class Act(models.TextChoices):
        LOOKED = "looked", "looked at"
        EXPORTED = "exported", "given to the person"
        REPLACED = "replaced", "declared anew"
        ERASED = "erased", "erased"

    act = models.CharField(max_length=8, choices=Act)
    participant = models.ForeignKey(
        Participant, on_delete=models.SET_NULL, null=True, related_name="health_log"
    )
    trip = models.ForeignKey(Trip, on_delete=models.SET_NULL, null=True, related_name="health_log")
    record_number = models.PositiveIntegerField(null=True, blank=True)
    user = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.SET_NULL, null=True, related_name="+"
    )
    by = models.CharField(max_length=150)
    at = models.DateTimeField()
    why = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering = ["-at", "-pk"]
        default_permissions = ()
        indexes = [models.Index(fields=["trip", "-at"], name="health_log_by_trip")]
        constraints = [
            models.CheckConstraint(
                condition=Q(act__in=["looked", "exported", "replaced", "erased"]),
                name="health_log_act_known",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.by} {self.get_act_display()} {self.at:%Y-%m-%d}"
