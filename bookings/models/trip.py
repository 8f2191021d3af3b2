"""The day that is sold, and what a party takes of it. States after RFC 5545 section 3.8.1.11."""

from __future__ import annotations

import datetime
import uuid

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import F, Q

from bookings.models.offer import MOST_HEADS, Offer
from bookings.models.party import Party
from guiding.core.row import Row

FIRST_INSTANT = datetime.datetime(2000, 1, 1, tzinfo=datetime.UTC)


class Trip(Row):
    class Status(models.TextChoices):
        TENTATIVE = "tentative", "tentative"
        CONFIRMED = "confirmed", "confirmed"
        CANCELLED = "cancelled", "cancelled"
        FISHED = "fished", "fished"

    uid = models.UUIDField(default=uuid.uuid4, unique=True, editable=False)
    sequence = models.PositiveIntegerField(default=0, editable=False)
    changed_at = models.DateTimeField()
    offer = models.ForeignKey(Offer, on_delete=models.PROTECT, related_name="trips")
    status = models.CharField(max_length=10, choices=Status, default=Status.TENTATIVE)
    starts_at = models.DateTimeField("pick-up")
    ends_at = models.DateTimeField("drop-off")
    meeting_place = models.CharField(max_length=200)
    meeting_latitude = models.FloatField(null=True, blank=True)
    meeting_longitude = models.FloatField(null=True, blank=True)
    places = models.PositiveSmallIntegerField(
        validators=[MinValueValidator(1), MaxValueValidator(MOST_HEADS)]
    )
    places_taken = models.PositiveSmallIntegerField(default=0, editable=False)
    note = models.TextField(blank=True, max_length=3000)
    cancelled_reason = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering = ["starts_at", "pk"]
        indexes = [models.Index(fields=["starts_at"], name="trip_by_day")]
        constraints = [
            models.CheckConstraint(
                condition=Q(status__in=["tentative", "confirmed", "cancelled", "fished"]),
                name="trip_status_known",
            ),
            models.CheckConstraint(
                condition=Q(ends_at__gt=F("starts_at")), name="trip_ends_after_it_begins"
            ),
            models.CheckConstraint(
                condition=Q(starts_at__gte=FIRST_INSTANT), name="trip_day_is_modern"
            ),
            models.CheckConstraint(
                condition=Q(places__gte=1, places__lte=MOST_HEADS), name="trip_places_in_range"
            ),
            # The counter and this check are what keeps a place from being sold twice.
            models.CheckConstraint(
                condition=Q(places_taken__lte=F("places")), name="trip_not_oversold"
            ),
            models.CheckConstraint(
                condition=Q(meeting_latitude=None, meeting_longitude=None)
                | Q(
                    meeting_latitude__gte=-90,
                    meeting_latitude__lte=90,
                    meeting_longitude__gte=-180,
                    meeting_longitude__lte=180,
                ),
                name="trip_meeting_on_the_globe",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.offer} {self.starts_at:%Y-%m-%d}"

    @property
    def places_left(self) -> int:
        return self.places - self.places_taken


class Booking(Row):
    """A party's place on a trip; while tentative it is a hold that ends by itself."""

    class Status(models.TextChoices):
        TENTATIVE = "tentative", "tentative"
        CONFIRMED = "confirmed", "confirmed"
        CANCELLED = "cancelled", "cancelled"

    party = models.ForeignKey(Party, on_delete=models.PROTECT, related_name="bookings")
    trip = models.ForeignKey(Trip, on_delete=models.PROTECT, related_name="bookings")
    status = models.CharField(max_length=10, choices=Status, default=Status.TENTATIVE)
    heads = models.PositiveSmallIntegerField(
        validators=[MinValueValidator(1), MaxValueValidator(MOST_HEADS)]
    )
    hold_until = models.DateTimeField(null=True, blank=True)
    booked_at = models.DateTimeField()
    cancelled_at = models.DateTimeField(null=True, blank=True)
    price = models.DecimalField(max_digits=12, decimal_places=3, null=True, blank=True)
    deposit = models.DecimalField(max_digits=12, decimal_places=3, null=True, blank=True)
    agreed_on = models.DateField(null=True, blank=True)
    # Agreed, and by the offer the day is theirs only once the first part has come in.
    awaits_deposit = models.BooleanField(default=False, editable=False)
    currency = models.CharField(max_length=3)

    class Meta:
        ordering = ["trip", "pk"]
        indexes = [models.Index(fields=["status", "hold_until"], name="booking_holds")]
        constraints = [
            models.CheckConstraint(
                condition=Q(status__in=["tentative", "confirmed", "cancelled"]),
                name="booking_status_known",
            ),
            models.CheckConstraint(
                condition=Q(heads__gte=1, heads__lte=MOST_HEADS), name="booking_heads_in_range"
            ),
            models.UniqueConstraint(
                fields=["party", "trip"],
                condition=~Q(status="cancelled"),
                name="booking_once_per_party_and_trip",
            ),
            models.CheckConstraint(
                condition=Q(awaits_deposit=False) | Q(status="confirmed"),
                name="booking_awaits_once_agreed",
            ),
            models.CheckConstraint(
                condition=~Q(status="tentative") | Q(hold_until__isnull=False),
                name="booking_hold_has_an_end",
            ),
            models.CheckConstraint(
                condition=Q(status="cancelled", cancelled_at__isnull=False)
                | (~Q(status="cancelled") & Q(cancelled_at=None)),
                name="booking_cancelled_has_a_time",
            ),
            models.CheckConstraint(
                condition=Q(price=None) | Q(price__gte=0), name="booking_price_not_negative"
            ),
            models.CheckConstraint(
                condition=Q(deposit=None)
                | Q(price__isnull=False, deposit__gte=0, deposit__lte=F("price")),
                name="booking_deposit_within_price",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.party} on {self.trip}"

    @property
    def is_fixed(self) -> bool:
        """Whether the day is this party's: agreed, and nothing awaited that the offer asks for."""
        return self.status == self.Status.CONFIRMED and not self.awaits_deposit
