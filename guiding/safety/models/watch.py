"""The watch over a trip: who ashore waits for it to come home, and what they were told."""

from __future__ import annotations

import uuid

from django.conf import settings
from django.db import models
from django.db.models import F, Q

from bookings.models import Trip
from guiding.core.row import Row
from guiding.safety.rules.watch import Step


class Watch(Row):
    """One watch a trip. It is no rescue service: it sends mail while the server runs."""

    trip = models.OneToOneField(Trip, on_delete=models.PROTECT, related_name="watch")
    overdue_at = models.DateTimeField("overdue from")
    contact_name = models.CharField("shore contact", max_length=100)
    contact_phone = models.CharField("telephone", max_length=32, blank=True)
    contact_mail = models.EmailField("mail")
    set_at = models.DateTimeField()
    home_at = models.DateTimeField("home", null=True, blank=True)
    home_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.SET_NULL, null=True, blank=True, related_name="+"
    )
    stood_down_at = models.DateTimeField(null=True, blank=True)
    stood_down_reason = models.CharField(max_length=200, blank=True)

    class Meta:
        verbose_name_plural = "watches"
        ordering = ["overdue_at", "pk"]
        indexes = [
            models.Index(
                fields=["overdue_at"],
                condition=Q(home_at=None, stood_down_at=None),
                name="watch_still_out",
            )
        ]
        constraints = [
            models.CheckConstraint(
                condition=~Q(contact_name="") & ~Q(contact_mail=""), name="watch_has_a_contact"
            ),
            models.CheckConstraint(
                condition=Q(stood_down_at=None) | ~Q(stood_down_reason=""),
                name="watch_stood_down_with_a_reason",
            ),
        ]

    def __str__(self) -> str:
        return f"watch over {self.trip}"

    @property
    def is_over(self) -> bool:
        return self.home_at is not None or self.stood_down_at is not None


class WatchMessage(Row):
    """What somebody was told: one row a trip and step, only ever added to.

    Of a row only its delivery changes: attempts, when it went out, or why it no longer should.
    """

    class Steps(models.TextChoices):
        ASKED = Step.ASKED.value, "contact asked to keep watch"
        CARD = Step.CARD.value, "card to the shore contact"
        MOVED = Step.MOVED.value, "changed: contact told"
        REMINDER = Step.REMINDER.value, "reminder to the guide"
        OVERDUE = Step.OVERDUE.value, "overdue: contact told"
        AGAIN = Step.AGAIN.value, "overdue: contact told again"
        HOME = Step.HOME.value, "home: contact told"
        OFF = Step.OFF.value, "no watch: contact told"

    key = models.UUIDField(default=uuid.uuid4, unique=True, editable=False)
    watch = models.ForeignKey(Watch, on_delete=models.PROTECT, related_name="messages")
    step = models.CharField(max_length=8, choices=Steps)
    due_at = models.DateTimeField()
    made_at = models.DateTimeField()
    to = models.EmailField()
    subject = models.CharField(max_length=200)
    body = models.TextField()
    attempts = models.PositiveIntegerField(default=0)
    last_error = models.CharField(max_length=300, blank=True)
    sent_at = models.DateTimeField(null=True, blank=True)
    late = models.BooleanField(default=False)
    dropped_at = models.DateTimeField(null=True, blank=True)
    dropped_reason = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering = ["due_at", "pk"]
        indexes = [
            models.Index(
                fields=["due_at"],
                condition=Q(sent_at=None, dropped_at=None),
                name="watch_message_waiting",
            )
        ]
        constraints = [
            # A watch may be changed more than once, and the contact hears of each change.
            models.UniqueConstraint(
                fields=["watch", "step"],
                condition=~Q(step=Step.MOVED.value),
                name="watch_message_once_a_step",
            ),
            models.CheckConstraint(
                condition=Q(step__in=[step.value for step in Step]), name="watch_step_known"
            ),
            models.CheckConstraint(
                condition=Q(sent_at=None) | Q(sent_at__gte=F("due_at")),
                name="watch_message_not_before_it_is_due",
            ),
            models.CheckConstraint(
                condition=Q(sent_at=None) | Q(dropped_at=None), name="watch_message_sent_or_dropped"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.get_step_display()}, {self.watch}"
