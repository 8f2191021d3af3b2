"""What was caught, and the rules of each species as the guide has looked them up."""

from __future__ import annotations

import uuid

from django.conf import settings
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import Q
from django.db.models.functions import Lower
from simple_history.models import HistoricalRecords

from bookings.models import Participant, Trip
from bookings.models.trip import FIRST_INSTANT
from equipment.models.typed import AsTyped

LEAST_MM, MOST_MM = 10, 5000
MOST_G = 1_000_000
MOST_FISH = 500
_LENGTH = [MinValueValidator(LEAST_MM), MaxValueValidator(MOST_MM)]


class SpeciesRule(AsTyped):
    """A species with what may be kept of it; each limit says who set it and when that was checked.

    Without any limit the rule is not known, which is not the same as 'anything goes'.
    """

    name_en = models.CharField("name in English", max_length=60)
    name_de = models.CharField("name in German", max_length=60, blank=True)
    least_mm = models.PositiveSmallIntegerField(
        "shortest that may be kept", null=True, blank=True, validators=_LENGTH
    )
    most_mm = models.PositiveSmallIntegerField(
        "longest that may be kept", null=True, blank=True, validators=_LENGTH
    )
    bag_limit = models.PositiveSmallIntegerField(
        "a person may keep on one day",
        null=True,
        blank=True,
        validators=[MaxValueValidator(MOST_FISH)],
        help_text="0 where none may be kept. Empty where no number is set.",
    )
    closed_from = models.DateField(
        "closed from", null=True, blank=True, help_text="Every year; the year is not looked at."
    )
    closed_to = models.DateField("last day closed", null=True, blank=True)
    protected = models.BooleanField("protected: every one must be released", default=False)
    source = models.CharField(
        "who says so",
        max_length=200,
        blank=True,
        help_text="The authority and its paper or page. Check with your own fishery authority.",
    )
    checked_on = models.DateField("last checked", null=True, blank=True)
    in_use = models.BooleanField("offered when fish are logged", default=True)
    history = HistoricalRecords()

    class Meta:
        ordering = ["name_en", "pk"]
        constraints = [
            models.UniqueConstraint(
                Lower("name_en"),
                name="species_once",
                violation_error_message="This species is on the list already.",
            ),
            models.CheckConstraint(condition=~Q(name_en=""), name="species_has_a_name"),
            models.CheckConstraint(
                condition=(Q(least_mm=None) | Q(least_mm__gte=LEAST_MM, least_mm__lte=MOST_MM))
                & (Q(most_mm=None) | Q(most_mm__gte=LEAST_MM, most_mm__lte=MOST_MM))
                & (Q(least_mm=None) | Q(most_mm=None) | Q(most_mm__gte=models.F("least_mm"))),
                name="species_sizes_in_order",
                violation_error_message="The longest lies below the shortest.",
            ),
            models.CheckConstraint(
                condition=Q(closed_from=None, closed_to=None)
                | Q(closed_from__isnull=False, closed_to__isnull=False),
                name="species_closed_has_both_ends",
                violation_error_message="Give the first and the last day of the closed season.",
            ),
            models.CheckConstraint(
                condition=Q(
                    least_mm=None,
                    most_mm=None,
                    bag_limit=None,
                    closed_from=None,
                    protected=False,
                )
                | (~Q(source="") & Q(checked_on__isnull=False)),
                name="species_limit_says_who_says_so",
                violation_error_message="Say who set the limits, and when you checked them.",
            ),
        ]

    def __str__(self) -> str:
        return self.name_en

    def name_in(self, language: str) -> str:
        """Its name in a language, the English one where there is no other."""
        return (self.name_de if language == "de" else "") or self.name_en


class Catch(AsTyped):
    """Fish of one species landed at one moment. Only ever added to: a wrong entry is struck out,
    and a corrected one names the entry that it stands for.

    A fish that was measured is an entry of its own; the weight is that of all fish of an entry.
    """

    key = models.UUIDField(default=uuid.uuid4, unique=True, editable=False)
    trip = models.ForeignKey(Trip, on_delete=models.PROTECT, related_name="catches")
    at = models.DateTimeField("landed at")
    species = models.ForeignKey(SpeciesRule, on_delete=models.PROTECT, related_name="catches")
    count = models.PositiveSmallIntegerField(
        "how many", default=1, validators=[MinValueValidator(1), MaxValueValidator(MOST_FISH)]
    )
    length_mm = models.PositiveSmallIntegerField(
        "length", null=True, blank=True, validators=_LENGTH
    )
    mass_g = models.PositiveIntegerField(
        "weight",
        null=True,
        blank=True,
        validators=[MinValueValidator(1), MaxValueValidator(MOST_G)],
    )
    kept = models.BooleanField(default=False)
    person = models.ForeignKey(
        Participant, on_delete=models.SET_NULL, null=True, blank=True, related_name="catches"
    )
    rod = models.CharField("rod or name", max_length=60, blank=True)
    bait = models.CharField(max_length=60, blank=True)
    note = models.CharField(max_length=300, blank=True)
    corrects = models.OneToOneField(
        "self", on_delete=models.PROTECT, null=True, blank=True, related_name="corrected_by"
    )
    struck_out_at = models.DateTimeField(null=True, blank=True)
    struck_out_reason = models.CharField(max_length=200, blank=True)
    entered_at = models.DateTimeField(auto_now_add=True)
    entered_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.SET_NULL, null=True, blank=True, related_name="+"
    )

    class Meta:
        verbose_name_plural = "catches"
        ordering = ["at", "pk"]
        indexes = [
            models.Index(fields=["trip", "at"], name="catch_of_trip"),
            models.Index(fields=["-at"], name="catch_newest"),
        ]
        constraints = [
            models.CheckConstraint(
                condition=Q(count__gte=1, count__lte=MOST_FISH)
                & (Q(length_mm=None) | Q(length_mm__gte=LEAST_MM, length_mm__lte=MOST_MM))
                & (Q(mass_g=None) | Q(mass_g__gte=1, mass_g__lte=MOST_G)),
                name="catch_figures_in_range",
            ),
            models.CheckConstraint(
                condition=Q(length_mm=None) | Q(count=1),
                name="catch_measured_one_by_one",
                violation_error_message="Log fish that you measured one by one.",
            ),
            models.CheckConstraint(condition=Q(at__gte=FIRST_INSTANT), name="catch_day_is_modern"),
            models.CheckConstraint(
                condition=Q(struck_out_at=None, struck_out_reason="")
                | (Q(struck_out_at__isnull=False) & ~Q(struck_out_reason="")),
                name="catch_struck_out_with_a_reason",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.count} × {self.species}"
