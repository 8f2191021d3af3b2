"""The outbox: every mail as it was written, whole, and what became of it.

A row stands in the same transaction as what it tells. The exact bytes are frozen in it, so what
was sent can be read for ever, whatever becomes of the trip, the text or the paper it came from.
"""

from __future__ import annotations

from django.conf import settings
from django.db import models
from django.db.models import F, Q
from django.db.models.functions import Lower

from bookings.models.party import Party
from bookings.models.trip import Trip
from guiding.core.row import Row


class MessageKind(models.TextChoices):
    PRICE_NOTE = "price_note", "price note"
    CONFIRMATION = "confirmation", "confirmation"
    CHANGE = "change", "change of time or place"
    TAKEN_OFF = "taken_off", "taken off the list"
    FORMS = "forms", "forms missing"
    COPY = "copy", "copy of what was signed"
    BALANCE = "balance", "balance due"
    REMINDER = "reminder", "payment overdue"
    GO = "go", "conditions: go"
    HOLD = "hold", "conditions: hold"
    CALL_OFF = "call_off", "conditions: call off"
    TRIP_SHEET = "trip_sheet", "trip sheet"
    OVERDUE = "overdue", "overdue watch"
    THANKS = "thanks", "thanks after the day"
    STATEMENT = "statement", "statement"
    TEST = "test", "test of the mail settings"


class Message(Row):
    """One mail to one person. `mail` holds the bytes that the server is given."""

    class State(models.TextChoices):
        QUEUED = "queued", "queued"
        # Claimed by a worker; the server has certainly not taken it over.
        CLAIMED = "claimed", "being sent"
        # All but the last dot is with the server: from here on it may have been taken over.
        HANDED = "handed", "handed over"
        SENT = "sent", "sent"
        # The worker died while handed over. Only a person can find out.
        UNSURE = "unsure", "perhaps sent"
        DEAD = "dead", "not delivered"
        WITHDRAWN = "withdrawn", "withdrawn"

    WAITING = (State.QUEUED, State.CLAIMED, State.HANDED)

    kind = models.CharField(max_length=12, choices=MessageKind)
    cause = models.CharField(
        max_length=120, help_text="What it tells, by name: nobody is told the same thing twice."
    )
    party = models.ForeignKey(
        Party, on_delete=models.SET_NULL, null=True, blank=True, related_name="messages"
    )
    trip = models.ForeignKey(
        Trip, on_delete=models.SET_NULL, null=True, blank=True, related_name="messages"
    )
    lane = models.CharField(max_length=260, help_text="Within a lane one waits for the other.")
    to_name = models.CharField(max_length=200, blank=True)
    to_mail = models.EmailField()
    subject = models.CharField(max_length=300)
    body = models.TextField()
    enclosed = models.JSONField(default=list, blank=True)
    mail = models.BinaryField()
    message_id = models.CharField(max_length=120, unique=True)
    by_rule = models.BooleanField(default=False)
    made_at = models.DateTimeField()
    made_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.SET_NULL, null=True, blank=True, related_name="+"
    )
    state = models.CharField(max_length=10, choices=State, default=State.QUEUED)
    due_at = models.DateTimeField()
    next_try_at = models.DateTimeField()
    attempts = models.PositiveSmallIntegerField(default=0)
    last_error = models.CharField(max_length=300, blank=True)
    claim = models.CharField(max_length=36, blank=True)
    claimed_until = models.DateTimeField(null=True, blank=True)
    sent_at = models.DateTimeField(null=True, blank=True)
    bounced_at = models.DateTimeField(null=True, blank=True)
    bounce_note = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering = ["-made_at", "-pk"]
        indexes = [
            models.Index(fields=["state", "next_try_at", "due_at"], name="outbox_next"),
            models.Index(fields=["lane", "state", "due_at"], name="outbox_lane"),
            models.Index(fields=["trip", "kind"], name="outbox_by_trip"),
        ]
        constraints = [
            models.UniqueConstraint("cause", Lower("to_mail"), name="message_once_per_cause"),
            models.CheckConstraint(
                condition=Q(kind__in=MessageKind.values), name="message_kind_known"
            ),
            models.CheckConstraint(
                condition=Q(
                    state__in=[
                        "queued",
                        "claimed",
                        "handed",
                        "sent",
                        "unsure",
                        "dead",
                        "withdrawn",
                    ]
                ),
                name="message_state_known",
            ),
            models.CheckConstraint(
                condition=Q(state__in=["claimed", "handed"], claimed_until__isnull=False)
                & ~Q(claim="")
                | ~Q(state__in=["claimed", "handed"]),
                name="message_claim_has_an_end",
            ),
            models.CheckConstraint(
                condition=Q(state="sent", sent_at__isnull=False)
                | ~Q(state="sent") & Q(sent_at=None),
                name="message_sent_has_a_time",
            ),
            models.CheckConstraint(
                condition=Q(bounced_at=None) | Q(state="sent"), name="message_bounces_when_sent"
            ),
            models.CheckConstraint(
                condition=Q(next_try_at__gte=F("due_at")), name="message_tried_when_due"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.get_kind_display()} to {self.to_name or self.to_mail}"


class SchedulerRun(Row):
    """When the scheduler last looked for what is due, and how that went: one row."""

    id = models.PositiveSmallIntegerField(primary_key=True, default=1, editable=False)
    started_at = models.DateTimeField()
    ended_at = models.DateTimeField(null=True, blank=True)
    written = models.PositiveIntegerField(default=0)
    problems = models.JSONField(default=list, blank=True)

    class Meta:
        default_permissions = ()
        constraints = [
            models.CheckConstraint(condition=Q(pk=1), name="scheduler_run_is_one_row"),
        ]

    def __str__(self) -> str:
        return f"Scheduler, last started {self.started_at:%Y-%m-%d %H:%M}"


class WorkerRound(Row):
    """Whose turn the worker's round is, and how the last one went: one row for all processes."""

    id = models.PositiveSmallIntegerField(primary_key=True, default=1, editable=False)
    holder = models.CharField(max_length=32, blank=True)
    held_until = models.DateTimeField(null=True, blank=True)
    ended_at = models.DateTimeField(null=True, blank=True)
    problem = models.CharField(max_length=200, blank=True)

    class Meta:
        default_permissions = ()
        constraints = [
            models.CheckConstraint(condition=Q(pk=1), name="worker_round_is_one_row"),
            models.CheckConstraint(
                condition=Q(holder="", held_until=None)
                | ~Q(holder="") & Q(held_until__isnull=False),
                name="worker_round_is_held_for_a_time",
            ),
        ]

    def __str__(self) -> str:
        return f"Worker, last round {self.ended_at:%Y-%m-%d %H:%M}" if self.ended_at else "Worker"
