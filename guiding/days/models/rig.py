"""Rigs as recipes: what one is tied from, what lies in the box, which a day fishes."""

from __future__ import annotations

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import Q
from simple_history.models import HistoricalRecords

from equipment.models.typed import AsTyped
from guiding.core.row import Row
from guiding.days.models.plan import DayPlan


class Rig(AsTyped):
    """One recipe. `main_strength_kgf` is the weakest main line that it may be fished on."""

    name = models.CharField(max_length=60, unique=True)
    main_strength_kgf = models.FloatField(
        "for a main line of", validators=[MinValueValidator(0.5), MaxValueValidator(500)]
    )
    first_dropper_m = models.FloatField(
        "first dropper down the trace",
        default=1.2,
        validators=[MinValueValidator(0), MaxValueValidator(50)],
    )
    dropper_spacing_m = models.FloatField(
        "from dropper to dropper",
        default=1.5,
        validators=[MinValueValidator(0), MaxValueValidator(50)],
    )
    bait = models.CharField(max_length=60, blank=True, help_text="Such as squid strip.")
    bait_g = models.FloatField(
        "bait on one hook",
        default=80,
        validators=[MinValueValidator(0), MaxValueValidator(5000)],
    )
    ready = models.PositiveSmallIntegerField(
        "tied and ready", default=0, validators=[MaxValueValidator(500)]
    )
    origin = models.CharField(
        "where the recipe comes from",
        max_length=120,
        blank=True,
        help_text="A source, or: common practice, no source.",
    )
    note = models.TextField(blank=True, max_length=1000)
    shelved_on = models.DateField(null=True, blank=True)
    history = HistoricalRecords()

    class Meta:
        ordering = ["name"]
        constraints = [
            models.CheckConstraint(condition=~Q(name=""), name="rig_has_a_name"),
            models.CheckConstraint(
                condition=Q(
                    main_strength_kgf__gt=0,
                    first_dropper_m__gte=0,
                    dropper_spacing_m__gte=0,
                    bait_g__gte=0,
                ),
                name="rig_figures_in_range",
            ),
        ]

    def __str__(self) -> str:
        return self.name


class RigPart(AsTyped):
    """One line of a recipe, in the order it is tied."""

    class Kind(models.TextChoices):
        RELEASE = "release loop", "release loop"
        WEAK_LINK = "weak link", "weak link"
        SWIVEL = "swivel", "swivel"
        TRACE = "trace", "trace"
        THREE_WAY = "three-way swivel", "three-way swivel"
        DROPPER = "dropper", "dropper"
        HOOK = "hook", "hook"
        SINKER_LINK = "sinker link", "sinker link"
        SINKER = "sinker", "sinker"

    rig = models.ForeignKey(Rig, on_delete=models.CASCADE, related_name="parts")
    position = models.PositiveSmallIntegerField()
    kind = models.CharField(max_length=16, choices=Kind)
    name = models.CharField(
        "what to take", max_length=60, help_text="As it stands on the shopping list."
    )
    count = models.PositiveSmallIntegerField(
        default=1, validators=[MinValueValidator(1), MaxValueValidator(200)]
    )
    length_m = models.FloatField(
        "length of one", default=0, validators=[MinValueValidator(0), MaxValueValidator(50)]
    )
    strength_kgf = models.FloatField(
        "strength", null=True, blank=True, validators=[MinValueValidator(0.01)]
    )
    mass_g = models.FloatField(
        "mass of one", default=0, validators=[MinValueValidator(0), MaxValueValidator(5000)]
    )
    inside_mm = models.FloatField(
        "hook, inside width", null=True, blank=True, validators=[MinValueValidator(0.1)]
    )

    class Meta:
        ordering = ["rig", "position"]
        constraints = [
            models.UniqueConstraint(fields=["rig", "position"], name="rig_part_order"),
            models.CheckConstraint(
                condition=Q(
                    kind__in=[
                        "release loop",
                        "weak link",
                        "swivel",
                        "trace",
                        "three-way swivel",
                        "dropper",
                        "hook",
                        "sinker link",
                        "sinker",
                    ]
                ),
                name="rig_part_kind_known",
            ),
            models.CheckConstraint(
                condition=Q(count__gte=1, length_m__gte=0, mass_g__gte=0)
                & (Q(strength_kgf=None) | Q(strength_kgf__gt=0))
                & (Q(inside_mm=None) | Q(inside_mm__gt=0)),
                name="rig_part_figures_in_range",
            ),
            models.CheckConstraint(
                condition=~Q(kind__in=["weak link", "trace", "dropper", "sinker link"])
                | Q(length_m__gt=0, strength_kgf__gt=0),
                name="rig_part_of_line_has_length_and_strength",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.count} × {self.name}"


class Tackle(Row):
    """What lies in the box, by the names that the recipes use."""

    class Unit(models.TextChoices):
        PIECES = "pieces", "pieces"
        METRES = "m", "metres"

    name = models.CharField(max_length=60, unique=True)
    unit = models.CharField(max_length=6, choices=Unit, default=Unit.PIECES)
    quantity = models.FloatField("in the box", default=0, validators=[MinValueValidator(0)])
    sold_in = models.FloatField(
        "sold in lots of",
        default=1,
        validators=[MinValueValidator(0.001)],
        help_text="A bag of 10, a spool of 50 m.",
    )
    history = HistoricalRecords()

    class Meta:
        verbose_name_plural = "tackle"
        ordering = ["name"]
        constraints = [
            models.CheckConstraint(condition=Q(unit__in=["pieces", "m"]), name="tackle_unit_known"),
            models.CheckConstraint(
                condition=Q(quantity__gte=0, sold_in__gt=0), name="tackle_amounts_in_range"
            ),
        ]

    def __str__(self) -> str:
        return self.name


class PlannedRig(AsTyped):
    """A recipe that a day fishes, on so many of its rods; `position` is the order of the rods.

    `weak_link_kgf` is the link chosen for the day's wind; empty: the recipe's own.
    """

    plan = models.ForeignKey(DayPlan, on_delete=models.CASCADE, related_name="planned_rigs")
    rig = models.ForeignKey(Rig, on_delete=models.PROTECT, related_name="planned")
    rods = models.PositiveSmallIntegerField(
        validators=[MinValueValidator(1), MaxValueValidator(20)]
    )
    position = models.PositiveSmallIntegerField()
    weak_link_kgf = models.FloatField(
        "weak link for this day", null=True, blank=True, validators=[MinValueValidator(0.01)]
    )

    class Meta:
        ordering = ["plan", "position"]
        constraints = [
            models.UniqueConstraint(fields=["plan", "rig"], name="planned_rig_once"),
            models.UniqueConstraint(fields=["plan", "position"], name="planned_rig_order"),
            models.CheckConstraint(
                condition=Q(rods__gte=1) & (Q(weak_link_kgf=None) | Q(weak_link_kgf__gt=0)),
                name="planned_rig_figures_in_range",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.rig} on {self.rods} rods"
