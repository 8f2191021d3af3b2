"""When a spot is shut, and when the guide is away: days on which nothing is planned."""

from __future__ import annotations

from django.db import models
from django.db.models import F, Q
from simple_history.models import HistoricalRecords

from guiding.core.row import Row
from guiding.days.models.spot import Spot


class Closure(Row):
    """Days on which a spot may not be fished: once, or the same dates every year.

    A season that runs over New Year is one closure every year: 1 October to 31 March.
    """

    spot = models.ForeignKey(Spot, on_delete=models.CASCADE, related_name="closures")
    first_day = models.DateField("shut from")
    last_day = models.DateField("shut to", help_text="The last day on which it is shut.")
    yearly = models.BooleanField("the same dates every year", default=False)
    reason = models.CharField(max_length=160, help_text="Such as: birds nest in the dunes.")
    authority = models.CharField(
        "who says so", max_length=120, blank=True, help_text="Check with your own authority."
    )
    checked_on = models.DateField("last checked", null=True, blank=True)
    history = HistoricalRecords()

    class Meta:
        ordering = ["spot", "first_day", "pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(yearly=True) | Q(last_day__gte=F("first_day")),
                name="closure_ends_after_it_begins",
                violation_error_message="The last day lies before the first.",
            ),
            models.CheckConstraint(condition=~Q(reason=""), name="closure_says_why"),
        ]

    def __str__(self) -> str:
        return f"{self.spot} shut: {self.reason}"


class Away(Row):
    """Days on which the guide takes nobody out."""

    first_day = models.DateField("away from")
    last_day = models.DateField("away to", help_text="The last day away.")
    reason = models.CharField(max_length=120, blank=True)

    class Meta:
        verbose_name_plural = "days away"
        ordering = ["first_day", "pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(last_day__gte=F("first_day")),
                name="away_ends_after_it_begins",
                violation_error_message="The last day lies before the first.",
            )
        ]

    def __str__(self) -> str:
        return f"away {self.first_day} to {self.last_day}"
