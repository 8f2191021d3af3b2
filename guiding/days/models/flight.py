"""Flying the bait out: what a day's drops are planned on, and the log of those flown."""

from __future__ import annotations

import uuid

from django.conf import settings
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import F, Q

from equipment.models import Craft, FlightPack, Reel, Thing
from equipment.models.typed import AsTyped
from guiding.core.row import Row
from guiding.days.models.plan import DayPlan
from guiding.days.models.rig import Rig
from guiding.days.models.spot import Spot

_AT_LEAST_0 = [MinValueValidator(0)]


class DropSetup(AsTyped):
    """What the drops of a day are planned on; what is left empty is taken on the safe side."""

    plan = models.OneToOneField(DayPlan, on_delete=models.CASCADE, related_name="drop_setup")
    wind_ms = models.FloatField(
        "mean wind", null=True, blank=True, validators=[*_AT_LEAST_0, MaxValueValidator(60)]
    )
    gust_ms = models.FloatField(
        "gusts", null=True, blank=True, validators=[*_AT_LEAST_0, MaxValueValidator(80)]
    )
    wind_from_deg = models.FloatField(
        "wind from",
        null=True,
        blank=True,
        validators=[*_AT_LEAST_0, MaxValueValidator(360)],
    )
    wave_height_m = models.FloatField(
        "waves", null=True, blank=True, validators=[*_AT_LEAST_0, MaxValueValidator(30)]
    )
    air_c = models.FloatField(
        "air", null=True, blank=True, validators=[MinValueValidator(-30), MaxValueValidator(50)]
    )
    bearing_deg = models.FloatField(
        "bearing of the way out",
        null=True,
        blank=True,
        validators=[*_AT_LEAST_0, MaxValueValidator(360)],
    )
    height_m = models.FloatField(
        "height of flight", null=True, blank=True, validators=[MinValueValidator(1)]
    )
    people_aside_m = models.FloatField(
        "people stand aside of the pad",
        null=True,
        blank=True,
        validators=[*_AT_LEAST_0, MaxValueValidator(1000)],
    )
    people_back_m = models.FloatField(
        "and back from the water",
        null=True,
        blank=True,
        validators=[*_AT_LEAST_0, MaxValueValidator(500)],
    )

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=(Q(wind_ms=None) | Q(wind_ms__gte=0, wind_ms__lte=60))
                & (Q(gust_ms=None) | Q(gust_ms__gte=0, gust_ms__lte=80))
                & (Q(wind_from_deg=None) | Q(wind_from_deg__gte=0, wind_from_deg__lte=360))
                & (Q(wave_height_m=None) | Q(wave_height_m__gte=0, wave_height_m__lte=30))
                & (Q(bearing_deg=None) | Q(bearing_deg__gte=0, bearing_deg__lte=360))
                & (Q(height_m=None) | Q(height_m__gt=0))
                & (Q(people_aside_m=None) | Q(people_aside_m__gte=0))
                & (Q(people_back_m=None) | Q(people_back_m__gte=0)),
                name="drop_setup_in_range",
            )
        ]

    def __str__(self) -> str:
        return f"drops of {self.plan}"


class Drop(Row):
    """One bait flown out. Only ever added to: a wrong entry is taken out by a later one that
    names it and carries its figures.

    The pack's health, energy and temperature stand as they were on the day, so that what is
    learned from the log does not change when a pack ages.
    """

    class Result(models.TextChoices):
        RELEASED = "released", "let go where planned"
        EARLY = "early", "let go too early"
        STUCK = "stuck", "clip did not open"
        PARTED = "parted", "weak link parted"
        TURNED_BACK = "turned back", "turned back"
        CRASHED = "crashed", "crashed"
        DITCHED = "ditched", "in the water"

    key = models.UUIDField(default=uuid.uuid4, unique=True, editable=False)
    plan = models.ForeignKey(
        DayPlan, on_delete=models.PROTECT, null=True, blank=True, related_name="drops_flown"
    )
    spot = models.ForeignKey(
        Spot, on_delete=models.PROTECT, null=True, blank=True, related_name="drops_flown"
    )
    at = models.DateTimeField("landed at")
    craft = models.ForeignKey(Craft, on_delete=models.PROTECT, related_name="drops_flown")
    pack = models.ForeignKey(FlightPack, on_delete=models.PROTECT, related_name="drops_flown")
    clip = models.ForeignKey(
        Thing, on_delete=models.PROTECT, null=True, blank=True, related_name="drops_of_clip"
    )
    reel = models.ForeignKey(
        Reel, on_delete=models.PROTECT, null=True, blank=True, related_name="drops_flown"
    )
    rig = models.ForeignKey(
        Rig, on_delete=models.PROTECT, null=True, blank=True, related_name="drops_flown"
    )
    rig_lost = models.BooleanField("the rig was lost", default=False)
    from_percent = models.FloatField(
        "pack at take-off", validators=[*_AT_LEAST_0, MaxValueValidator(100)]
    )
    to_percent = models.FloatField(
        "pack after landing", validators=[*_AT_LEAST_0, MaxValueValidator(100)]
    )
    new_charge = models.BooleanField("first flight on this charge", default=False)
    distance_m = models.FloatField(validators=[MinValueValidator(1), MaxValueValidator(5000)])
    height_m = models.FloatField(
        default=15, validators=[MinValueValidator(1), MaxValueValidator(500)]
    )
    wind_ms = models.FloatField("mean wind", validators=[*_AT_LEAST_0, MaxValueValidator(60)])
    wind_off_path_deg = models.FloatField(
        "wind off the way out",
        null=True,
        blank=True,
        validators=[*_AT_LEAST_0, MaxValueValidator(180)],
    )
    payload_g = models.FloatField(
        "bait and rig", validators=[*_AT_LEAST_0, MaxValueValidator(50_000)]
    )
    line_mm = models.FloatField("line", validators=[MinValueValidator(0.01), MaxValueValidator(3)])
    pack_rated_wh = models.FloatField(validators=[MinValueValidator(0.1)])
    pack_health_share = models.FloatField(
        validators=[MinValueValidator(0.01), MaxValueValidator(1)]
    )
    pack_c = models.FloatField("pack's temperature", default=20)
    result = models.CharField(max_length=12, choices=Result, default=Result.RELEASED)
    note = models.CharField(max_length=300, blank=True)
    reverses = models.OneToOneField(
        "self", on_delete=models.PROTECT, null=True, blank=True, related_name="reversed_by"
    )
    entered_at = models.DateTimeField(auto_now_add=True)
    entered_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.SET_NULL, null=True, blank=True, related_name="+"
    )

    class Meta:
        ordering = ["at", "pk"]
        indexes = [
            models.Index(fields=["craft", "-at", "-id"], name="drop_newest_of_craft"),
            models.Index(fields=["pack", "-at", "-id"], name="drop_newest_of_pack"),
            models.Index(fields=["-at", "-id"], name="drop_newest"),
        ]
        constraints = [
            models.CheckConstraint(
                condition=Q(
                    result__in=[
                        "released",
                        "early",
                        "stuck",
                        "parted",
                        "turned back",
                        "crashed",
                        "ditched",
                    ]
                ),
                name="drop_result_known",
            ),
            models.CheckConstraint(
                condition=Q(
                    from_percent__lte=100, to_percent__gte=0, from_percent__gt=F("to_percent")
                ),
                name="drop_uses_some_of_the_pack",
                violation_error_message="The pack must hold less after landing than at take-off.",
            ),
            models.CheckConstraint(
                condition=Q(
                    distance_m__gt=0,
                    distance_m__lte=5000,
                    height_m__gt=0,
                    wind_ms__gte=0,
                    wind_ms__lte=60,
                    payload_g__gte=0,
                    line_mm__gt=0,
                    line_mm__lte=3,
                    pack_rated_wh__gt=0,
                    pack_health_share__gt=0,
                    pack_health_share__lte=1,
                )
                & (
                    Q(wind_off_path_deg=None)
                    | Q(wind_off_path_deg__gte=0, wind_off_path_deg__lte=180)
                ),
                name="drop_figures_in_range",
            ),
            models.CheckConstraint(
                condition=Q(reverses=None) | ~Q(note=""), name="drop_taken_out_with_a_reason"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.craft} with {self.pack}, {self.distance_m:g} m"

    @property
    def used_percent(self) -> float:
        return self.from_percent - self.to_percent
