"""Reels, and the line that is on them, was cut from them or lost at sea."""

from __future__ import annotations

from django.core.validators import MinValueValidator
from django.db import models
from django.db.models import F, Q

from equipment.models.thing import Thing
from equipment.models.typed import AsTyped
from guiding.core.row import Row


class Reel(Thing):
    rated_m = models.FloatField("maker's capacity, m", null=True, blank=True)
    rated_mm = models.FloatField("at a diameter of, mm", null=True, blank=True)

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(rated_m=None, rated_mm=None) | Q(rated_m__gt=0, rated_mm__gt=0),
                name="reel_capacity_has_both_figures",
                violation_error_message="Give both figures of the maker's capacity: the metres, "
                "and the diameter they hold for.",
            )
        ]


class Line(AsTyped):
    """One length of line, from the shop to the bin; it may move between reels."""

    class Material(models.TextChoices):
        BRAID = "braid", "braid"
        MONO = "mono", "monofilament"
        FLUORO = "fluoro", "fluorocarbon"

    material = models.CharField(max_length=8, choices=Material, default=Material.BRAID)
    strength_kgf = models.FloatField("breaking strength, kgf", validators=[MinValueValidator(0.1)])
    diameter_mm = models.FloatField(validators=[MinValueValidator(0.01)])
    colour = models.CharField(max_length=40, blank=True)
    spooled_m = models.FloatField("metres spooled", validators=[MinValueValidator(1)])
    used_m = models.FloatField("metres cut back or lost", default=0, editable=False)
    price_per_m = models.DecimalField(max_digits=9, decimal_places=4, default=0)
    bought_on = models.DateField(null=True, blank=True)

    class Meta:
        ordering = ["-pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(material__in=["braid", "mono", "fluoro"]), name="line_material_known"
            ),
            models.CheckConstraint(
                condition=Q(
                    strength_kgf__gt=0, diameter_mm__gt=0, spooled_m__gt=0, price_per_m__gte=0
                ),
                name="line_figures_positive",
            ),
            # With the use log summed up in `used_m`, this keeps metres from going below nothing.
            models.CheckConstraint(
                condition=Q(used_m__gte=0, used_m__lte=F("spooled_m")),
                name="line_metres_not_negative",
                violation_error_message="More metres have been used than were spooled.",
            ),
        ]

    def __str__(self) -> str:
        strength = self.words("strength_kgf") or f"{self.strength_kgf:g} kgf"
        diameter = self.words("diameter_mm") or f"{self.diameter_mm:g} mm"
        return f"{self.get_material_display()} {strength} {diameter}"

    @property
    def left_m(self) -> float:
        return self.spooled_m - self.used_m


class Spooling(Row):
    """This line was on this reel from then to then."""

    reel = models.ForeignKey(Reel, on_delete=models.PROTECT, related_name="spoolings")
    line = models.ForeignKey(Line, on_delete=models.PROTECT, related_name="spoolings")
    on_from = models.DateField()
    on_until = models.DateField(null=True, blank=True)
    backing_m = models.FloatField(default=0, validators=[MinValueValidator(0)])
    reversed = models.BooleanField("worn end inside", default=False)

    class Meta:
        ordering = ["reel", "-on_from", "-pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["reel"], condition=Q(on_until=None), name="spooling_one_line_on_a_reel"
            ),
            models.UniqueConstraint(
                fields=["line"], condition=Q(on_until=None), name="spooling_line_on_one_reel"
            ),
            models.CheckConstraint(
                condition=Q(on_until=None) | Q(on_until__gte=F("on_from")),
                name="spooling_ends_after_it_begins",
            ),
            models.CheckConstraint(
                condition=Q(backing_m__gte=0), name="spooling_backing_not_negative"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.line} on {self.reel}"
