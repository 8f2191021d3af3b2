"""Service: the rules that say when, and the records that say it was done."""

from __future__ import annotations

from decimal import Decimal

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import Q
from django.db.models.functions import Lower
from simple_history.models import HistoricalRecords

from equipment.models.thing import Thing
from guiding.core.row import Row

_MEASURE_WORDS = (
    ("trips", "trip", "trips"),
    ("flights", "flight", "flights"),
    ("cycles", "cycle", "cycles"),
    ("hours", "hour", "hours"),
    ("metres", "metre of line used up", "m of line used up"),
    ("km", "kilometre", "km"),
    ("days", "day", "days"),
)


class ServiceRule(Row):
    """A service to be done by every thing of a kind, or by one thing alone.

    Of the limits that are set, the one reached first decides. A rule of one thing stands in the
    place of a rule of the same name that its kind has.
    """

    class Mark(models.TextChoices):
        PUBLISHED = "published", "published"
        COMMON = "common", "common practice, no source"
        HOUSE = "house", "default of the house"

    kind = models.CharField(max_length=10, choices=Thing.Kind)
    thing = models.ForeignKey(
        Thing, on_delete=models.CASCADE, null=True, blank=True, related_name="service_rules"
    )
    name = models.CharField("what is to be done", max_length=80)
    every_days = models.PositiveIntegerField("days", null=True, blank=True)
    every_trips = models.PositiveIntegerField("trips", null=True, blank=True)
    every_flights = models.PositiveIntegerField("flights", null=True, blank=True)
    every_cycles = models.PositiveIntegerField("cycles", null=True, blank=True)
    every_hours = models.FloatField("hours", null=True, blank=True)
    every_metres = models.FloatField("metres of line used up", null=True, blank=True)
    every_km = models.FloatField("kilometres", null=True, blank=True)
    by_printed_date = models.BooleanField("by the date printed on it", default=False)
    lead_days = models.PositiveSmallIntegerField(
        "warn so many days before", default=14, validators=[MaxValueValidator(730)]
    )
    lead_percent = models.PositiveSmallIntegerField(
        "warn at the last so many per cent of a count",
        default=10,
        validators=[MaxValueValidator(99)],
    )
    grounds = models.BooleanField("overdue grounds the thing", default=True)
    mark = models.CharField("how well founded", max_length=10, choices=Mark, default=Mark.HOUSE)
    in_force = models.BooleanField(default=True)
    history = HistoricalRecords()

    class Meta:
        ordering = ["kind", "thing", "name"]
        constraints = [
            models.CheckConstraint(
                condition=Q(kind__in=Thing.Kind.values), name="service_rule_kind_known"
            ),
            models.CheckConstraint(
                condition=Q(mark__in=["published", "common", "house"]),
                name="service_rule_mark_known",
            ),
            models.CheckConstraint(condition=~Q(name=""), name="service_rule_has_a_name"),
            models.CheckConstraint(
                condition=Q(by_printed_date=True)
                | Q(every_days__gt=0)
                | Q(every_trips__gt=0)
                | Q(every_flights__gt=0)
                | Q(every_cycles__gt=0)
                | Q(every_hours__gt=0)
                | Q(every_metres__gt=0)
                | Q(every_km__gt=0),
                name="service_rule_sets_a_limit",
                violation_error_message="Set at least one limit: days, a count or the printed "
                "date.",
            ),
            *(
                models.CheckConstraint(
                    condition=Q(**{f"every_{measure}": None}) | Q(**{f"every_{measure}__gt": 0}),
                    name=f"service_rule_{measure}_above_nothing",
                )
                for measure in ("days", "trips", "flights", "cycles", "hours", "metres", "km")
            ),
            models.CheckConstraint(
                condition=Q(lead_percent__lt=100), name="service_rule_lead_in_range"
            ),
            models.UniqueConstraint(
                "kind",
                Lower("name"),
                condition=Q(thing=None),
                name="service_rule_once_a_kind",
                violation_error_message="This kind has a rule of that name already.",
            ),
            models.UniqueConstraint(
                "thing",
                Lower("name"),
                condition=Q(thing__isnull=False),
                name="service_rule_once_a_thing",
                violation_error_message="This thing has a rule of that name already.",
            ),
        ]

    def __str__(self) -> str:
        return self.name

    @property
    def limit_words(self) -> str:
        """The limits in words: 'every 20 flights or 365 days'."""
        limits = [
            one if value == 1 else f"{value:g} {many}"
            for measure, one, many in _MEASURE_WORDS
            if (value := getattr(self, f"every_{measure}")) is not None
        ]
        words = f"every {' or '.join(limits)}" if limits else ""
        if self.by_printed_date:
            words = f"{words}, and by the printed date" if words else "by the printed date"
        return words


class ServiceRecord(Row):
    """A service that was done, with what it cost; the counts are those of the log up to then."""

    thing = models.ForeignKey(Thing, on_delete=models.PROTECT, related_name="services")
    rule_name = models.CharField("what was done", max_length=80)
    done_at = models.DateTimeField()
    done_by = models.CharField(max_length=100, blank=True)
    parts = models.CharField("parts fitted", max_length=300, blank=True)
    cost = models.DecimalField(
        max_digits=12, decimal_places=3, default=Decimal(0), validators=[MinValueValidator(0)]
    )
    note = models.CharField(max_length=300, blank=True)
    struck_out_reason = models.CharField(max_length=200, blank=True)
    trips = models.PositiveIntegerField(default=0, editable=False)
    flights = models.PositiveIntegerField(default=0, editable=False)
    cycles = models.PositiveIntegerField(default=0, editable=False)
    hours = models.FloatField(default=0, editable=False)
    metres = models.FloatField(default=0, editable=False)
    km = models.FloatField(default=0, editable=False)

    class Meta:
        ordering = ["-done_at", "-pk"]
        indexes = [
            models.Index(fields=["thing", "rule_name", "-done_at"], name="service_newest_of_rule")
        ]
        constraints = [
            models.CheckConstraint(condition=Q(cost__gte=0), name="service_cost_not_negative"),
            models.CheckConstraint(condition=~Q(rule_name=""), name="service_says_what_was_done"),
        ]

    def __str__(self) -> str:
        return f"{self.thing}: {self.rule_name}"
