"""The key to a party's own page: only its hash is kept."""

from __future__ import annotations

from django.db import models
from django.db.models import F, Q

from bookings.models.party import Party
from guiding.core.row import Row


class PartyLink(Row):
    """A link that opens one party's page until it ends or is revoked. The secret is not kept."""

    party = models.ForeignKey(Party, on_delete=models.CASCADE, related_name="links")
    token_hash = models.CharField(max_length=64, unique=True)
    made_at = models.DateTimeField()
    expires_at = models.DateTimeField()
    revoked_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["-made_at", "-pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(token_hash__regex=r"^[0-9a-f]{64}$"),  # noqa: S106  a pattern
                name="party_link_keeps_a_hash",
            ),
            models.CheckConstraint(
                condition=Q(expires_at__gt=F("made_at")), name="party_link_ends_after_it_begins"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.party}, until {self.expires_at:%Y-%m-%d}"
