"""Getting a day ready: chargers, what is loaded, and what has been ticked."""

from __future__ import annotations

from django.conf import settings
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import Q
from simple_history.models import HistoricalRecords

from guiding.core.row import Row
from guiding.days.models.plan import DayPlan


class Charger(Row):
    """A charger for flight packs. `power_w` of the whole charger, shared by its slots."""

    class Place(models.TextChoices):
        HOME = "home", "stays at home"
        BEACH = "beach", "goes to the beach"

    label = models.CharField(max_length=40, unique=True)
    place = models.CharField(max_length=5, choices=Place, default=Place.HOME)
    power_w = models.FloatField(
        "power of the whole charger", validators=[MinValueValidator(1), MaxValueValidator(20_000)]
    )
    slots = models.PositiveSmallIntegerField(
        "packs at once", default=1, validators=[MinValueValidator(1), MaxValueValidator(20)]
    )
    source_wh = models.FloatField(
        "what feeds it holds",
        null=True,
        blank=True,
        validators=[MinValueValidator(0), MaxValueValidator(100_000)],
        help_text="A battery box. Empty where it does not run out: mains or a generator.",
    )
    in_use = models.BooleanField(default=True)
    note = models.CharField(max_length=200, blank=True)
    history = HistoricalRecords()

    class Meta:
        ordering = ["place", "label"]
        constraints = [
            models.CheckConstraint(condition=~Q(label=""), name="charger_has_a_label"),
            models.CheckConstraint(
                condition=Q(place__in=["home", "beach"]), name="charger_place_known"
            ),
            models.CheckConstraint(
                condition=Q(power_w__gt=0, slots__gte=1, slots__lte=20)
                & (Q(source_wh=None) | Q(source_wh__gte=0)),
                name="charger_figures_in_range",
            ),
        ]

    def __str__(self) -> str:
        return self.label


class LoadLine(Row):
    """Something to load that is no numbered thing: water, lights, a spare line."""

    class Group(models.TextChoices):
        PEOPLE = "people", "People first"
        WAY = "way", "The way there and back"
        PAPERS = "papers", "Papers"
        FLYING = "flying", "Flying"
        FISHING = "fishing", "Fishing"
        COMFORT = "comfort", "Comfort"

    class Per(models.TextChoices):
        TRIP = "trip", "trip"
        HEAD = "head", "head"
        MINOR = "minor", "minor"

    group = models.CharField(max_length=8, choices=Group)
    text = models.CharField("what to load", max_length=80)
    count = models.PositiveSmallIntegerField(
        "how many", default=1, validators=[MinValueValidator(1), MaxValueValidator(500)]
    )
    per = models.CharField("for each", max_length=5, choices=Per, default=Per.TRIP)
    position = models.PositiveSmallIntegerField("place in its group", default=1)
    in_use = models.BooleanField(default=True)
    history = HistoricalRecords()

    class Meta:
        ordering = ["position", "pk"]
        constraints = [
            models.UniqueConstraint(fields=["group", "text"], name="load_line_once"),
            models.CheckConstraint(
                condition=Q(group__in=["people", "way", "papers", "flying", "fishing", "comfort"]),
                name="load_group_known",
            ),
            models.CheckConstraint(
                condition=Q(per__in=["trip", "head", "minor"], count__gte=1) & ~Q(text=""),
                name="load_line_in_range",
            ),
        ]

    def __str__(self) -> str:
        return self.text


class PrepMark(Row):
    """What has been done about one line of a day's lists: who takes it, done, back again."""

    plan = models.ForeignKey(DayPlan, on_delete=models.CASCADE, related_name="prep_marks")
    item = models.CharField(max_length=80)
    who = models.CharField("who takes it", max_length=60, blank=True)
    done_at = models.DateTimeField(null=True, blank=True)
    back_at = models.DateTimeField(null=True, blank=True)
    by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.SET_NULL, null=True, blank=True, related_name="+"
    )

    class Meta:
        ordering = ["plan", "item"]
        constraints = [
            models.UniqueConstraint(fields=["plan", "item"], name="prep_mark_once"),
            models.CheckConstraint(condition=~Q(item=""), name="prep_mark_names_its_line"),
        ]

    def __str__(self) -> str:
        return self.item
