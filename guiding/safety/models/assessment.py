"""The assessment of a trip: what is known of spot and day, what was chosen and signed."""

from __future__ import annotations

from django.conf import settings
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import Q
from simple_history.models import HistoricalRecords

from bookings.models import Participant, Trip
from guiding.core.row import Row
from guiding.days.models import Spot
from guiding.safety.models.hazard import Hazard


class SpotSafety(Row):
    """What a spot is like for safety: its features, and where help comes from."""

    spot = models.OneToOneField(Spot, on_delete=models.CASCADE, related_name="safety")
    features = models.JSONField(default=list, blank=True)
    ledge_m = models.FloatField(
        "height of the ledge, m above the datum of the tide",
        null=True,
        blank=True,
        validators=[MinValueValidator(-5), MaxValueValidator(60)],
    )
    landing_place = models.CharField("where a helicopter may land", max_length=200, blank=True)
    hospital = models.CharField(
        "hospital that takes emergencies",
        max_length=200,
        blank=True,
        help_text="Its name and how far it is. It stands on the emergency card.",
    )
    hospital_phone = models.CharField(max_length=32, blank=True)
    first_aid = models.CharField("nearest first aid and defibrillator", max_length=200, blank=True)
    history = HistoricalRecords()

    class Meta:
        verbose_name_plural = "spot safety"
        constraints = [
            models.CheckConstraint(
                condition=Q(ledge_m=None) | Q(ledge_m__gte=-5, ledge_m__lte=60),
                name="spot_safety_ledge_in_range",
            )
        ]

    def __str__(self) -> str:
        return f"safety of {self.spot}"


class DayMarks(Row):
    """What the guide knows of one trip and no other table holds."""

    trip = models.OneToOneField(Trip, on_delete=models.CASCADE, related_name="day_marks")
    features = models.JSONField(default=list, blank=True)
    uv_index = models.FloatField(
        "UV index", null=True, blank=True, validators=[MinValueValidator(0), MaxValueValidator(20)]
    )
    beacon = models.CharField("where the beacon is", max_length=120, blank=True)
    vehicle = models.CharField("vehicle and where it stands", max_length=120, blank=True)
    keys = models.CharField("where the keys are", max_length=120, blank=True)
    history = HistoricalRecords()

    class Meta:
        verbose_name_plural = "day marks"
        constraints = [
            models.CheckConstraint(
                condition=Q(uv_index=None) | Q(uv_index__gte=0, uv_index__lte=20),
                name="day_marks_uv_in_range",
            )
        ]

    def __str__(self) -> str:
        return f"marks of {self.trip}"


class HazardChoice(Row):
    """The guide puts a hazard on the list of a trip, or takes one off it, with a reason."""

    trip = models.ForeignKey(Trip, on_delete=models.CASCADE, related_name="hazard_choices")
    hazard = models.ForeignKey(Hazard, on_delete=models.PROTECT, related_name="choices")
    take = models.BooleanField("on the list")
    reason = models.CharField(max_length=200)
    at = models.DateTimeField()
    by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.SET_NULL, null=True, blank=True, related_name="+"
    )

    class Meta:
        ordering = ["trip", "at", "pk"]
        constraints = [
            models.UniqueConstraint(fields=["trip", "hazard"], name="hazard_choice_once_a_trip"),
            models.CheckConstraint(condition=~Q(reason=""), name="hazard_choice_has_a_reason"),
        ]

    def __str__(self) -> str:
        return f"{self.hazard}: {'on' if self.take else 'off'}"


class SignedAssessment(Row):
    """An assessment as it was signed: facts and lines stand as they were. Only ever added to."""

    trip = models.ForeignKey(Trip, on_delete=models.PROTECT, related_name="assessments")
    signed_at = models.DateTimeField()
    signed_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.SET_NULL, null=True, blank=True, related_name="+"
    )
    signed_name = models.CharField(max_length=150)
    facts = models.JSONField()
    lines = models.JSONField()
    note = models.CharField(max_length=300, blank=True)

    class Meta:
        ordering = ["trip", "-signed_at", "-pk"]
        constraints = [
            models.CheckConstraint(condition=~Q(signed_name=""), name="assessment_signed_by_name")
        ]

    def __str__(self) -> str:
        return f"{self.trip}, signed {self.signed_at:%Y-%m-%d %H:%M} UTC"


class Heard(Row):
    """A person heard the briefing of a trip and repeated its rules; ticked once."""

    trip = models.ForeignKey(Trip, on_delete=models.CASCADE, related_name="heard")
    person = models.ForeignKey(Participant, on_delete=models.CASCADE, related_name="heard")
    at = models.DateTimeField()
    on_paper = models.BooleanField(default=False)
    by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.SET_NULL, null=True, blank=True, related_name="+"
    )

    class Meta:
        verbose_name_plural = "heard"
        ordering = ["trip", "at", "pk"]
        constraints = [
            models.UniqueConstraint(fields=["trip", "person"], name="heard_once_a_person_and_trip")
        ]

    def __str__(self) -> str:
        return f"{self.person} heard"
