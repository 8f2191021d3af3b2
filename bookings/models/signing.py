"""Before the signature: the house's rules, who answers for a minor, and the private links."""

from __future__ import annotations

from django.conf import settings
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import F, Q

from bookings.models.party import Participant
from bookings.models.trip import Trip
from guiding.core.row import Row


class SigningRules(Row):
    """What the guide asks for; one row, each figure a default of the house."""

    class LeapBirthday(models.TextChoices):
        MARCH_1 = "march_1", "1 March"
        FEBRUARY_28 = "february_28", "28 February"

    id = models.PositiveSmallIntegerField(primary_key=True, default=1, editable=False)
    adult_age = models.PositiveSmallIntegerField(
        "of age from",
        default=18,
        validators=[MinValueValidator(14), MaxValueValidator(25)],
        help_text="Years. Check with your own authority.",
    )
    leap_birthday = models.CharField(
        "born on 29 February, older in other years on",
        max_length=12,
        choices=LeapBirthday,
        default=LeapBirthday.MARCH_1,
    )
    hand_range_age = models.PositiveSmallIntegerField(
        "within hand's reach at the water below",
        default=12,
        validators=[MaxValueValidator(18)],
        help_text="Years.",
    )
    every_guardian = models.BooleanField(
        "every named guardian must sign, not just one", default=False
    )
    link_days = models.PositiveSmallIntegerField(
        "a private link lasts",
        default=30,
        validators=[MinValueValidator(1), MaxValueValidator(365)],
        help_text="Days, and never longer than the day after the trip.",
    )
    phone_minutes = models.PositiveSmallIntegerField(
        "on your own phone it lasts",
        default=15,
        validators=[MinValueValidator(2), MaxValueValidator(240)],
        help_text="Minutes.",
    )

    class Meta:
        verbose_name_plural = "signing rules"
        constraints = [
            models.CheckConstraint(condition=Q(pk=1), name="signing_rules_are_one_row"),
            models.CheckConstraint(
                condition=Q(leap_birthday__in=["march_1", "february_28"]),
                name="signing_rules_leap_day_known",
            ),
        ]

    def __str__(self) -> str:
        return "Rules of signing"


class Guardian(Row):
    """Who answers for a minor: of the party (then `person` says who) or from outside."""

    ward = models.ForeignKey(Participant, on_delete=models.CASCADE, related_name="guardians")
    person = models.ForeignKey(
        Participant,
        on_delete=models.CASCADE,
        null=True,
        blank=True,
        related_name="guardian_of",
    )
    name = models.CharField("full name", max_length=200)
    relation = models.CharField("relation to the minor", max_length=60, blank=True)
    email = models.EmailField("mail", blank=True)
    phone = models.CharField("telephone", max_length=32, blank=True)
    responsible = models.CharField(
        "who stays responsible, minute by minute", max_length=200, blank=True
    )
    responsible_person = models.ForeignKey(
        Participant, on_delete=models.SET_NULL, null=True, blank=True, related_name="+"
    )

    class Meta:
        ordering = ["ward", "pk"]
        constraints = [
            models.CheckConstraint(condition=~Q(name=""), name="guardian_has_a_name"),
            models.CheckConstraint(
                condition=Q(person=None) | ~Q(person=F("ward")), name="guardian_is_somebody_else"
            ),
            models.UniqueConstraint(fields=["ward", "person"], name="guardian_once_per_ward"),
        ]

    def __str__(self) -> str:
        return self.name


class TripGuide(Row):
    """A login that guides a trip beside the owner: collects signatures, reads the health notes."""

    trip = models.ForeignKey(Trip, on_delete=models.CASCADE, related_name="guides")
    user = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="guided_trips"
    )

    class Meta:
        ordering = ["trip", "pk"]
        constraints = [
            models.UniqueConstraint(fields=["trip", "user"], name="trip_guide_once"),
        ]

    def __str__(self) -> str:
        return f"{self.user} on {self.trip}"


class SigningLink(Row):
    """A private link for one signer and one trip; only a hash of its secret is kept."""

    class Way(models.TextChoices):
        LINK = "link", "own link"
        PHONE = "phone", "the guide's phone"

    token_hash = models.CharField(max_length=64, unique=True, editable=False)
    person = models.ForeignKey(
        Participant,
        on_delete=models.CASCADE,
        null=True,
        blank=True,
        related_name="signing_links",
    )
    guardian = models.ForeignKey(
        Guardian, on_delete=models.CASCADE, null=True, blank=True, related_name="signing_links"
    )
    trip = models.ForeignKey(Trip, on_delete=models.CASCADE, related_name="signing_links")
    way = models.CharField(max_length=8, choices=Way, default=Way.LINK)
    sent_to = models.CharField(max_length=254, blank=True)
    made_at = models.DateTimeField()
    expires_at = models.DateTimeField()
    revoked_at = models.DateTimeField(null=True, blank=True)
    signed_at = models.DateTimeField("last signed with", null=True, blank=True)

    class Meta:
        ordering = ["-made_at", "-pk"]
        default_permissions = ()
        constraints = [
            models.CheckConstraint(
                condition=Q(person__isnull=False, guardian=None)
                | Q(person=None, guardian__isnull=False),
                name="signing_link_has_one_signer",
            ),
            models.CheckConstraint(
                condition=Q(expires_at__gt=F("made_at")), name="signing_link_lasts"
            ),
            models.CheckConstraint(
                condition=Q(way__in=["link", "phone"]), name="signing_link_way_known"
            ),
        ]

    def __str__(self) -> str:
        return f"Link of {self.person or self.guardian} for {self.trip}"
