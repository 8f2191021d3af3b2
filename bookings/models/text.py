"""Texts that people sign: a draft that is worked on, and versions that never change."""

from __future__ import annotations

from django.core.validators import RegexValidator
from django.db import models
from django.db.models import Q

from guiding.core.row import Row

_language = RegexValidator(
    r"^[a-z]{2,3}(-[A-Za-z0-9]{2,8})?\Z",
    "Name the language by its short code, such as en or de.",
)


class TextKind(models.TextChoices):
    RISKS = "risks", "risk acknowledgement"
    TERMS = "terms", "day terms"
    GUARDIAN = "guardian", "guardian consent"
    HEALTH = "health", "health form"
    PHOTOS = "photos", "photo consent"


class Again(models.TextChoices):
    """Who must sign once more when a version comes out; asked of trips still to come only."""

    NOBODY = "nobody", "nobody: what was signed stays good"
    MINORS = "minors", "the guardians of minors"
    EVERYBODY = "everybody", "everybody"


class WrittenText(Row):
    kind = models.CharField(max_length=10, choices=TextKind)
    language = models.CharField(max_length=12, validators=[_language])
    title = models.CharField(max_length=120)
    body = models.TextField("text", max_length=20000)

    class Meta:
        abstract = True

    @property
    def full_text(self) -> str:
        """What a fingerprint is taken of: the title, an empty line, the text."""
        return f"{self.title}\n\n{self.body}"


class TextDraft(WrittenText):
    """The text of one kind and language as it is being worked on."""

    changed_at = models.DateTimeField()

    class Meta:
        ordering = ["kind", "language"]
        constraints = [
            models.UniqueConstraint(fields=["kind", "language"], name="text_draft_once"),
            models.CheckConstraint(
                condition=Q(kind__in=TextKind.values), name="text_draft_kind_known"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.get_kind_display()} ({self.language}), draft"


class TextVersion(WrittenText):
    """A text as it was published; nothing of it is ever edited."""

    number = models.PositiveIntegerField()
    sha256 = models.CharField(max_length=64)
    published_at = models.DateTimeField()
    again = models.CharField("who must sign again", max_length=10, choices=Again)
    change_note = models.CharField("what is new", max_length=300, blank=True)
    checked_by = models.CharField("checked by", max_length=200, blank=True)

    class Meta:
        ordering = ["kind", "language", "-number"]
        constraints = [
            models.UniqueConstraint(
                fields=["kind", "language", "number"], name="text_version_once"
            ),
            models.CheckConstraint(condition=Q(number__gte=1), name="text_version_counts_from_one"),
            models.CheckConstraint(
                condition=Q(kind__in=TextKind.values), name="text_version_kind_known"
            ),
            models.CheckConstraint(
                condition=Q(again__in=Again.values), name="text_version_again_known"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.get_kind_display()} ({self.language}), version {self.number}"
