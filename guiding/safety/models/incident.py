"""Incidents and near misses: quickly entered, filled in later, the conditions frozen."""

from __future__ import annotations

import uuid

from django.conf import settings
from django.db import models
from django.db.models import F, Q
from simple_history.models import HistoricalRecords

from bookings.models import Trip
from guiding.core.row import Row
from guiding.days.models import Spot
from guiding.safety.models.hazard import Hazard


class Incident(Row):
    class Kind(models.TextChoices):
        NEAR_MISS = "near miss", "near miss"
        INCIDENT = "incident", "incident"

    class Harm(models.TextChoices):
        NONE = "none", "nobody hurt"
        FIRST_AID = "first aid", "first aid on the spot"
        DOCTOR = "doctor", "seen by a doctor"
        SERIOUS = "serious", "serious injury or unconscious"
        DEATH = "death", "death"

    key = models.UUIDField(default=uuid.uuid4, unique=True, editable=False)
    kind = models.CharField(max_length=9, choices=Kind)
    happened_at = models.DateTimeField("when")
    entered_at = models.DateTimeField()
    entered_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.SET_NULL, null=True, blank=True, related_name="+"
    )
    trip = models.ForeignKey(
        Trip, on_delete=models.PROTECT, null=True, blank=True, related_name="incidents"
    )
    spot = models.ForeignKey(
        Spot, on_delete=models.PROTECT, null=True, blank=True, related_name="incidents"
    )
    hazard = models.ForeignKey(
        Hazard, on_delete=models.PROTECT, null=True, blank=True, related_name="incidents"
    )
    what = models.TextField("what happened", max_length=2000)
    harm = models.CharField(max_length=9, choices=Harm, default=Harm.NONE)
    flying = models.BooleanField("the craft had part in it", default=False)
    minor_hurt = models.BooleanField("somebody under 18 was hurt", default=False)
    youngest_born_on = models.DateField("born on (the youngest hurt)", null=True, blank=True)
    damage_to_others = models.BooleanField("damage to others' things", default=False)
    people = models.TextField("who was hurt or had part in it", blank=True, max_length=1000)
    first_aid = models.TextField("what was done at once", blank=True, max_length=1000)
    causes = models.TextField("why it happened", blank=True, max_length=2000)
    lessons = models.TextField("what changes because of it", blank=True, max_length=2000)
    conditions = models.JSONField(default=dict, blank=True, editable=False)
    keep_until = models.DateField(editable=False)
    closed_at = models.DateTimeField(null=True, blank=True, editable=False)
    history = HistoricalRecords()

    class Meta:
        ordering = ["-happened_at", "-pk"]
        indexes = [models.Index(fields=["-happened_at", "-id"], name="incident_newest")]
        constraints = [
            models.CheckConstraint(
                condition=Q(kind__in=["near miss", "incident"]), name="incident_kind_known"
            ),
            models.CheckConstraint(
                condition=Q(harm__in=["none", "first aid", "doctor", "serious", "death"]),
                name="incident_harm_known",
            ),
            models.CheckConstraint(condition=~Q(what=""), name="incident_says_what"),
            models.CheckConstraint(
                condition=~Q(kind="near miss") | Q(harm="none"),
                name="incident_near_miss_hurts_nobody",
                violation_error_message="Where somebody was hurt it is an incident.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.get_kind_display()} {self.happened_at:%Y-%m-%d}"


class IncidentEntry(Row):
    """What was written down of an incident, when and by whom. Only ever added to."""

    incident = models.ForeignKey(Incident, on_delete=models.CASCADE, related_name="entries")
    written_at = models.DateTimeField()
    by = models.CharField(max_length=150)
    about = models.CharField(max_length=60)
    words = models.TextField(max_length=4400)

    class Meta:
        verbose_name_plural = "incident entries"
        ordering = ["incident", "pk"]
        default_permissions = ()
        constraints = [
            models.CheckConstraint(condition=~Q(about=""), name="incident_entry_says_about_what"),
        ]

    def __str__(self) -> str:
        return self.about


class Witness(Row):
    incident = models.ForeignKey(Incident, on_delete=models.CASCADE, related_name="witnesses")
    name = models.CharField(max_length=120)
    contact = models.CharField("telephone or mail", max_length=120, blank=True)
    statement = models.TextField("what they saw, in their words", blank=True, max_length=4000)
    taken_at = models.DateTimeField()

    class Meta:
        verbose_name_plural = "witnesses"
        ordering = ["incident", "taken_at", "pk"]
        constraints = [
            models.CheckConstraint(condition=~Q(name=""), name="witness_has_a_name"),
        ]

    def __str__(self) -> str:
        return self.name


class FollowUp(Row):
    """Something to be done because of it by a day: a reminder, never proof that it was reported."""

    incident = models.ForeignKey(Incident, on_delete=models.CASCADE, related_name="follow_ups")
    what = models.CharField(max_length=300)
    due_on = models.DateField()
    authority = models.BooleanField("asked by an authority or insurer", default=False)
    source = models.CharField(max_length=200, blank=True)
    done_on = models.DateField(null=True, blank=True)
    done_note = models.CharField("how it was done", max_length=300, blank=True)

    class Meta:
        ordering = ["due_on", "pk"]
        indexes = [
            models.Index(fields=["due_on"], condition=Q(done_on=None), name="follow_up_open")
        ]
        constraints = [
            models.CheckConstraint(condition=~Q(what=""), name="follow_up_says_what"),
            models.CheckConstraint(
                condition=Q(done_on=None) | ~Q(done_note=""), name="follow_up_done_says_how"
            ),
            models.UniqueConstraint(F("incident"), F("what"), name="follow_up_once_an_incident"),
        ]

    def __str__(self) -> str:
        return self.what
