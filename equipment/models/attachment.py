"""Photographs and papers that belong to a thing."""

from __future__ import annotations

import secrets

from django.conf import settings
from django.db import models
from django.db.models import Q

from equipment.models.thing import Thing
from guiding.core.row import Row


def random_place(attachment: Attachment, filename: str) -> str:
    """A name that nobody can guess and that says nothing; the name given is kept in a column."""
    return f"gear/{secrets.token_hex(16)}{attachment.suffix}"


class Attachment(Row):
    class Kind(models.TextChoices):
        PHOTO = "photo", "photograph"
        PAPER = "paper", "paper"

    SUFFIXES = {"image/jpeg": ".jpg", "image/png": ".png", "application/pdf": ".pdf"}

    thing = models.ForeignKey(Thing, on_delete=models.PROTECT, related_name="attachments")
    kind = models.CharField(max_length=6, choices=Kind)
    title = models.CharField(max_length=120)
    file = models.FileField(upload_to=random_place, max_length=80)
    content_type = models.CharField(max_length=40, editable=False)
    size = models.PositiveIntegerField(editable=False)
    width = models.PositiveIntegerField(null=True, blank=True, editable=False)
    height = models.PositiveIntegerField(null=True, blank=True, editable=False)
    added_at = models.DateTimeField()
    added_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.SET_NULL, null=True, blank=True, related_name="+"
    )
    taken_off_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["kind", "-added_at", "-pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(kind__in=["photo", "paper"]), name="attachment_kind_known"
            ),
            models.CheckConstraint(
                condition=Q(content_type__in=["image/jpeg", "image/png", "application/pdf"]),
                name="attachment_type_known",
            ),
        ]

    def __str__(self) -> str:
        return self.title

    @property
    def suffix(self) -> str:
        return self.SUFFIXES[self.content_type]
