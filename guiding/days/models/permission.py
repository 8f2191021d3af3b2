"""A permission to drop bait from the air: who gave it, for which spots, from when to when.

Flying and fishing answer to different authorities; a day is planned for dropping only where one
paper of each kind proves it for the place and the date.
"""

from __future__ import annotations

import datetime
import secrets

from django.core.validators import MinValueValidator
from django.db import models
from django.db.models import F, Q
from simple_history.models import HistoricalRecords

from equipment.models.typed import AsTyped
from guiding.days.models.spot import Spot


def unguessable_place(_permit: DropPermit, filename: str) -> str:
    """A name that nobody can guess and that says nothing."""
    return f"permits/{secrets.token_hex(16)}.{filename.rsplit('.', 1)[-1]}"


class DropPermit(AsTyped):
    class Kind(models.TextChoices):
        AVIATION = "aviation", "aviation"
        FISHERY = "fishery", "fishery"

    kind = models.CharField("answers to", max_length=8, choices=Kind)
    authority = models.CharField("issued by", max_length=120)
    number = models.CharField(max_length=80)
    spots = models.ManyToManyField(
        Spot, related_name="permits", help_text="The spots that the paper itself covers."
    )
    valid_from = models.DateField()
    valid_until = models.DateField(
        "last day it holds",
        help_text="Where no end is printed, the day on which you will ask again.",
    )
    covers_dropping = models.BooleanField(
        "the paper itself allows bait to be dropped",
        default=False,
        help_text="A general licence to fly or to fish does not.",
    )
    copy_kept = models.CharField(
        "where the copy is kept",
        max_length=200,
        blank=True,
        help_text="Folder, drawer or file. Without a copy the permission counts as not proven.",
    )
    file = models.FileField(upload_to=unguessable_place, max_length=80, blank=True)
    height_limit_m = models.FloatField(
        "height limit, m", null=True, blank=True, validators=[MinValueValidator(1)]
    )
    people_distance_m = models.FloatField(
        "distance to people, m", null=True, blank=True, validators=[MinValueValidator(0)]
    )
    conditions = models.TextField(blank=True, max_length=1000)
    withdrawn_on = models.DateField(
        "withdrawn on", null=True, blank=True, help_text="From this day on it holds no more."
    )
    withdrawn_reason = models.CharField(max_length=200, blank=True)
    history = HistoricalRecords(m2m_fields=[spots])

    class Meta:
        ordering = ["kind", "-valid_until", "pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(kind__in=["aviation", "fishery"]), name="permit_kind_known"
            ),
            models.CheckConstraint(
                condition=~Q(number="") & ~Q(authority=""), name="permit_names_its_source"
            ),
            models.CheckConstraint(
                condition=Q(valid_until__gte=F("valid_from")),
                name="permit_ends_after_it_begins",
                violation_error_message="The last day lies before the first.",
            ),
            models.CheckConstraint(
                condition=(Q(height_limit_m=None) | Q(height_limit_m__gt=0))
                & (Q(people_distance_m=None) | Q(people_distance_m__gte=0)),
                name="permit_limits_in_range",
            ),
            models.CheckConstraint(
                condition=Q(withdrawn_on=None) | ~Q(withdrawn_reason=""),
                name="permit_withdrawn_with_a_reason",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.authority} {self.number}"

    @property
    def is_on_file(self) -> bool:
        """Whether a copy is there to show: a scan here, or a place where the paper is kept."""
        return bool(self.file) or bool(self.copy_kept.strip())

    @property
    def holds_until(self) -> datetime.date:
        """The last day it holds, a withdrawal counted."""
        if self.withdrawn_on is None:
            return self.valid_until
        return min(self.valid_until, self.withdrawn_on - datetime.timedelta(days=1))
