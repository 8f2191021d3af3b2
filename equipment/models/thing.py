"""A thing of the kit: what every kind has in common."""

from __future__ import annotations

import datetime
from decimal import Decimal
from functools import cache

from django.core.exceptions import ValidationError
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import F, Q
from django.urls import reverse
from simple_history.models import HistoricalRecords

from equipment.models.typed import AsTyped
from guiding.core.row import Row

FIRST_DAY, LAST_DAY = datetime.date(1950, 1, 1), datetime.date(2150, 1, 1)


def check_day(day: datetime.date) -> None:
    """Refuse a day that is a slip of the keyboard."""
    if not FIRST_DAY <= day < LAST_DAY:
        raise ValidationError(
            f"The year {day.year} cannot be right: give a day from {FIRST_DAY.year} "
            f"to {LAST_DAY.year - 1}."
        )


def thing_url(kind: str, pk: int) -> str:
    """The address of a thing's page: craft, packs and reels have one of their own."""
    name = kind if kind in ("craft", "pack", "reel") else "thing"
    before, after = _url_halves(name)
    return f"{before}{pk}{after}"


@cache
def _url_halves(name: str) -> tuple[str, str]:
    """What stands before and after the id: it stays as it is while the desk runs, and a list of
    hundreds of things asks for it each time."""
    before, _, after = reverse(name, args=[0]).rpartition("0")
    return before, after


class Thing(AsTyped):
    """One numbered thing; craft, packs, reels and vehicles add columns in a table of their own."""

    class Kind(models.TextChoices):
        CRAFT = "craft", "craft"
        PACK = "pack", "flight pack"
        REEL = "reel", "reel"
        ROD = "rod", "rod"
        CLIP = "clip", "release clip"
        HOLDER = "holder", "rod holder"
        SAFETY = "safety", "safety kit"
        FIRST_AID = "first_aid", "first-aid kit"
        BEACON = "beacon", "beacon"
        BUOYANCY = "buoyancy", "buoyancy"
        VEHICLE = "vehicle", "vehicle"
        RECOVERY = "recovery", "recovery kit"

    class BookMethod(models.TextChoices):
        STRAIGHT_LINE = "straight_line", "straight line"
        DECLINING_BALANCE = "declining_balance", "declining balance, 200 %"

    kind = models.CharField(max_length=10, choices=Kind, editable=False)
    label = models.CharField(
        max_length=40, unique=True, help_text="What is written on it, such as P3 or Reel 2."
    )
    model_note = models.CharField("maker and model", max_length=120, blank=True)
    serial = models.CharField("serial number", max_length=80, blank=True)
    bought_on = models.DateField(null=True, blank=True, validators=[check_day])
    price = models.DecimalField(
        max_digits=12, decimal_places=3, null=True, blank=True, validators=[MinValueValidator(0)]
    )
    salvage = models.DecimalField(
        "worth at the end",
        max_digits=12,
        decimal_places=3,
        default=Decimal(0),
        validators=[MinValueValidator(0)],
    )
    expires_on = models.DateField(
        "printed date",
        null=True,
        blank=True,
        validators=[check_day],
        help_text="The expiry date printed on it, if there is one.",
    )
    expected_uses = models.PositiveIntegerField(
        "uses expected in its life",
        null=True,
        blank=True,
        validators=[MinValueValidator(1)],
        help_text="Flights of a craft, kilometres of a vehicle, trips of anything else.",
    )
    book_life_years = models.PositiveSmallIntegerField(
        "years on the books",
        null=True,
        blank=True,
        validators=[MinValueValidator(1), MaxValueValidator(100)],
    )
    book_method = models.CharField(
        "written off by", max_length=20, choices=BookMethod, default=BookMethod.STRAIGHT_LINE
    )
    retired_on = models.DateField(null=True, blank=True)
    retired_reason = models.CharField(max_length=200, blank=True)
    note = models.TextField(blank=True, max_length=2000)
    history = HistoricalRecords(inherit=True)

    class Meta:
        ordering = ["kind", "label"]
        constraints = [
            models.CheckConstraint(
                condition=Q(
                    kind__in=[
                        "craft",
                        "pack",
                        "reel",
                        "rod",
                        "clip",
                        "holder",
                        "safety",
                        "first_aid",
                        "beacon",
                        "buoyancy",
                        "vehicle",
                        "recovery",
                    ]
                ),
                name="thing_kind_known",
            ),
            models.CheckConstraint(condition=~Q(label=""), name="thing_has_a_label"),
            models.CheckConstraint(
                condition=Q(salvage__gte=0) & (Q(price=None) | Q(price__gte=F("salvage"))),
                name="thing_worth_at_most_its_price",
                violation_error_message="What it is worth at the end is more than its price.",
            ),
            models.CheckConstraint(
                condition=Q(retired_on=None)
                | Q(bought_on=None)
                | Q(retired_on__gte=F("bought_on")),
                name="thing_retired_after_bought",
                violation_error_message="It cannot be retired before it was bought.",
            ),
            models.CheckConstraint(
                condition=(Q(bought_on=None) | Q(bought_on__gte=FIRST_DAY, bought_on__lt=LAST_DAY))
                & (Q(expires_on=None) | Q(expires_on__gte=FIRST_DAY, expires_on__lt=LAST_DAY)),
                name="thing_days_in_range",
            ),
            models.CheckConstraint(
                condition=(Q(expected_uses=None) | Q(expected_uses__gte=1))
                & (Q(book_life_years=None) | Q(book_life_years__gte=1, book_life_years__lte=100)),
                name="thing_life_in_range",
            ),
            models.CheckConstraint(
                condition=Q(book_method__in=["straight_line", "declining_balance"]),
                name="thing_book_method_known",
            ),
        ]

    def __str__(self) -> str:
        return self.label

    def get_absolute_url(self) -> str:
        return thing_url(self.kind, self.pk)


class Defect(Row):
    """Something wrong with a thing: it is grounded until somebody signs it off."""

    thing = models.ForeignKey(Thing, on_delete=models.PROTECT, related_name="defects")
    found_at = models.DateTimeField()
    what = models.CharField(max_length=300)
    signed_off_at = models.DateTimeField(null=True, blank=True)
    signed_off_by = models.CharField(max_length=100, blank=True)
    signed_off_reason = models.CharField(max_length=300, blank=True)
    # A crash, a dip or a swelling in the use log opens a defect of its own; taking the entry out
    # of the log closes it again, because a defect of an entry that no longer stands is no defect.
    entry = models.OneToOneField(
        "equipment.UseEntry",
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        editable=False,
        related_name="defect",
    )

    class Meta:
        ordering = ["-found_at", "-pk"]
        indexes = [
            models.Index(fields=["thing"], condition=Q(signed_off_at=None), name="defect_open")
        ]
        constraints = [
            models.CheckConstraint(
                condition=Q(signed_off_at=None, signed_off_by="", signed_off_reason="")
                | (
                    Q(signed_off_at__gte=F("found_at"))
                    & ~Q(signed_off_by="")
                    & ~Q(signed_off_reason="")
                ),
                name="defect_signed_off_with_name_and_reason",
            )
        ]

    def __str__(self) -> str:
        return f"{self.thing}: {self.what}"

    @property
    def event(self) -> str:
        """The kind of use that opened it: crash, immersion or swelling; empty for a found one."""
        return self.entry.kind if self.entry else ""
