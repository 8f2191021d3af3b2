"""A quote: a price in writing. Its lines and the offer's words are frozen when it is made."""

from __future__ import annotations

import datetime

from django.db import models
from django.db.models import Q

from bookings.models.offer import Offer
from bookings.models.party import Party
from bookings.models.trip import Booking
from guiding.core.row import Row


class Quote(Row):
    class Status(models.TextChoices):
        DRAFT = "draft", "draft"
        SENT = "sent", "sent"
        ACCEPTED = "accepted", "accepted"
        LAPSED = "lapsed", "lapsed"

    party = models.ForeignKey(Party, on_delete=models.PROTECT, related_name="quotes")
    booking = models.ForeignKey(
        Booking, on_delete=models.PROTECT, null=True, blank=True, related_name="quotes"
    )
    offer = models.ForeignKey(Offer, on_delete=models.PROTECT, related_name="quotes")
    offer_name = models.CharField(max_length=80)
    offer_summary = models.TextField(max_length=1000, blank=True)
    status = models.CharField(max_length=10, choices=Status, default=Status.DRAFT)
    made_at = models.DateTimeField()
    sent_at = models.DateTimeField(null=True, blank=True)
    answered_at = models.DateTimeField(null=True, blank=True)
    valid_until = models.DateTimeField()
    heads = models.PositiveSmallIntegerField()
    currency = models.CharField(max_length=3)
    total = models.DecimalField(max_digits=12, decimal_places=3)
    deposit = models.DecimalField(max_digits=12, decimal_places=3)
    children = models.PositiveSmallIntegerField(default=0)
    tax = models.DecimalField(
        max_digits=12, decimal_places=3, default=0, help_text="The tax in the total."
    )
    tax_included = models.BooleanField("the lines hold the tax", default=True)
    terms = models.JSONField(
        default=dict, blank=True, help_text="Ladder and days of payment as they stood."
    )
    replaces = models.OneToOneField(
        "self", on_delete=models.PROTECT, null=True, blank=True, related_name="replaced_by"
    )
    cost_estimate = models.JSONField(
        default=dict, blank=True, help_text="The cost sheet as it stood; never shown to the client."
    )

    class Meta:
        ordering = ["-made_at", "-pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(status__in=["draft", "sent", "accepted", "lapsed"]),
                name="quote_status_known",
            ),
            models.CheckConstraint(
                condition=Q(total__gte=0, deposit__gte=0, deposit__lte=models.F("total")),
                name="quote_sums_in_range",
            ),
            models.CheckConstraint(
                condition=Q(status="draft", sent_at=None)
                | Q(status="lapsed")
                | Q(status__in=["sent", "accepted"], sent_at__isnull=False),
                name="quote_sent_has_a_time",
            ),
            models.CheckConstraint(
                condition=Q(status="accepted", answered_at__isnull=False)
                | (~Q(status="accepted") & Q(answered_at=None)),
                name="quote_accepted_has_a_time",
            ),
        ]

    def __str__(self) -> str:
        return f"Price note {self.pk}: {self.offer_name}"

    @property
    def stands_until(self) -> datetime.datetime:
        """The last minute in which the price stands, as people read it: a day ends at 23:59."""
        return self.valid_until - datetime.timedelta(minutes=1)


class QuoteLine(Row):
    quote = models.ForeignKey(Quote, on_delete=models.CASCADE, related_name="lines")
    position = models.PositiveSmallIntegerField()
    text = models.CharField(max_length=200)
    quantity = models.DecimalField(max_digits=10, decimal_places=3)
    unit_price = models.DecimalField(max_digits=12, decimal_places=3)
    amount = models.DecimalField(max_digits=12, decimal_places=3)
    # None is exempt; 0 is taxed at nothing.
    tax_percent = models.DecimalField(
        max_digits=5, decimal_places=2, default=0, null=True, blank=True
    )

    class Meta:
        ordering = ["quote", "position"]
        constraints = [
            models.UniqueConstraint(fields=["quote", "position"], name="quote_line_once"),
            models.CheckConstraint(
                condition=Q(tax_percent=None) | Q(tax_percent__gte=0, tax_percent__lte=100),
                name="quote_line_tax_in_range",
            ),
        ]

    def __str__(self) -> str:
        return self.text
