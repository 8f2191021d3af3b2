"""What a party wishes for beside its dates: weekdays, hours, how the bait goes out."""

from __future__ import annotations

from django.core.validators import MaxValueValidator, RegexValidator
from django.db import models
from django.db.models import Q

from bookings.models import Party
from guiding.core.row import Row
from guiding.days.models.spot import Spot


class PartyWish(Row):
    """One row a party. `weekdays` are the digits of the days wished for, Monday 0; empty: any."""

    class Bait(models.TextChoices):
        ANY = "any", "flown or cast"
        FLOWN = "flown", "flown out"
        CAST = "cast", "cast by hand"

    class Moon(models.TextChoices):
        ANY = "any", "any moon"
        SPRINGS = "springs", "springs: new or full"
        DARK = "dark", "dark nights"

    party = models.OneToOneField(Party, on_delete=models.CASCADE, related_name="wish")
    weekdays = models.CharField(
        max_length=7, blank=True, validators=[RegexValidator(r"^0?1?2?3?4?5?6?$")]
    )
    earliest = models.TimeField("picked up no earlier than", null=True, blank=True)
    latest = models.TimeField("back no later than", null=True, blank=True)
    youngest = models.PositiveSmallIntegerField(
        "age of the youngest", null=True, blank=True, validators=[MaxValueValidator(110)]
    )
    bait = models.CharField(max_length=5, choices=Bait, default=Bait.ANY)
    moon = models.CharField(max_length=7, choices=Moon, default=Moon.ANY)
    spot = models.ForeignKey(
        Spot, on_delete=models.SET_NULL, null=True, blank=True, related_name="wishes"
    )

    class Meta:
        verbose_name_plural = "party wishes"
        constraints = [
            models.CheckConstraint(
                condition=Q(bait__in=["any", "flown", "cast"]), name="wish_bait_known"
            ),
            models.CheckConstraint(
                condition=Q(moon__in=["any", "springs", "dark"]), name="wish_moon_known"
            ),
            models.CheckConstraint(
                condition=Q(youngest=None) | Q(youngest__lte=110), name="wish_age_in_range"
            ),
        ]

    def __str__(self) -> str:
        return f"wishes of {self.party}"
