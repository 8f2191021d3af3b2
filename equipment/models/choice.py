"""What the guide chose for a trip against the advice, and why."""

from __future__ import annotations

import uuid

from django.conf import settings
from django.db import models
from django.db.models import Q

from equipment.models.thing import Thing
from guiding.core.row import Row


class Overrule(Row):
    """The guide takes a thing on a trip, or leaves it, although the advice says otherwise."""

    trip_uid = models.UUIDField(default=uuid.uuid4)
    thing = models.ForeignKey(Thing, on_delete=models.PROTECT, related_name="overrules")
    take = models.BooleanField("take it along")
    reason = models.CharField(max_length=200)
    at = models.DateTimeField()
    by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.SET_NULL, null=True, blank=True, related_name="+"
    )

    class Meta:
        ordering = ["trip_uid", "thing"]
        constraints = [
            models.UniqueConstraint(fields=["trip_uid", "thing"], name="overrule_once_a_trip"),
            models.CheckConstraint(condition=~Q(reason=""), name="overrule_has_a_reason"),
        ]

    def __str__(self) -> str:
        return f"{self.thing}: {'take' if self.take else 'leave'}"
