"""What every calendar was told of a trip, what came back, and the private links to a feed."""

from __future__ import annotations

from django.conf import settings
from django.db import models
from django.db.models import Q
from django.db.models.functions import Lower

from bookings.models.trip import Booking, Trip
from guiding.core.row import Row


class TripInvite(Row):
    """The event as it was last told; its SEQUENCE never goes back (RFC 5546, 2.1.4)."""

    trip = models.OneToOneField(Trip, on_delete=models.CASCADE, related_name="invite")
    uid = models.CharField(max_length=120, unique=True)
    sequence = models.PositiveIntegerField(default=0)
    told = models.JSONField(help_text="The event as it was last written.")
    told_at = models.DateTimeField()

    class Meta:
        ordering = ["trip"]
        default_permissions = ()

    def __str__(self) -> str:
        return f"Invite to {self.trip}, version {self.sequence}"


class TripAttendee(Row):
    """One mail address that a trip was told to, and what came back from it."""

    class Answer(models.TextChoices):
        NEEDS_ACTION = "NEEDS-ACTION", "no answer yet"
        ACCEPTED = "ACCEPTED", "is coming"
        DECLINED = "DECLINED", "is not coming"
        TENTATIVE = "TENTATIVE", "is not sure"
        DELEGATED = "DELEGATED", "sends somebody else"

    trip = models.ForeignKey(Trip, on_delete=models.CASCADE, related_name="attendees")
    booking = models.ForeignKey(Booking, on_delete=models.CASCADE, related_name="attendees")
    name = models.CharField(max_length=200, blank=True)
    mail = models.EmailField()
    asked_at = models.DateTimeField()
    removed_at = models.DateTimeField(null=True, blank=True)
    answer = models.CharField(max_length=12, choices=Answer, default=Answer.NEEDS_ACTION)
    answer_sequence = models.PositiveIntegerField(null=True, blank=True)
    answer_stamp = models.DateTimeField(null=True, blank=True)
    answer_comment = models.CharField(max_length=300, blank=True)
    # An answer in this person's name that somebody else sent: not taken over, shown to the guide.
    refused_answer = models.CharField(max_length=12, choices=Answer, blank=True)
    refused_from = models.EmailField(blank=True)
    refused_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["trip", "booking", "pk"]
        constraints = [
            models.UniqueConstraint("trip", Lower("mail"), name="attendee_once_per_trip"),
            models.CheckConstraint(
                condition=Q(
                    answer__in=["NEEDS-ACTION", "ACCEPTED", "DECLINED", "TENTATIVE", "DELEGATED"]
                ),
                name="attendee_answer_known",
            ),
            models.CheckConstraint(
                condition=Q(refused_at=None, refused_answer="") | Q(refused_at__isnull=False),
                name="attendee_refused_has_a_time",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.name or self.mail}: {self.get_answer_display()}"


class FeedLink(Row):
    """A private address of a calendar feed; only the hash of its secret is kept."""

    user = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="feed_links"
    )
    token_hash = models.CharField(max_length=64, unique=True, editable=False)
    made_at = models.DateTimeField()
    revoked_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["user", "-made_at", "-pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["user"], condition=Q(revoked_at=None), name="feed_link_one_live_per_user"
            ),
        ]

    def __str__(self) -> str:
        return f"Feed of {self.user}"
