"""Go, hold or call off: the limits the house sets itself, and every decision as it was taken."""

from __future__ import annotations

from django.conf import settings
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import Q
from simple_history.models import HistoricalRecords

from guiding.core.row import Row
from guiding.days.models.plan import DayPlan


class HouseLimits(Row):
    """The limits that hold on every day, whatever the spot and the craft: one row."""

    id = models.PositiveSmallIntegerField(primary_key=True, default=1, editable=False)
    wind_caution_share = models.FloatField(
        "caution from this share of the spot's wind limit",
        default=0.8,
        validators=[MinValueValidator(0.1), MaxValueValidator(1)],
    )
    rain_caution_mm = models.FloatField(
        "caution at rain in an hour of", default=2, validators=[MinValueValidator(0)]
    )
    feels_cold_c = models.FloatField(
        "caution where it feels as cold as",
        default=5,
        validators=[MinValueValidator(-40), MaxValueValidator(30)],
    )
    feels_hot_c = models.FloatField(
        "caution where it feels as hot as",
        default=30,
        validators=[MinValueValidator(10), MaxValueValidator(60)],
    )
    duty_h = models.FloatField(
        "longest day, pick-up to drop-off",
        default=14,
        validators=[MinValueValidator(1), MaxValueValidator(24)],
    )
    driving_h = models.FloatField(
        "longest time at the wheel",
        default=5,
        validators=[MinValueValidator(0.5), MaxValueValidator(24)],
    )
    rest_h = models.FloatField(
        "least rest between two days",
        default=10,
        validators=[MinValueValidator(0), MaxValueValidator(48)],
    )
    forecast_age_h = models.FloatField(
        "a forecast counts as fresh for",
        default=12,
        validators=[MinValueValidator(1), MaxValueValidator(240)],
    )
    cautions_to_hold = models.PositiveSmallIntegerField(
        "so many cautions together mean hold",
        default=3,
        validators=[MinValueValidator(1), MaxValueValidator(50)],
    )
    margin_m = models.FloatField(
        "height kept under the sill",
        default=0.3,
        validators=[MinValueValidator(0), MaxValueValidator(5)],
    )
    slack_min = models.PositiveSmallIntegerField(
        "minutes kept for what goes wrong", default=30, validators=[MaxValueValidator(600)]
    )
    walked_days = models.PositiveSmallIntegerField(
        "days after which a spot must be walked again",
        default=365,
        validators=[MinValueValidator(1)],
    )
    history = HistoricalRecords()

    class Meta:
        verbose_name_plural = "house limits"
        constraints = [
            models.CheckConstraint(condition=Q(pk=1), name="house_limits_are_one_row"),
            models.CheckConstraint(
                condition=Q(
                    wind_caution_share__gt=0,
                    wind_caution_share__lte=1,
                    rain_caution_mm__gte=0,
                    duty_h__gt=0,
                    driving_h__gt=0,
                    rest_h__gte=0,
                    forecast_age_h__gt=0,
                    cautions_to_hold__gte=1,
                    margin_m__gte=0,
                    walked_days__gte=1,
                ),
                name="house_limits_in_range",
            ),
        ]

    def __str__(self) -> str:
        return "limits of the house"


class Decision(Row):
    """One decision on a planned day; only ever added to, the newest one holds.

    `frozen` holds every number it was taken on and every finding they gave, so that it can be
    worked out again later whatever has been changed since.
    """

    class Verdict(models.TextChoices):
        GO = "go", "go"
        HOLD = "hold", "hold"
        CALL_OFF = "call off", "call off"

    plan = models.ForeignKey(DayPlan, on_delete=models.PROTECT, related_name="decisions")
    verdict = models.CharField(max_length=8, choices=Verdict)
    taken_at = models.DateTimeField()
    taken_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.SET_NULL, null=True, blank=True, related_name="+"
    )
    taken_by_name = models.CharField(max_length=150)
    forecast_issued_at = models.DateTimeField(null=True, blank=True)
    stops = models.PositiveSmallIntegerField(default=0)
    cautions = models.PositiveSmallIntegerField(default=0)
    reason = models.CharField(max_length=500, blank=True)
    frozen = models.JSONField()
    digest = models.CharField(max_length=64, editable=False)

    class Meta:
        ordering = ["-taken_at", "-pk"]
        indexes = [models.Index(fields=["plan", "-taken_at", "-id"], name="decision_newest")]
        constraints = [
            models.CheckConstraint(
                condition=Q(verdict__in=["go", "hold", "call off"]), name="decision_verdict_known"
            ),
            models.CheckConstraint(
                condition=~Q(verdict="go", stops__gt=0) | ~Q(reason=""),
                name="decision_over_a_stop_says_why",
            ),
            models.CheckConstraint(
                condition=~Q(verdict="call off") | ~Q(reason=""), name="decision_off_says_why"
            ),
            models.CheckConstraint(
                condition=~Q(taken_by_name=""), name="decision_names_who_took_it"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.verdict} for {self.plan}"
