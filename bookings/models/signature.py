"""Signatures, and the chain that shows every later change. Rows are added and never edited.

A chain record holds what must never go away: which text, when, and the seal of the signature, which
is the fingerprint of everything that was recorded. What was recorded stands beside it, so that it
can be erased when its time is up and the chain still holds.
"""

from __future__ import annotations

import secrets
import uuid

from django.conf import settings
from django.db import models
from django.db.models import Q

from bookings.models.party import Participant
from bookings.models.signing import Guardian
from bookings.models.text import TextVersion
from bookings.models.trip import Trip
from guiding.core.row import Row


class ChainHead(Row):
    """The end of the chain; its one row is the lock behind which signatures queue."""

    id = models.PositiveSmallIntegerField(primary_key=True, default=1, editable=False)
    chain = models.UUIDField(default=uuid.uuid4, editable=False)
    number = models.PositiveIntegerField(default=0)
    own_hash = models.CharField(max_length=64, blank=True)

    class Meta:
        default_permissions = ()
        constraints = [
            models.CheckConstraint(condition=Q(pk=1), name="chain_has_one_head"),
        ]

    def __str__(self) -> str:
        return f"Chain of {self.number} records"


class ChainRecord(Row):
    """One link of the chain: its content, its hash, and the hash of the one before it."""

    number = models.PositiveIntegerField(primary_key=True)
    content = models.TextField()
    # Unique: whatever the lock does, no two records can follow the same one.
    previous_hash = models.CharField(max_length=64, unique=True)
    own_hash = models.CharField(max_length=64, unique=True)

    class Meta:
        ordering = ["number"]
        default_permissions = ()
        constraints = [
            models.CheckConstraint(condition=Q(number__gte=1), name="chain_record_counts_from_one"),
        ]

    def __str__(self) -> str:
        return f"Record {self.number}"


class BrowserTrace(Row):
    """Address and browser of a signature: kept a while, then emptied; a fingerprint stays."""

    address = models.CharField(max_length=45, blank=True)
    agent = models.CharField(max_length=200, blank=True)
    salt = models.CharField(max_length=32, blank=True)
    taken_at = models.DateTimeField()
    erased_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        default_permissions = ()

    def __str__(self) -> str:
        return f"Trace {self.pk}"


def _sheet_name(_sheet: models.Model, _name: str) -> str:
    return f"signed/{secrets.token_hex(16)}.jpg"


class PaperSheet(Row):
    """The photograph of a signed sheet, as it was re-encoded."""

    file = models.FileField(upload_to=_sheet_name, max_length=80)
    sha256 = models.CharField(max_length=64)
    stored_at = models.DateTimeField()
    stored_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.SET_NULL, null=True, related_name="+"
    )

    class Meta:
        default_permissions = ()

    def __str__(self) -> str:
        return f"Sheet {self.pk}"


class Signature(Row):
    """One text signed by one person, for themselves or for a minor.

    The columns are for finding; what counts is `sealed`, whose fingerprint is in the chain.
    """

    class Method(models.TextChoices):
        LINK = "link", "own link"
        PHONE = "phone", "the guide's phone"
        PAPER = "paper", "paper"

    class Answer(models.TextChoices):
        YES = "yes", "yes"
        NO = "no", "no"

    record = models.OneToOneField(
        ChainRecord, on_delete=models.PROTECT, primary_key=True, related_name="signature"
    )
    text = models.ForeignKey(TextVersion, on_delete=models.PROTECT, related_name="signatures")
    trip = models.ForeignKey(Trip, on_delete=models.PROTECT, related_name="signatures")
    participant = models.ForeignKey(
        Participant, on_delete=models.SET_NULL, null=True, related_name="signatures"
    )
    guardian = models.ForeignKey(
        Guardian, on_delete=models.SET_NULL, null=True, blank=True, related_name="signatures"
    )
    by_guardian = models.BooleanField(default=False)
    method = models.CharField(max_length=8, choices=Method)
    answer = models.CharField(max_length=4, choices=Answer, blank=True)
    signed_at = models.DateTimeField()
    # A second press of the same button carries the same word and signs nothing anew.
    once = models.CharField(max_length=36)
    sealed = models.TextField(blank=True)
    erased_at = models.DateTimeField(null=True, blank=True)
    trace = models.ForeignKey(
        BrowserTrace, on_delete=models.PROTECT, null=True, blank=True, related_name="signatures"
    )
    sheet = models.ForeignKey(
        PaperSheet, on_delete=models.PROTECT, null=True, blank=True, related_name="signatures"
    )

    class Meta:
        ordering = ["record"]
        default_permissions = ()
        permissions = [
            ("see_signed", "Can open signed records"),
            ("collect_signatures", "Can ask for and collect signatures"),
        ]
        indexes = [models.Index(fields=["participant", "trip"], name="signature_by_person")]
        constraints = [
            models.UniqueConstraint(fields=["once", "text"], name="signature_pressed_once"),
            models.CheckConstraint(
                condition=Q(method__in=["link", "phone", "paper"]), name="signature_method_known"
            ),
            models.CheckConstraint(
                condition=Q(answer__in=["", "yes", "no"]), name="signature_answer_known"
            ),
        ]

    def __str__(self) -> str:
        return f"Record {self.record_id}: {self.text}"


class OwedCopy(Row):
    """A copy that a signer asked for by mail; whoever sends mail works this list off."""

    signature = models.OneToOneField(
        Signature, on_delete=models.CASCADE, primary_key=True, related_name="owed_copy"
    )
    to = models.EmailField()
    language = models.CharField(max_length=12)
    owed_since = models.DateTimeField()
    sent_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        verbose_name_plural = "owed copies"
        ordering = ["owed_since", "signature"]
        default_permissions = ()
        indexes = [models.Index(fields=["sent_at", "owed_since"], name="copy_still_owed")]

    def __str__(self) -> str:
        return f"Copy of record {self.signature_id}"
