"""Lines of a bank statement, read from a file once, and what became of each."""

from __future__ import annotations

from django.db import models
from django.db.models import Q

from bookings.models.money import MoneyEntry
from guiding.core.row import Row


class BankLine(Row):
    """One line of a statement: proposed to somebody, taken as a payment, or set aside."""

    # The same line read from the same or an overlapping file again is the same line.
    fingerprint = models.CharField(max_length=64, unique=True)
    booked_on = models.DateField()
    amount = models.DecimalField(max_digits=12, decimal_places=3)
    currency = models.CharField(max_length=3)
    payer = models.CharField(max_length=140, blank=True)
    text = models.CharField(max_length=300, blank=True)
    reference = models.CharField(max_length=25, blank=True)
    read_at = models.DateTimeField()
    entry = models.OneToOneField(
        MoneyEntry, on_delete=models.PROTECT, null=True, blank=True, related_name="bank_line"
    )
    set_aside = models.CharField("why it is no payment of a client", max_length=200, blank=True)

    class Meta:
        ordering = ["-booked_on", "-pk"]
        indexes = [
            models.Index(
                fields=["-booked_on", "-id"],
                condition=Q(entry=None, set_aside=""),
                name="bank_lines_to_do",
            )
        ]
        constraints = [
            models.CheckConstraint(
                condition=Q(entry=None) | Q(set_aside=""), name="bank_line_has_one_end"
            ),
            models.CheckConstraint(condition=~Q(amount=0), name="bank_line_moves_money"),
        ]

    def __str__(self) -> str:
        return f"{self.booked_on}: {self.amount} {self.payer}"
