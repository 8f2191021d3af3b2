"""What the guide chose instead of the house's figures for flying."""

from __future__ import annotations

from django.db import models
from django.db.models import Q
from simple_history.models import HistoricalRecords

from guiding.core.row import Row


class FlyingChoice(Row):
    """The figures that differ from the house's, by name: one row. What is not named stays ours."""

    id = models.PositiveSmallIntegerField(primary_key=True, default=1, editable=False)
    figures = models.JSONField(default=dict, blank=True)
    history = HistoricalRecords()

    class Meta:
        constraints = [
            models.CheckConstraint(condition=Q(pk=1), name="flying_choice_is_one_row"),
        ]

    def __str__(self) -> str:
        return "figures for flying"
