"""Where a spot's tide comes from: a station's constants, an official table, or differences."""

from __future__ import annotations

from django.conf import settings
from django.db import models
from django.db.models import F, Q

from guiding.core.row import Row


class TideSource(Row):
    class Kind(models.TextChoices):
        CONSTANTS = "constants", "harmonic constants"
        TABLE = "table", "official table of highs and lows"
        SECONDARY = "secondary", "differences from another place"

    kind = models.CharField(max_length=10, choices=Kind)
    name = models.CharField("place", max_length=100, unique=True)
    source = models.CharField(
        "where the figures come from",
        max_length=300,
        help_text="Printed on every sheet, with the date you looked.",
    )
    table_source = models.CharField(
        "where the table comes from",
        max_length=300,
        blank=True,
        help_text="The official table, its year and its publisher.",
    )
    clock = models.CharField(
        "clock of the table",
        max_length=64,
        blank=True,
        help_text="What the times are written in: UTC, a zone such as Europe/Dublin (summer time "
        "as it comes and goes), or +01:00 for standard time all year.",
    )
    station = models.CharField("station number", max_length=40, blank=True)
    datum = models.CharField(max_length=40, default="chart datum")
    mean_level_m = models.FloatField("mean level above the datum, m", default=0)
    mean_range_m = models.FloatField("mean range, m", null=True, blank=True)
    latitude = models.FloatField(null=True, blank=True)
    longitude = models.FloatField(null=True, blank=True)
    reference = models.ForeignKey(
        "self", on_delete=models.PROTECT, null=True, blank=True, related_name="secondaries"
    )
    high_minutes = models.SmallIntegerField("high water later by, minutes", default=0)
    low_minutes = models.SmallIntegerField("low water later by, minutes", default=0)
    by_ratio = models.BooleanField(
        "heights are multiplied (otherwise metres are added)", default=False
    )
    high_height = models.FloatField("high water factor or metres", default=0)
    low_height = models.FloatField("low water factor or metres", default=0)

    class Meta:
        ordering = ["name"]
        constraints = [
            models.CheckConstraint(
                condition=Q(kind__in=["constants", "table", "secondary"]), name="tide_kind_known"
            ),
            models.CheckConstraint(
                condition=Q(kind="secondary", reference__isnull=False)
                | (~Q(kind="secondary") & Q(reference=None)),
                name="tide_secondary_names_its_reference",
            ),
            models.CheckConstraint(
                condition=Q(reference=None) | ~Q(reference=F("pk")),
                name="tide_not_its_own_reference",
            ),
            models.CheckConstraint(
                condition=Q(mean_range_m=None) | Q(mean_range_m__gt=0), name="tide_range_positive"
            ),
        ]

    def __str__(self) -> str:
        return self.name


class TideConstant(Row):
    source = models.ForeignKey(TideSource, on_delete=models.CASCADE, related_name="constants")
    name = models.CharField(max_length=8)
    amplitude_m = models.FloatField()
    phase_deg = models.FloatField("phase at Greenwich, degrees")

    class Meta:
        ordering = ["source", "pk"]
        constraints = [
            models.UniqueConstraint(fields=["source", "name"], name="tide_constant_once"),
            models.CheckConstraint(
                condition=Q(amplitude_m__gte=0, phase_deg__gte=0, phase_deg__lte=360),
                name="tide_constant_in_range",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.name} {self.amplitude_m} m"


class TideTurn(Row):
    """A high or a low of an official table."""

    source = models.ForeignKey(TideSource, on_delete=models.CASCADE, related_name="turns")
    at = models.DateTimeField()
    height_m = models.FloatField()
    high = models.BooleanField()

    class Meta:
        ordering = ["source", "at"]
        constraints = [
            models.UniqueConstraint(fields=["source", "at"], name="tide_turn_once"),
            models.CheckConstraint(
                condition=Q(height_m__gte=-20, height_m__lte=20), name="tide_turn_in_range"
            ),
        ]

    def __str__(self) -> str:
        return f"{'high' if self.high else 'low'} {self.at:%Y-%m-%d %H:%M} UTC {self.height_m} m"


class TideImport(Row):
    """What was loaded into a source from a file, and when."""

    class Kind(models.TextChoices):
        CONSTANTS = "constants", "harmonic constants"
        TABLE = "table", "highs and lows"

    source = models.ForeignKey(TideSource, on_delete=models.CASCADE, related_name="imports")
    kind = models.CharField(max_length=10, choices=Kind)
    file_name = models.CharField(max_length=120)
    file_digest = models.CharField(max_length=64)
    rows = models.PositiveIntegerField()
    replaced = models.PositiveIntegerField(default=0)
    first_at = models.DateTimeField(null=True, blank=True)
    last_at = models.DateTimeField(null=True, blank=True)
    read_as = models.CharField("unit and clock", max_length=120, blank=True)
    loaded_at = models.DateTimeField()
    loaded_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.SET_NULL, null=True, blank=True, related_name="+"
    )

    class Meta:
        ordering = ["-loaded_at", "-pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(kind__in=["constants", "table"]), name="tide_import_kind_known"
            ),
            models.CheckConstraint(condition=Q(rows__gte=1), name="tide_import_brought_rows"),
        ]

    def __str__(self) -> str:
        return f"{self.rows} rows from {self.file_name}"
