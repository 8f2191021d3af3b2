"""A spot: a stretch of shore that is fished, with what makes it safe and what closes it."""

from __future__ import annotations

import secrets

from django.conf import settings
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import Q
from simple_history.models import HistoricalRecords

from equipment.models.typed import AsTyped
from guiding.core.row import Row
from guiding.days.models.tide import TideSource


class Spot(AsTyped):
    class Ground(models.TextChoices):
        BEACH = "beach", "beach"
        ROCK = "rock", "rock"
        PIER = "pier", "pier or wall"

    class FlyingLight(models.TextChoices):
        DAYLIGHT = "daylight", "daylight only"
        TWILIGHT = "twilight", "twilight, with lights"

    class Coverage(models.TextChoices):
        UNKNOWN = "unknown", "not known"
        GOOD = "good", "works"
        WEAK = "weak", "weak, not to be relied on"
        NONE = "none", "none"

    name = models.CharField(max_length=80, unique=True)
    latitude = models.FloatField(validators=[MinValueValidator(-90), MaxValueValidator(90)])
    longitude = models.FloatField(validators=[MinValueValidator(-180), MaxValueValidator(180)])
    ground = models.CharField(max_length=8, choices=Ground, default=Ground.BEACH)
    seaward_deg = models.FloatField(
        "bearing out to sea, degrees", validators=[MinValueValidator(0), MaxValueValidator(360)]
    )
    tide_source = models.ForeignKey(
        TideSource, on_delete=models.PROTECT, null=True, blank=True, related_name="spots"
    )
    sill_m = models.FloatField(
        "sill of the way out, m above the datum",
        null=True,
        blank=True,
        help_text="The height that shuts the way out. Empty where the tide cuts nobody off.",
    )
    surge_m = models.FloatField(
        "allowance for storm surge, m",
        default=0,
        validators=[MinValueValidator(0), MaxValueValidator(5)],
    )
    fish_over_m = models.FloatField(
        "fishes from a tide of, m", null=True, blank=True, help_text="Empty: from any height."
    )
    fish_under_m = models.FloatField(
        "fishes up to a tide of, m", null=True, blank=True, help_text="Empty: up to any height."
    )
    sand_before_low_min = models.PositiveSmallIntegerField(
        "on the sand from so many minutes before low water",
        default=120,
        validators=[MaxValueValidator(420)],
    )
    sand_after_low_min = models.PositiveSmallIntegerField(
        "off the sand by so many minutes after low water",
        default=120,
        validators=[MaxValueValidator(420)],
    )
    narrow_m = models.FloatField(
        "the narrow place shuts at a tide of, m",
        null=True,
        blank=True,
        help_text="Where the vehicle has to pass. Empty where no place shuts before the sand does.",
    )
    beach_slope = models.FloatField(
        "slope of the beach face (rise over run)",
        default=0.05,
        validators=[MinValueValidator(0.001), MaxValueValidator(1)],
    )
    walk_out_min = models.PositiveSmallIntegerField("minutes to walk out", default=20)
    pack_up_min = models.PositiveSmallIntegerField("minutes to pack up", default=30)
    set_up_min = models.PositiveSmallIntegerField("minutes to set up", default=30)
    meeting_place = models.CharField(max_length=200)
    meeting_latitude = models.FloatField(null=True, blank=True)
    meeting_longitude = models.FloatField(null=True, blank=True)
    drive_km = models.FloatField("drive, km one way", default=0, validators=[MinValueValidator(0)])
    drive_min = models.PositiveSmallIntegerField("drive, minutes one way", default=0)
    sand_km = models.FloatField("on sand, km one way", default=0, validators=[MinValueValidator(0)])
    drop_m = models.FloatField(
        "usual drop distance, m",
        default=300,
        validators=[MinValueValidator(1), MaxValueValidator(2000)],
    )
    max_party = models.PositiveSmallIntegerField(default=6, validators=[MinValueValidator(1)])
    minors_welcome = models.BooleanField(default=True)
    wave_stop_m = models.FloatField("stop at waves of, m", default=2.5)
    wave_caution_m = models.FloatField("caution at waves of, m", default=1.5)
    period_caution_s = models.FloatField("caution at a period of, s", default=12)
    period_stop_s = models.FloatField("stop at a period of, s", null=True, blank=True)
    wind_stop_ms = models.FloatField("stop at a mean wind of, m/s", default=14)
    flying_light = models.CharField(
        max_length=8,
        choices=FlyingLight,
        default=FlyingLight.DAYLIGHT,
        help_text="What the rules of the place allow; check with your own authority.",
    )
    hook_limit = models.PositiveSmallIntegerField(
        "hooks on a line, at most",
        null=True,
        blank=True,
        validators=[MinValueValidator(1)],
        help_text="The number that the law of the place allows; check with your own authority.",
    )
    hook_inside_limit_mm = models.FloatField(
        "hooks narrower inside than, mm",
        null=True,
        blank=True,
        validators=[MinValueValidator(1)],
        help_text="Empty where the place sets no limit on the width of hooks.",
    )
    access = models.TextField("the way in", blank=True, max_length=1000)
    coverage = models.CharField(
        "phone at the spot",
        max_length=8,
        choices=Coverage,
        default=Coverage.UNKNOWN,
        help_text="As it is where the rods stand, with the network that your clients use.",
    )
    signal_point = models.CharField(
        "where the nearest signal is", max_length=200, blank=True, help_text="Walk there once."
    )
    nearest_help = models.CharField(max_length=200, blank=True)
    hazards = models.TextField(blank=True, max_length=1000)
    walked_on = models.DateField("last walked", null=True, blank=True)
    history = HistoricalRecords()

    class Meta:
        ordering = ["name"]
        constraints = [
            models.CheckConstraint(
                condition=Q(
                    latitude__gte=-90, latitude__lte=90, longitude__gte=-180, longitude__lte=180
                ),
                name="spot_on_the_globe",
            ),
            models.CheckConstraint(
                condition=Q(coverage__in=["unknown", "good", "weak", "none"]),
                name="spot_coverage_known",
            ),
            models.CheckConstraint(
                condition=Q(seaward_deg__gte=0, seaward_deg__lte=360), name="spot_bearing_in_range"
            ),
            models.CheckConstraint(
                condition=Q(ground__in=["beach", "rock", "pier"]), name="spot_ground_known"
            ),
            models.CheckConstraint(
                condition=Q(flying_light__in=["daylight", "twilight"]),
                name="spot_flying_light_known",
            ),
            models.CheckConstraint(
                condition=Q(
                    drive_km__gte=0,
                    sand_km__gte=0,
                    drop_m__gt=0,
                    max_party__gte=1,
                    wave_caution_m__gt=0,
                    wave_stop_m__gte=models.F("wave_caution_m"),
                    wind_stop_ms__gt=0,
                    beach_slope__gt=0,
                ),
                name="spot_limits_in_range",
            ),
            models.CheckConstraint(
                condition=(Q(hook_limit=None) | Q(hook_limit__gte=1))
                & (Q(hook_inside_limit_mm=None) | Q(hook_inside_limit_mm__gt=0)),
                name="spot_hook_limits_in_range",
            ),
            models.CheckConstraint(
                condition=(
                    Q(period_stop_s=None) | Q(period_stop_s__gte=models.F("period_caution_s"))
                )
                & (
                    Q(fish_over_m=None)
                    | Q(fish_under_m=None)
                    | Q(fish_under_m__gt=models.F("fish_over_m"))
                )
                & Q(surge_m__gte=0),
                name="spot_tide_and_period_in_order",
            ),
        ]

    def __str__(self) -> str:
        return self.name

    @property
    def signal(self) -> str:
        """What the phone does at the spot, and where it does: one line, empty if nobody knows."""
        if self.coverage == self.Coverage.UNKNOWN:
            return self.signal_point
        told = {
            self.Coverage.GOOD: "Works at the spot",
            self.Coverage.WEAK: "Weak at the spot, not to be relied on",
            self.Coverage.NONE: "No signal at the spot",
        }[self.Coverage(self.coverage)]
        return f"{told}. {self.signal_point}".strip() if self.signal_point else f"{told}."


class WindLimit(AsTyped):
    """A mean wind that stops fishing when it blows from a part of the compass, clockwise."""

    spot = models.ForeignKey(Spot, on_delete=models.CASCADE, related_name="wind_limits")
    from_deg = models.FloatField("from", validators=[MinValueValidator(0), MaxValueValidator(360)])
    to_deg = models.FloatField(
        "clockwise to", validators=[MinValueValidator(0), MaxValueValidator(360)]
    )
    stop_ms = models.FloatField(
        "stop at a mean wind of", validators=[MinValueValidator(0.5), MaxValueValidator(60)]
    )
    why = models.CharField(max_length=120, blank=True)

    class Meta:
        ordering = ["spot", "from_deg", "pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(
                    from_deg__gte=0,
                    from_deg__lte=360,
                    to_deg__gte=0,
                    to_deg__lte=360,
                    stop_ms__gt=0,
                    stop_ms__lte=60,
                ),
                name="wind_limit_in_range",
            )
        ]

    def __str__(self) -> str:
        return f"{self.from_deg:g}° to {self.to_deg:g}°: {self.stop_ms:g} m/s"


def photo_place(photo: SpotPhoto, filename: str) -> str:
    """A name that nobody can guess and that says nothing of the file that was sent."""
    return f"spots/{secrets.token_hex(16)}.jpg"


class SpotPhoto(Row):
    """A photograph of a spot, drawn anew: its pixels are kept and nothing else."""

    spot = models.ForeignKey(Spot, on_delete=models.PROTECT, related_name="photos")
    title = models.CharField("what it shows", max_length=120, blank=True)
    file = models.FileField(upload_to=photo_place, max_length=80)
    size = models.PositiveIntegerField(editable=False)
    width = models.PositiveIntegerField(editable=False)
    height = models.PositiveIntegerField(editable=False)
    added_at = models.DateTimeField()
    added_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.SET_NULL, null=True, blank=True, related_name="+"
    )
    taken_off_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["-added_at", "-pk"]

    def __str__(self) -> str:
        return self.title or "photograph"
