"""What a unit of each cost driver costs, from which day on; and what a season carries."""

from __future__ import annotations

from decimal import Decimal

from django.core.validators import MinValueValidator
from django.db import models
from django.db.models import F, Q
from simple_history.models import HistoricalRecords

from guiding.core.row import Row


class CostRate(Row):
    """Amount over `per` units: 190 over 180 cycles; amount 0.42 over 1 km."""

    class Driver(models.TextChoices):
        TRIP = "trip", "each trip"
        HEAD = "head", "each head"
        KM_ROAD = "km_road", "road km"
        KM_SAND = "km_sand", "sand km"
        HOUR = "hour", "hired hour"
        FLIGHT = "flight", "flight"
        PACK_CYCLE = "pack_cycle", "pack cycle"
        METRE_LINE = "metre_line", "metre of line"
        KG_BAIT = "kg_bait", "kg of bait"
        RIG = "rig", "rig"
        LOSS = "loss", "loss in flight (cost over flights)"

    driver = models.CharField(max_length=12, choices=Driver)
    label = models.CharField(max_length=80)
    amount = models.DecimalField(max_digits=12, decimal_places=4, validators=[MinValueValidator(0)])
    per = models.DecimalField(
        "for so many units",
        max_digits=12,
        decimal_places=3,
        default=Decimal(1),
        help_text="190 for 180 cycles: amount 190, for 180 units.",
    )
    valid_from = models.DateField()
    valid_until = models.DateField(null=True, blank=True)
    history = HistoricalRecords()

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(
                    driver__in=[
                        "trip",
                        "head",
                        "km_road",
                        "km_sand",
                        "hour",
                        "flight",
                        "pack_cycle",
                        "metre_line",
                        "kg_bait",
                        "rig",
                        "loss",
                    ]
                ),
                name="rate_driver_known",
            ),
            models.CheckConstraint(condition=Q(amount__gte=0, per__gt=0), name="rate_in_range"),
            models.CheckConstraint(
                condition=Q(valid_until=None) | Q(valid_until__gte=F("valid_from")),
                name="rate_ends_after_it_begins",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.label} from {self.valid_from}"


class CostBasis(Row):
    """What a season carries together, and what the guide's hour is worth, from a day on."""

    valid_from = models.DateField(unique=True)
    guide_rate = models.DecimalField(
        "guide's hour", max_digits=12, decimal_places=3, validators=[MinValueValidator(0)]
    )
    overhead = models.DecimalField(
        "overhead of the season", max_digits=12, decimal_places=3, default=Decimal(0)
    )
    days_run = models.PositiveSmallIntegerField("days run in a season", default=48)
    days_called_off = models.PositiveSmallIntegerField("days called off in a season", default=12)
    call_off_cost = models.DecimalField(
        "what a called-off day costs", max_digits=12, decimal_places=3, default=Decimal(0)
    )
    fee_percent = models.DecimalField(
        "card fee, %", max_digits=5, decimal_places=2, default=Decimal(0)
    )
    fee_fixed = models.DecimalField(
        "card fee per payment", max_digits=9, decimal_places=3, default=Decimal(0)
    )
    wished_margin_percent = models.DecimalField(
        "margin wished on a private day, %", max_digits=5, decimal_places=2, default=Decimal(15)
    )
    history = HistoricalRecords()

    class Meta:
        verbose_name_plural = "cost bases"
        ordering = ["-valid_from"]
        constraints = [
            models.CheckConstraint(
                condition=Q(
                    guide_rate__gte=0,
                    overhead__gte=0,
                    days_run__gte=1,
                    call_off_cost__gte=0,
                    fee_percent__gte=0,
                    fee_percent__lt=100,
                    fee_fixed__gte=0,
                    wished_margin_percent__gte=0,
                    wished_margin_percent__lt=100,
                ),
                name="basis_in_range",
            )
        ]

    def __str__(self) -> str:
        return f"cost basis from {self.valid_from}"
