"""How long what is kept, what holds it longer, and what was erased when."""

from __future__ import annotations

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import Q

from bookings.models.trip import Trip
from bookings.rules.retention import Kept
from guiding.core.row import Row


class RetentionRule(Row):
    """Days of our own for one kind; without a row the house's default holds."""

    kind = models.CharField(max_length=12, choices=[(kind.value, kind.value) for kind in Kept])
    days = models.PositiveIntegerField(validators=[MinValueValidator(1), MaxValueValidator(36525)])

    class Meta:
        ordering = ["kind"]
        permissions = [("answer_rights", "Can export and erase what is known of a person")]
        constraints = [
            models.UniqueConstraint(fields=["kind"], name="retention_rule_once"),
            models.CheckConstraint(condition=Q(days__gte=1), name="retention_rule_keeps_a_day"),
        ]

    def __str__(self) -> str:
        return f"{self.kind}: {self.days} day{'s' * (self.days != 1)}"


class Hold(Row):
    """A reason, such as an incident, why nothing about a trip may be erased for now."""

    trip = models.ForeignKey(Trip, on_delete=models.PROTECT, related_name="holds")
    reason = models.CharField(max_length=200)
    held_at = models.DateTimeField()
    released_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["trip", "held_at"]
        constraints = [
            models.CheckConstraint(condition=~Q(reason=""), name="hold_has_a_reason"),
        ]

    def __str__(self) -> str:
        return f"{self.trip}: {self.reason}"


class RetentionRun(Row):
    """One time the rules were carried out, with how much of each kind went."""

    ran_at = models.DateTimeField()
    erased = models.JSONField(default=dict)

    class Meta:
        ordering = ["-ran_at"]
        default_permissions = ()

    def __str__(self) -> str:
        return f"Retention of {self.ran_at:%Y-%m-%d}"
