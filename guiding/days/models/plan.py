"""The plan of a day: how a trip that was sold is run."""

from __future__ import annotations

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import F, Q
from django.utils import timezone

from bookings.models import Trip
from equipment.models import Craft, FlightPack, Reel, Thing
from guiding.core.row import Row
from guiding.days.models.spot import Spot


class DayPlan(Row):
    """One plan a trip. Its quantities feed the cost sheet; what happened stands in the log."""

    trip = models.OneToOneField(Trip, on_delete=models.CASCADE, related_name="plan")
    spot = models.ForeignKey(Spot, on_delete=models.PROTECT, related_name="plans")
    session_start = models.DateTimeField()
    session_end = models.DateTimeField()
    craft = models.ForeignKey(
        Craft, on_delete=models.PROTECT, null=True, blank=True, related_name="plans"
    )
    vehicle = models.ForeignKey(
        Thing,
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="plans_driven",
        limit_choices_to={"kind": Thing.Kind.VEHICLE},
    )
    packs = models.ManyToManyField(FlightPack, through="PlannedPack", related_name="plans")
    reels = models.ManyToManyField(Reel, through="PlannedReel", related_name="plans")
    rods = models.PositiveSmallIntegerField(default=4, validators=[MaxValueValidator(20)])
    soak_min = models.PositiveSmallIntegerField("soak, minutes", default=30)
    turn_min = models.PositiveSmallIntegerField("reel, rebait and fly, minutes", default=10)
    drops = models.PositiveSmallIntegerField("drops planned", default=24)
    drop_m = models.FloatField("drop distance, m", default=300, validators=[MinValueValidator(1)])
    bait_g = models.FloatField("bait and rig in the air, g", default=400)
    road_km = models.FloatField("road, km there and back", default=0)
    sand_km = models.FloatField("sand, km there and back", default=0)
    guide_hours = models.DecimalField(
        "guide's hours, at home too", max_digits=5, decimal_places=2, default=0
    )
    bait_kg = models.DecimalField(max_digits=7, decimal_places=3, default=0)
    rigs = models.PositiveSmallIntegerField(default=0)
    line_m = models.FloatField("line used up, m", default=0)
    pack_cycles = models.PositiveSmallIntegerField(default=0)
    price_per_head = models.DecimalField(
        max_digits=12,
        decimal_places=3,
        null=True,
        blank=True,
        help_text="What a head brings on this day; from the offer when empty.",
    )
    overdue_at = models.DateTimeField(
        null=True, blank=True, help_text="When the shore contact starts to ask."
    )
    note = models.TextField(blank=True, max_length=3000)

    class Meta:
        ordering = ["session_start"]
        constraints = [
            models.CheckConstraint(
                condition=Q(session_end__gt=F("session_start")), name="plan_session_in_order"
            ),
            models.CheckConstraint(
                condition=Q(
                    drop_m__gt=0,
                    bait_g__gte=0,
                    road_km__gte=0,
                    sand_km__gte=0,
                    guide_hours__gte=0,
                    bait_kg__gte=0,
                    line_m__gte=0,
                ),
                name="plan_quantities_not_negative",
            ),
            models.CheckConstraint(
                condition=Q(price_per_head=None) | Q(price_per_head__gte=0),
                name="plan_price_not_negative",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.spot}, {timezone.localtime(self.session_start):%-d %B %Y}"


class PlannedPack(Row):
    """A flight pack that goes along; `position` is the order of use."""

    plan = models.ForeignKey(DayPlan, on_delete=models.CASCADE, related_name="planned_packs")
    pack = models.ForeignKey(FlightPack, on_delete=models.PROTECT, related_name="planned")
    position = models.PositiveSmallIntegerField()

    class Meta:
        ordering = ["plan", "position"]
        constraints = [
            models.UniqueConstraint(fields=["plan", "pack"], name="planned_pack_once"),
            models.UniqueConstraint(fields=["plan", "position"], name="planned_pack_order"),
        ]

    def __str__(self) -> str:
        return str(self.pack)


class PlannedReel(Row):
    plan = models.ForeignKey(DayPlan, on_delete=models.CASCADE, related_name="planned_reels")
    reel = models.ForeignKey(Reel, on_delete=models.PROTECT, related_name="planned")
    position = models.PositiveSmallIntegerField()

    class Meta:
        ordering = ["plan", "position"]
        constraints = [
            models.UniqueConstraint(fields=["plan", "reel"], name="planned_reel_once"),
            models.UniqueConstraint(fields=["plan", "position"], name="planned_reel_order"),
        ]

    def __str__(self) -> str:
        return str(self.reel)
