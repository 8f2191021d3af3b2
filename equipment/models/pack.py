"""Flight packs and the checks made on them."""

from __future__ import annotations

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import F, Q

from equipment.models.craft import Craft
from equipment.models.thing import Thing
from guiding.core.row import Row


class FlightPack(Thing):
    class Chemistry(models.TextChoices):
        LIPO = "lipo", "LiPo"
        LIHV = "lihv", "LiHV"
        LIION = "liion", "Li-ion"

    fits = models.ForeignKey(
        Craft,
        on_delete=models.SET_NULL,
        null=True,
        blank=True,
        related_name="packs",
        verbose_name="fits the craft",
    )
    chemistry = models.CharField(max_length=8, choices=Chemistry, default=Chemistry.LIPO)
    cells_series = models.PositiveSmallIntegerField(
        "cells in series", validators=[MinValueValidator(1), MaxValueValidator(14)]
    )
    rated_ah = models.FloatField("rated capacity, Ah", validators=[MinValueValidator(0.1)])
    first_used_on = models.DateField(null=True, blank=True)
    cycles_before = models.PositiveIntegerField("cycles before the log begins", default=0)
    expected_cycles = models.PositiveIntegerField(
        "cycles expected in its life",
        default=180,
        validators=[MinValueValidator(1)],
        help_text="House default; replaced by the forecast once there are enough checks.",
    )
    charged_full_at = models.DateTimeField("last charged full", null=True, blank=True)
    stored_at = models.DateTimeField("last put to storage charge", null=True, blank=True)

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(chemistry__in=["lipo", "lihv", "liion"]), name="pack_chemistry_known"
            ),
            models.CheckConstraint(
                condition=Q(cells_series__gte=1, cells_series__lte=14, rated_ah__gt=0),
                name="pack_figures_in_range",
            ),
            models.CheckConstraint(condition=Q(expected_cycles__gte=1), name="pack_expects_a_life"),
        ]


class PackCheck(Row):
    """What was measured on a pack; never edited, a wrong one is struck out with a reason."""

    pack = models.ForeignKey(FlightPack, on_delete=models.PROTECT, related_name="checks")
    at = models.DateTimeField()
    cycles = models.PositiveIntegerField("cycles at the check")
    cells_v = models.JSONField("volts per cell at rest", default=list, blank=True)
    cell_low_v = models.FloatField(null=True, blank=True, editable=False)
    cell_high_v = models.FloatField(null=True, blank=True, editable=False)
    cells_mohm = models.JSONField(
        "internal resistance per cell, milliohm", default=list, blank=True
    )
    capacity_ah = models.FloatField(
        "measured capacity, Ah", null=True, blank=True, validators=[MinValueValidator(0.01)]
    )
    temperature_c = models.FloatField("temperature, °C", null=True, blank=True)
    swollen = models.BooleanField(default=False)
    by = models.CharField(max_length=100, blank=True)
    struck_out_reason = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering = ["pack", "at", "pk"]
        indexes = [models.Index(fields=["pack", "at"], name="pack_check_by_time")]
        constraints = [
            models.CheckConstraint(
                condition=Q(cell_low_v=None, cell_high_v=None)
                | Q(cell_low_v__gte=0, cell_high_v__lte=4.5, cell_high_v__gte=F("cell_low_v")),
                name="pack_check_cell_volts_in_range",
            ),
            models.CheckConstraint(
                condition=Q(capacity_ah=None) | Q(capacity_ah__gt=0),
                name="pack_check_capacity_positive",
            ),
            models.CheckConstraint(
                condition=Q(temperature_c=None) | Q(temperature_c__gte=-40, temperature_c__lte=120),
                name="pack_check_temperature_in_range",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.pack} at {self.cycles} cycle{'s' * (self.cycles != 1)}"


class PackLimit(Row):
    """A limit by which packs are judged that the guide set apart from the default."""

    name = models.CharField(max_length=40, unique=True)
    value = models.FloatField()

    class Meta:
        ordering = ["name"]
        constraints = [
            models.CheckConstraint(condition=Q(value__gt=0), name="pack_limit_above_nothing")
        ]

    def __str__(self) -> str:
        return f"{self.name} {self.value:g}"
