"""An offer: a kind of day that can be sold, as data."""

from __future__ import annotations

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from simple_history.models import HistoricalRecords

from guiding.core.row import Row

MOST_HEADS = 60  # above this it is an event, not a guided day


class CancellationLadder(Row):
    """Who cancels when, and what then happens to the money; the steps hang below it."""

    name = models.CharField(max_length=80, unique=True)

    class Meta:
        ordering = ["name"]

    def __str__(self) -> str:
        return self.name


class LadderStep(Row):
    """From this many days before the trip on, this share of the price is kept."""

    class Base(models.TextChoices):
        PRICE = "price", "of the price"
        DEPOSIT = "deposit", "of the deposit"

    ladder = models.ForeignKey(CancellationLadder, on_delete=models.CASCADE, related_name="steps")
    days_before = models.PositiveSmallIntegerField(
        help_text="The step holds from this many days before the trip."
    )
    keep_percent = models.DecimalField(max_digits=5, decimal_places=2)
    base = models.CharField(max_length=8, choices=Base, default=Base.PRICE)
    may_move = models.BooleanField("may move the deposit to another date once", default=False)
    deposit_if_refilled = models.BooleanField(
        "if somebody else takes the place, only the deposit is kept", default=False
    )

    class Meta:
        ordering = ["ladder", "-days_before"]
        constraints = [
            models.UniqueConstraint(fields=["ladder", "days_before"], name="ladder_step_once"),
            models.CheckConstraint(
                condition=models.Q(keep_percent__gte=0, keep_percent__lte=100),
                name="ladder_step_keeps_a_share",
            ),
        ]

    def __str__(self) -> str:
        days = f"{self.days_before} day{'s' * (self.days_before != 1)}"
        return f"{days} before: {self.keep_percent:g} % {self.get_base_display()}"


class Offer(Row):
    class Basis(models.TextChoices):
        PER_HEAD = "per_head", "per head"
        WHOLE_DAY = "whole_day", "whole day"
        STEPS = "steps", "steps by party"

    class TideWanted(models.TextChoices):
        ANY = "any", "any tide"
        RISING = "rising", "rising tide"
        FALLING = "falling", "falling tide"
        HIGH = "high", "around high water"
        LOW = "low", "around low water"

    class FixedBy(models.TextChoices):
        YES = "yes", "with their yes"
        DEPOSIT = "deposit", "once the first part has come in"

    name = models.CharField(max_length=80)
    summary = models.TextField("what the day is", max_length=1000, blank=True)
    bring = models.TextField("what to bring", max_length=1000, blank=True)
    supplied = models.TextField("what we supply", max_length=1000, blank=True)
    hours = models.DecimalField(
        max_digits=4,
        decimal_places=1,
        validators=[MinValueValidator(1), MaxValueValidator(24)],
        help_text="From pick-up to drop-off.",
    )
    fishing_hours = models.DecimalField(
        max_digits=4,
        decimal_places=1,
        default=6,
        validators=[MinValueValidator(1), MaxValueValidator(24)],
    )
    places = models.PositiveSmallIntegerField(
        default=4, validators=[MinValueValidator(1), MaxValueValidator(MOST_HEADS)]
    )
    minimum_age = models.PositiveSmallIntegerField(default=8)
    heads_per_guide = models.PositiveSmallIntegerField(
        default=4, validators=[MinValueValidator(1)], help_text="House default 4 on a beach."
    )
    shared = models.BooleanField("several parties may share the day", default=False)
    basis = models.CharField("price basis", max_length=10, choices=Basis, default=Basis.PER_HEAD)
    price = models.DecimalField(
        max_digits=12,
        decimal_places=3,
        validators=[MinValueValidator(0)],
        help_text="Per head, or for the whole day.",
    )
    child_price = models.DecimalField(
        max_digits=12, decimal_places=3, null=True, blank=True, validators=[MinValueValidator(0)]
    )
    child_until_age = models.PositiveSmallIntegerField(default=15)
    minimum_charge = models.DecimalField(
        max_digits=12, decimal_places=3, default=0, validators=[MinValueValidator(0)]
    )
    tax_percent = models.DecimalField(
        max_digits=5,
        decimal_places=2,
        default=0,
        validators=[MinValueValidator(0), MaxValueValidator(100)],
        help_text="As Setup says, inside the price or on top. 0 where the business is exempt.",
    )
    deposit_percent = models.DecimalField(
        max_digits=5,
        decimal_places=2,
        default=30,
        validators=[MinValueValidator(0), MaxValueValidator(100)],
    )
    fixed_by = models.CharField(
        "the day is theirs",
        max_length=8,
        choices=FixedBy,
        default=FixedBy.YES,
        help_text="Price note, mails and their own page promise it so; nothing else does.",
    )
    ladder = models.ForeignKey(
        CancellationLadder, on_delete=models.PROTECT, null=True, blank=True, related_name="offers"
    )
    tide_wanted = models.CharField(max_length=8, choices=TideWanted, default=TideWanted.ANY)
    night = models.BooleanField("may run into the night", default=False)
    valid_from = models.DateField(null=True, blank=True)
    valid_until = models.DateField(null=True, blank=True)
    history = HistoricalRecords()

    class Meta:
        ordering = ["name", "pk"]
        constraints = [
            models.CheckConstraint(
                condition=models.Q(basis__in=["per_head", "whole_day", "steps"]),
                name="offer_basis_known",
            ),
            models.CheckConstraint(
                condition=models.Q(tide_wanted__in=["any", "rising", "falling", "high", "low"]),
                name="offer_tide_known",
            ),
            models.CheckConstraint(
                condition=models.Q(fixed_by__in=["yes", "deposit"]), name="offer_fixed_by_known"
            ),
            models.CheckConstraint(
                condition=models.Q(places__gte=1, places__lte=MOST_HEADS),
                name="offer_places_in_range",
            ),
            models.CheckConstraint(
                condition=models.Q(hours__gte=1, hours__lte=24), name="offer_hours_in_range"
            ),
            models.CheckConstraint(
                condition=models.Q(fishing_hours__lte=models.F("hours")),
                name="offer_fishing_within_the_day",
            ),
            models.CheckConstraint(
                condition=models.Q(price__gte=0, minimum_charge__gte=0)
                & (models.Q(child_price=None) | models.Q(child_price__gte=0)),
                name="offer_prices_not_negative",
            ),
            models.CheckConstraint(
                condition=models.Q(deposit_percent__gte=0, deposit_percent__lte=100)
                & models.Q(tax_percent__gte=0, tax_percent__lte=100),
                name="offer_shares_in_range",
            ),
            models.CheckConstraint(
                condition=models.Q(valid_until=None)
                | models.Q(valid_from=None)
                | models.Q(valid_until__gte=models.F("valid_from")),
                name="offer_ends_after_it_begins",
            ),
        ]

    def __str__(self) -> str:
        return self.name


class OfferStep(Row):
    """For offers priced by steps: from this many heads on, the whole day costs this."""

    offer = models.ForeignKey(Offer, on_delete=models.CASCADE, related_name="steps")
    heads_from = models.PositiveSmallIntegerField(validators=[MinValueValidator(1)])
    price = models.DecimalField(max_digits=12, decimal_places=3, validators=[MinValueValidator(0)])

    class Meta:
        ordering = ["offer", "heads_from"]
        constraints = [
            models.UniqueConstraint(fields=["offer", "heads_from"], name="offer_step_once"),
            models.CheckConstraint(
                condition=models.Q(heads_from__gte=1, price__gte=0), name="offer_step_in_range"
            ),
        ]

    def __str__(self) -> str:
        return f"from {self.heads_from}: {self.price}"


class OfferExtra(Row):
    """Something a party may add: per head or once."""

    offer = models.ForeignKey(Offer, on_delete=models.CASCADE, related_name="extras")
    name = models.CharField(max_length=80)
    price = models.DecimalField(max_digits=12, decimal_places=3, validators=[MinValueValidator(0)])
    per_head = models.BooleanField(default=True)
    tax_percent = models.DecimalField(
        max_digits=5,
        decimal_places=2,
        null=True,
        blank=True,
        validators=[MinValueValidator(0), MaxValueValidator(100)],
        help_text="Empty: as the offer.",
    )

    class Meta:
        ordering = ["offer", "name"]
        constraints = [
            models.UniqueConstraint(fields=["offer", "name"], name="offer_extra_once"),
            models.CheckConstraint(
                condition=models.Q(price__gte=0), name="offer_extra_not_negative"
            ),
            models.CheckConstraint(
                condition=models.Q(tax_percent=None)
                | models.Q(tax_percent__gte=0, tax_percent__lte=100),
                name="offer_extra_tax_in_range",
            ),
        ]

    def __str__(self) -> str:
        return self.name
