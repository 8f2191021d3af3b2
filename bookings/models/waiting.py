"""Who would like to come if a place comes free, and what a client asks for on their own page."""

from __future__ import annotations

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import Q

from bookings.models.offer import MOST_HEADS
from bookings.models.party import Party
from bookings.models.trip import Trip
from guiding.core.row import Row


class Waiting(Row):
    """A party on the waiting list of a full day; first come, first asked."""

    class Outcome(models.TextChoices):
        WAITS = "waits", "waits"
        PLACED = "placed", "has a place"
        LEFT = "left", "no longer waits"

    party = models.ForeignKey(Party, on_delete=models.CASCADE, related_name="waitings")
    trip = models.ForeignKey(Trip, on_delete=models.CASCADE, related_name="waitings")
    heads = models.PositiveSmallIntegerField(
        validators=[MinValueValidator(1), MaxValueValidator(MOST_HEADS)]
    )
    outcome = models.CharField(max_length=6, choices=Outcome, default=Outcome.WAITS)
    asked_at = models.DateTimeField()
    ended_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["asked_at", "pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["party", "trip"],
                condition=Q(outcome="waits"),
                name="waiting_once_per_party_and_trip",
            ),
            models.CheckConstraint(
                condition=Q(outcome="waits", ended_at=None)
                | Q(outcome__in=["placed", "left"], ended_at__isnull=False),
                name="waiting_ended_has_a_time",
            ),
            models.CheckConstraint(
                condition=Q(heads__gte=1, heads__lte=MOST_HEADS), name="waiting_heads_in_range"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.party} waits for {self.trip}"


class Ask(Row):
    """A change that a client asks for on their own page; the guide answers and ticks it off."""

    party = models.ForeignKey(Party, on_delete=models.CASCADE, related_name="asks")
    text = models.TextField("what should change", max_length=1000)
    asked_at = models.DateTimeField()
    answered_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["-asked_at", "-pk"]
        constraints = [models.CheckConstraint(condition=~Q(text=""), name="ask_says_something")]

    def __str__(self) -> str:
        return f"{self.party}: {self.text[:40]}"
