"""What our messages say, and when they go out by themselves."""

from __future__ import annotations

import datetime

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import Q
from simple_history.models import HistoricalRecords

from bookings.models.outbox import MessageKind
from guiding.core.row import Row


class MessageText(Row):
    """Our own wording of one kind in one language; without a row the house's wording stands."""

    kind = models.CharField(max_length=12, choices=MessageKind)
    language = models.CharField(max_length=8)
    subject = models.CharField(max_length=200)
    body = models.TextField("text", max_length=5000)
    changed_at = models.DateTimeField()
    history = HistoricalRecords()

    class Meta:
        ordering = ["kind", "language"]
        constraints = [
            models.UniqueConstraint(fields=["kind", "language"], name="message_text_once"),
            models.CheckConstraint(
                condition=Q(kind__in=MessageKind.values), name="message_text_kind_known"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.get_kind_display()} ({self.language})"


class MessageRule(Row):
    """Whether a kind goes out by itself, and how long before or after its event."""

    kind = models.CharField(max_length=12, choices=MessageKind, unique=True)
    automatic = models.BooleanField("goes out by itself", default=True)
    hours = models.PositiveSmallIntegerField(
        "hours before or after",
        default=0,
        validators=[MaxValueValidator(24 * 60)],
    )
    again_hours = models.PositiveSmallIntegerField(
        "hours until it is said again", default=0, validators=[MaxValueValidator(24 * 60)]
    )
    most = models.PositiveSmallIntegerField(
        "times at most", default=1, validators=[MinValueValidator(1), MaxValueValidator(10)]
    )

    class Meta:
        ordering = ["kind"]
        constraints = [
            models.CheckConstraint(
                condition=Q(most=1) | Q(most__gt=1, again_hours__gte=24),
                name="message_rule_repeats_apart",
            ),
            models.CheckConstraint(
                condition=Q(kind__in=MessageKind.values), name="message_rule_kind_known"
            ),
        ]

    def __str__(self) -> str:
        return f"Rule for {self.get_kind_display()}"


class QuietHours(Row):
    """When nobody is disturbed, in the business's own zone; one row."""

    id = models.PositiveSmallIntegerField(primary_key=True, default=1, editable=False)
    quiet_from = models.TimeField(default=datetime.time(21))
    quiet_until = models.TimeField(default=datetime.time(8))
    most_attempts = models.PositiveSmallIntegerField(
        default=12,
        validators=[MinValueValidator(1), MaxValueValidator(100)],
        help_text="Then a message is put before you as not delivered.",
    )

    class Meta:
        verbose_name_plural = "quiet hours"
        constraints = [
            models.CheckConstraint(condition=Q(pk=1), name="quiet_hours_are_one_row"),
            models.CheckConstraint(condition=Q(most_attempts__gte=1), name="quiet_hours_try_once"),
        ]

    def __str__(self) -> str:
        return f"Quiet from {self.quiet_from:%H:%M} until {self.quiet_until:%H:%M}"
