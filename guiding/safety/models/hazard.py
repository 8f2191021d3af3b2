"""The hazard library: rows that the guide edits; every version is kept."""

from __future__ import annotations

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import Q
from simple_history.models import HistoricalRecords

from guiding.core.row import Row
from guiding.safety.rules.facts import Part

_LEVEL = [MinValueValidator(1), MaxValueValidator(5)]


class Hazard(Row):
    """What can hurt somebody, what fires it, what is done and said. Lists hold one line each."""

    class PartOfTalk(models.TextChoices):
        ARRIVAL = Part.ARRIVAL.value, "arrival"
        WATER = Part.WATER.value, "water"
        RODS = Part.RODS.value, "rods and hooks"
        FLYING = Part.FLYING.value, "flying"
        FISH = Part.FISH.value, "fish"
        GUIDE_HURT = Part.GUIDE_HURT.value, "if the guide is hurt"

    class Mark(models.TextChoices):
        SOURCE = "s", "published source"
        PRACTICE = "m", "common practice, no source"
        HOUSE = "h", "house default"

    key = models.SlugField(max_length=40, unique=True, allow_unicode=False)
    name = models.CharField(max_length=120)
    who = models.CharField(
        "who is at risk",
        max_length=8,
        help_text="Letters: C client, M minor, G guide, P public, W wildlife.",
    )
    trigger = models.CharField("what fires it", max_length=24)
    part = models.CharField("part of the briefing", max_length=10, choices=PartOfTalk)
    controls_before = models.TextField("what we do before", blank=True, max_length=600)
    controls_during = models.TextField("what we do on the day", blank=True, max_length=600)
    say = models.CharField("one line to say", max_length=120)
    child_say = models.CharField("the same for a child", max_length=120, blank=True)
    emergency = models.CharField("if it happens", max_length=300)
    likelihood_before = models.PositiveSmallIntegerField(validators=_LEVEL)
    consequence_before = models.PositiveSmallIntegerField(validators=_LEVEL)
    likelihood_after = models.PositiveSmallIntegerField(validators=_LEVEL)
    consequence_after = models.PositiveSmallIntegerField(validators=_LEVEL)
    mark = models.CharField("where it comes from", max_length=1, choices=Mark)
    source = models.CharField(max_length=200, blank=True)
    law_differs = models.BooleanField("law differs: check with your own authority", default=False)
    in_force = models.BooleanField(default=True)
    place = models.PositiveSmallIntegerField("place in the library", default=100)
    history = HistoricalRecords()

    class Meta:
        ordering = ["place", "pk"]
        constraints = [
            models.CheckConstraint(
                condition=~Q(name="") & ~Q(say="") & ~Q(emergency=""), name="hazard_has_its_words"
            ),
            models.CheckConstraint(
                condition=Q(who__regex=r"^[CMGPW]+$"), name="hazard_who_in_letters"
            ),
            models.CheckConstraint(
                condition=Q(part__in=[part.value for part in Part]), name="hazard_part_known"
            ),
            models.CheckConstraint(condition=Q(mark__in=["s", "m", "h"]), name="hazard_mark_known"),
            models.CheckConstraint(
                condition=Q(
                    likelihood_before__gte=1,
                    likelihood_before__lte=5,
                    consequence_before__gte=1,
                    consequence_before__lte=5,
                    likelihood_after__gte=1,
                    likelihood_after__lte=5,
                    consequence_after__gte=1,
                    consequence_after__lte=5,
                ),
                name="hazard_scores_on_the_matrix",
            ),
        ]

    def __str__(self) -> str:
        return self.name


class HazardWords(Row):
    """A hazard in another language; what is empty is said in the language of the library."""

    hazard = models.ForeignKey(Hazard, on_delete=models.CASCADE, related_name="words")
    language = models.CharField(max_length=8, help_text="Two letters, such as de.")
    name = models.CharField(max_length=120, blank=True)
    controls_before = models.TextField(blank=True, max_length=600)
    controls_during = models.TextField(blank=True, max_length=600)
    say = models.CharField(max_length=120, blank=True)
    child_say = models.CharField(max_length=120, blank=True)
    emergency = models.CharField(max_length=300, blank=True)
    history = HistoricalRecords()

    class Meta:
        verbose_name_plural = "hazard words"
        ordering = ["hazard", "language"]
        constraints = [
            models.UniqueConstraint(
                fields=["hazard", "language"], name="hazard_words_once_a_language"
            ),
            models.CheckConstraint(
                condition=Q(language__regex=r"^[a-z]{2}$"), name="hazard_words_language_code"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.hazard} ({self.language})"
