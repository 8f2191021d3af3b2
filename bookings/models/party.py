"""A party: people who ask for a day together, from the first question to the settled account."""

from __future__ import annotations

import datetime

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import F, Q

from bookings.models.client import Client
from bookings.models.offer import MOST_HEADS, Offer
from guiding.core.row import Row

FIRST_DAY = datetime.date(2000, 1, 1)  # earlier dates are slips of the finger
FIRST_BIRTHDAY = datetime.date(1900, 1, 1)


class Party(Row):
    class State(models.TextChoices):
        OPEN = "open", "open"
        CLOSED = "closed", "closed"

    client = models.ForeignKey(Client, on_delete=models.PROTECT, related_name="parties")
    state = models.CharField(max_length=8, choices=State, default=State.OPEN)
    heads = models.PositiveSmallIntegerField(
        validators=[MinValueValidator(1), MaxValueValidator(MOST_HEADS)]
    )
    minors = models.PositiveSmallIntegerField(default=0, help_text="Of them, under 18.")
    offer = models.ForeignKey(
        Offer, on_delete=models.PROTECT, null=True, blank=True, related_name="parties"
    )
    day_from = models.DateField(null=True, blank=True)
    day_until = models.DateField(null=True, blank=True)
    wishes = models.TextField(blank=True, max_length=3000)
    source = models.CharField("how they came to us", max_length=80, blank=True)
    asked_at = models.DateTimeField()
    closed_at = models.DateTimeField(null=True, blank=True)
    closed_reason = models.CharField(max_length=200, blank=True)

    class Meta:
        verbose_name_plural = "parties"
        ordering = ["-asked_at", "-pk"]
        indexes = [models.Index(fields=["state", "-asked_at"], name="party_inbox")]
        constraints = [
            models.CheckConstraint(
                condition=Q(state__in=["open", "closed"]), name="party_state_known"
            ),
            models.CheckConstraint(
                condition=Q(heads__gte=1, heads__lte=MOST_HEADS), name="party_heads_in_range"
            ),
            models.CheckConstraint(
                condition=Q(minors__lte=F("heads")), name="party_minors_in_party"
            ),
            models.CheckConstraint(
                condition=Q(day_from=None) | Q(day_from__gte=FIRST_DAY), name="party_day_is_modern"
            ),
            models.CheckConstraint(
                condition=Q(day_until=None)
                | Q(day_from__isnull=False, day_until__gte=F("day_from")),
                name="party_days_in_order",
            ),
            models.CheckConstraint(
                condition=Q(state="open", closed_at=None)
                | Q(state="closed", closed_at__isnull=False),
                name="party_closed_has_a_time",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.client}, {self.heads}"


class Participant(Row):
    """A person on the sand."""

    class Swims(models.TextChoices):
        YES = "yes", "swims"
        NO = "no", "does not swim"
        UNKNOWN = "unknown", "not asked yet"

    party = models.ForeignKey(Party, on_delete=models.CASCADE, related_name="participants")
    given_name = models.CharField(max_length=100)
    family_name = models.CharField(max_length=100, blank=True)
    born_on = models.DateField(null=True, blank=True)
    email = models.EmailField("mail", blank=True)
    phone = models.CharField("telephone", max_length=20, blank=True)
    swims = models.CharField(max_length=8, choices=Swims, default=Swims.UNKNOWN)
    guardian = models.ForeignKey(
        "self",
        on_delete=models.SET_NULL,
        null=True,
        blank=True,
        related_name="wards",
        help_text="For a minor: who of the party answers for them.",
    )
    # Then the client's mail and telephone are theirs, wherever they have none of their own.
    is_client = models.BooleanField("is who booked", default=False)

    class Meta:
        ordering = ["party", "pk"]
        constraints = [
            models.CheckConstraint(
                condition=~Q(given_name=""), name="participant_has_a_given_name"
            ),
            models.CheckConstraint(
                condition=Q(swims__in=["yes", "no", "unknown"]), name="participant_swims_known"
            ),
            models.CheckConstraint(
                condition=Q(born_on=None) | Q(born_on__gte=FIRST_BIRTHDAY),
                name="participant_born_in_reach",
            ),
            models.CheckConstraint(
                condition=Q(guardian=None) | ~Q(guardian=F("pk")),
                name="participant_not_own_guardian",
            ),
            models.UniqueConstraint(
                fields=["party"], condition=Q(is_client=True), name="participant_client_once"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.given_name} {self.family_name}".strip()
