"""A craft: the multirotor that carries the bait out."""

from __future__ import annotations

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import F, Q

from equipment.models.thing import Thing


class Craft(Thing):
    registration = models.CharField(max_length=60, blank=True)
    mass_kg = models.FloatField("mass with pack, kg", validators=[MinValueValidator(0.1)])
    max_takeoff_kg = models.FloatField(
        "maker's take-off limit, kg", validators=[MinValueValidator(0.1)]
    )
    max_thrust_n = models.FloatField(
        "greatest thrust, N",
        null=True,
        blank=True,
        validators=[MinValueValidator(0.1)],
        help_text="Leave empty to plan with twice the empty weight (house default).",
    )
    rotors = models.PositiveSmallIntegerField(
        default=4, validators=[MinValueValidator(3), MaxValueValidator(12)]
    )
    rotor_diameter_m = models.FloatField(validators=[MinValueValidator(0.05), MaxValueValidator(2)])
    efficiency = models.FloatField(
        "total efficiency", default=0.55, validators=[MinValueValidator(0.1), MaxValueValidator(1)]
    )
    airspeed_out_ms = models.FloatField(
        "airspeed loaded, m/s", default=8, validators=[MinValueValidator(1)]
    )
    airspeed_home_ms = models.FloatField(
        "airspeed empty, m/s", default=12, validators=[MinValueValidator(1)]
    )
    wind_limit_ms = models.FloatField("maker's wind limit, m/s", validators=[MinValueValidator(1)])
    rain_rated = models.BooleanField("rated for rain", default=False)
    firmware_note = models.CharField(max_length=200, blank=True)

    class Meta:
        verbose_name_plural = "craft"
        constraints = [
            models.CheckConstraint(
                condition=Q(mass_kg__gt=0, max_takeoff_kg__gte=F("mass_kg")),
                name="craft_mass_within_takeoff_limit",
                violation_error_message="The take-off limit is below the mass of the craft itself.",
            ),
            models.CheckConstraint(
                condition=Q(
                    rotors__gte=3,
                    rotors__lte=12,
                    rotor_diameter_m__gt=0,
                    wind_limit_ms__gt=0,
                    airspeed_out_ms__gt=0,
                    airspeed_home_ms__gt=0,
                    efficiency__gt=0,
                    efficiency__lte=1,
                ),
                name="craft_figures_in_range",
            ),
            models.CheckConstraint(
                condition=Q(max_thrust_n=None) | Q(max_thrust_n__gt=0), name="craft_thrust_positive"
            ),
        ]
