"""The use log: what a thing has been through. Only ever added to."""

from __future__ import annotations

import uuid

from django.conf import settings
from django.db import models
from django.db.models import Q

from equipment.models.line import Line
from equipment.models.thing import Thing
from guiding.core.row import Row


class UseEntry(Row):
    """One use of one thing. A wrong entry is taken out by a later one that names it."""

    class Kind(models.TextChoices):
        TRIP = "trip", "trip"
        FLIGHT = "flight", "flight"
        CYCLE = "cycle", "cycle"
        DROP = "drop", "drop"
        CUT_BACK_M = "cut_back_m", "metres cut back"
        LOST_M = "lost_m", "metres lost"
        FISH = "fish", "fish fought"
        HOURS = "hours", "hours"
        KM = "km", "kilometres"
        LINE_REVERSED = "line_reversed", "line reversed"
        IMMERSION = "immersion", "under water"
        CRASH = "crash", "crash"
        SWELLING = "swelling", "swelling"
        REVERSAL = "reversal", "entry taken out"

    class Source(models.TextChoices):
        """Who told of it; a day and its drops may tell of the same flights."""

        SINGLE = "", "one entry"
        DAY = "day", "a whole day"
        DROP = "drop", "a drop"

    key = models.UUIDField(default=uuid.uuid4, unique=True, editable=False)
    thing = models.ForeignKey(Thing, on_delete=models.PROTECT, related_name="uses")
    line = models.ForeignKey(
        Line,
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="uses",
        db_index=False,  # `use_of_line` begins with it
    )
    kind = models.CharField(max_length=14, choices=Kind)
    amount = models.FloatField(default=1)
    at = models.DateTimeField()
    trip_uid = models.UUIDField(null=True, blank=True, db_index=True)
    reverses = models.OneToOneField(
        "self", on_delete=models.PROTECT, null=True, blank=True, related_name="reversed_by"
    )
    note = models.CharField(max_length=300, blank=True)
    source = models.CharField(max_length=4, choices=Source, blank=True, default="")
    # What the day told in all; `amount` is what of it stands in no drop.
    day_total = models.FloatField(null=True, blank=True)
    entered_at = models.DateTimeField(auto_now_add=True)
    entered_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.SET_NULL, null=True, blank=True, related_name="+"
    )

    class Meta:
        verbose_name_plural = "use entries"
        ordering = ["at", "pk"]
        indexes = [
            models.Index(fields=["thing", "kind", "at"], name="use_by_thing"),
            models.Index(fields=["thing", "-at", "-id"], name="use_newest_of_thing"),
            models.Index(fields=["-at", "-id"], name="use_newest"),
            models.Index(fields=["line", "at"], name="use_of_line"),
        ]
        constraints = [
            models.CheckConstraint(
                condition=Q(
                    kind__in=[
                        "trip",
                        "flight",
                        "cycle",
                        "drop",
                        "cut_back_m",
                        "lost_m",
                        "fish",
                        "hours",
                        "km",
                        "line_reversed",
                        "immersion",
                        "crash",
                        "swelling",
                        "reversal",
                    ]
                ),
                name="use_kind_known",
            ),
            models.CheckConstraint(condition=Q(amount__gt=0), name="use_amount_above_nothing"),
            # SQLite keeps no infinity out by itself, and no log needs a number of this size.
            models.CheckConstraint(condition=Q(amount__lte=1_000_000), name="use_amount_finite"),
            models.CheckConstraint(
                condition=Q(kind="reversal", reverses__isnull=False)
                | (~Q(kind="reversal") & Q(reverses=None)),
                name="use_reversal_names_its_entry",
            ),
            models.CheckConstraint(
                condition=~Q(kind__in=["cut_back_m", "lost_m", "line_reversed"])
                | Q(line__isnull=False),
                name="use_of_line_names_the_line",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.thing}: {self.get_kind_display()} {self.amount:g}"


_Use, _Thing = UseEntry.Kind, Thing.Kind
USED_UP_KINDS = frozenset({_Use.CUT_BACK_M, _Use.LOST_M})
METRE_KINDS = USED_UP_KINDS | {_Use.LINE_REVERSED}
# What a drop wears and a day is asked for as well.
TOLD_TWICE = frozenset({_Use.FLIGHT, _Use.CYCLE, _Use.DROP})
# What takes a thing out of use at once, until somebody has looked at it.
QUARANTINE_KINDS = frozenset({_Use.IMMERSION, _Use.CRASH, _Use.SWELLING})
# Kinds of use that only some things can have; the others fit every thing.
_ONLY_FOR = {
    _Use.FLIGHT: {_Thing.CRAFT, _Thing.PACK, _Thing.CLIP},
    _Use.CYCLE: {_Thing.PACK},
    _Use.DROP: {_Thing.CRAFT, _Thing.PACK, _Thing.CLIP, _Thing.REEL, _Thing.ROD},
    _Use.CUT_BACK_M: {_Thing.REEL},
    _Use.LOST_M: {_Thing.REEL},
    _Use.FISH: {_Thing.REEL, _Thing.ROD},
    _Use.KM: {_Thing.VEHICLE},
    _Use.LINE_REVERSED: {_Thing.REEL},
    _Use.CRASH: {_Thing.CRAFT, _Thing.PACK, _Thing.CLIP, _Thing.VEHICLE},
    _Use.SWELLING: {_Thing.PACK},
}


def fits(use_kind: str, thing_kind: str) -> bool:
    """Whether a thing of that kind can have that use at all."""
    return use_kind not in _ONLY_FOR or thing_kind in _ONLY_FOR[_Use(use_kind)]


class UseTally(Row):
    """What the standing entries of a thing add up to: a sum kept so that lists need not add up
    the whole log. The actions that write the log rebuild it in the same transaction."""

    thing = models.OneToOneField(
        Thing, on_delete=models.CASCADE, related_name="tally", primary_key=True
    )
    trips = models.PositiveIntegerField(default=0)
    flights = models.PositiveIntegerField(default=0)
    cycles = models.PositiveIntegerField(default=0)
    drops = models.PositiveIntegerField(default=0)
    fish = models.PositiveIntegerField(default=0)
    hours = models.FloatField(default=0)
    km = models.FloatField(default=0)
    cut_back_m = models.FloatField(default=0)
    lost_m = models.FloatField(default=0)
    first_at = models.DateTimeField(null=True, blank=True)
    last_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        verbose_name_plural = "use tallies"
        constraints = [
            models.CheckConstraint(
                condition=Q(
                    trips__gte=0,
                    flights__gte=0,
                    cycles__gte=0,
                    drops__gte=0,
                    fish__gte=0,
                    hours__gte=0,
                    km__gte=0,
                    cut_back_m__gte=0,
                    lost_m__gte=0,
                ),
                name="tally_not_negative",
            )
        ]

    def __str__(self) -> str:
        return f"{self.thing}: {self.trips} trip{'s' * (self.trips != 1)}"
