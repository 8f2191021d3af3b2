"""Papers in date: what kinds the law of the place asks for, and the papers that are held."""

from __future__ import annotations

import datetime
import secrets

from django.conf import settings
from django.db import models
from django.db.models import F, Q
from simple_history.models import HistoricalRecords

from equipment.models import Thing
from guiding.core.row import Row
from guiding.days.models import Spot


def unguessable_place(paper: HeldPaper, filename: str) -> str:
    """A name that nobody can guess and that says nothing."""
    return f"papers/{secrets.token_hex(16)}.{filename.rsplit('.', 1)[-1]}"


class PaperKind(Row):
    """A kind of paper, what it is asked for, and whether a day may be confirmed without it."""

    class Scope(models.TextChoices):
        BUSINESS = "business", "the business"
        GUIDE = "guide", "the guide"
        CRAFT = "craft", "each craft that flies"
        VEHICLE = "vehicle", "each vehicle in use"
        SPOT = "spot", "each spot fished"

    class Activity(models.TextChoices):
        EVERY_DAY = "every day", "every day"
        FLYING = "flying", "days with flying"
        SAND = "sand", "days that drive on sand"
        MINORS = "minors", "days with minors"
        DRIVING = "driving", "days that drive clients"

    name = models.CharField(max_length=100, unique=True)
    scope = models.CharField(max_length=8, choices=Scope)
    activity = models.CharField(
        "asked for on", max_length=9, choices=Activity, default=Activity.EVERY_DAY
    )
    hard = models.BooleanField(
        "no day is confirmed without it", default=False, help_text="Otherwise it only warns."
    )
    lead_days = models.PositiveSmallIntegerField(
        "days to renew it", default=60, help_text="From so many days before its end it warns."
    )
    note = models.CharField(max_length=300, blank=True)
    in_force = models.BooleanField(
        "asked for here", default=False, help_text="Tick what the law of your place asks for."
    )
    history = HistoricalRecords()

    class Meta:
        ordering = ["name"]
        constraints = [
            models.CheckConstraint(
                condition=Q(scope__in=["business", "guide", "craft", "vehicle", "spot"]),
                name="paper_kind_scope_known",
            ),
            models.CheckConstraint(
                condition=Q(activity__in=["every day", "flying", "sand", "minors", "driving"]),
                name="paper_kind_activity_known",
            ),
            models.CheckConstraint(condition=~Q(name=""), name="paper_kind_has_a_name"),
        ]

    def __str__(self) -> str:
        return self.name


class HeldPaper(Row):
    """A paper that is held: one row a paper; a renewal is a new row beside the old one."""

    kind = models.ForeignKey(PaperKind, on_delete=models.PROTECT, related_name="papers")
    thing = models.ForeignKey(
        Thing,
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="papers",
        verbose_name="craft or vehicle",
    )
    spots = models.ManyToManyField(Spot, blank=True, related_name="papers")
    number = models.CharField(max_length=80)
    issuer = models.CharField("issued by", max_length=120)
    valid_from = models.DateField()
    valid_until = models.DateField("last day it holds")
    conditions = models.TextField(blank=True, max_length=1000)
    copy_kept = models.CharField("where the paper is kept", max_length=200, blank=True)
    file = models.FileField(upload_to=unguessable_place, max_length=80, blank=True)
    withdrawn_on = models.DateField(
        null=True, blank=True, help_text="From this day on it holds no more."
    )
    withdrawn_reason = models.CharField(max_length=200, blank=True)
    entered_at = models.DateTimeField(auto_now_add=True)
    entered_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.SET_NULL, null=True, blank=True, related_name="+"
    )
    history = HistoricalRecords(m2m_fields=[spots])

    class Meta:
        ordering = ["kind__name", "-valid_until", "pk"]
        constraints = [
            models.CheckConstraint(
                condition=~Q(number="") & ~Q(issuer=""), name="held_paper_names_its_source"
            ),
            models.CheckConstraint(
                condition=Q(valid_until__gte=F("valid_from")),
                name="held_paper_ends_after_it_begins",
                violation_error_message="The last day lies before the first.",
            ),
            models.CheckConstraint(
                condition=Q(withdrawn_on=None) | ~Q(withdrawn_reason=""),
                name="held_paper_withdrawn_with_a_reason",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.kind} {self.number}"

    @property
    def holds_until(self) -> datetime.date:
        """The last day it holds, a withdrawal counted."""
        if self.withdrawn_on is None:
            return self.valid_until
        return min(self.valid_until, self.withdrawn_on - datetime.timedelta(days=1))

    def holds_on(self, day: datetime.date) -> bool:
        return self.valid_from <= day <= self.holds_until
