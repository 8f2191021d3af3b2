"""Two clients who turned out to be one person, with what it takes to part them again."""

from __future__ import annotations

from django.db import models
from django.db.models import F, Q

from bookings.models.client import Client
from guiding.core.row import Row


class ClientMerge(Row):
    """`gone` was found to be `kept`: which parties moved over, and which fields were filled in.

    Two that were looked at and are two people stand here as well, undone at once.
    """

    kept = models.ForeignKey(Client, on_delete=models.CASCADE, related_name="merges")
    gone = models.ForeignKey(Client, on_delete=models.CASCADE, related_name="merged_away")
    parties = models.JSONField(default=list, blank=True)
    filled = models.JSONField(default=dict, blank=True)
    at = models.DateTimeField()
    undone_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["-at", "-pk"]
        constraints = [
            models.CheckConstraint(condition=~Q(kept=F("gone")), name="merge_of_two_clients"),
            models.CheckConstraint(
                condition=Q(undone_at=None) | Q(undone_at__gte=F("at")), name="merge_undone_later"
            ),
            models.UniqueConstraint(
                fields=["gone"], condition=Q(undone_at=None), name="merge_away_once"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.gone} is {self.kept}"
