"""Money: entries that are only ever added, each with a number of its series that has no gap.

What a party owes is the sum of its shares. A wrong entry is taken out by a later one that names it.
"""

from __future__ import annotations

import uuid
from decimal import Decimal

from django.conf import settings
from django.db import models
from django.db.models import F, Q
from django.db.models.functions import Round

from bookings.models.party import Party
from bookings.models.quote import Quote
from bookings.models.trip import Booking
from guiding.core.row import Row


class MoneySeries(Row):
    """The next number of one kind of paper in one year; its row is the lock that leaves no gap."""

    kind = models.CharField(max_length=12)
    year = models.PositiveSmallIntegerField()
    next_number = models.PositiveIntegerField(default=1)

    class Meta:
        verbose_name_plural = "money series"
        ordering = ["kind", "year"]
        constraints = [
            models.UniqueConstraint(fields=["kind", "year"], name="money_series_once"),
            models.CheckConstraint(
                condition=Q(next_number__gte=1), name="money_series_starts_at_one"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.kind} {self.year}: next is {self.next_number}"


class MoneyEntry(Row):
    """One thing that happened to money. Never changed and never deleted."""

    class Kind(models.TextChoices):
        INVOICE = "invoice", "invoice"
        PAYMENT = "payment", "payment"
        REFUND = "refund", "refund"
        CREDIT_NOTE = "credit_note", "credit note"
        WRITE_OFF = "write_off", "write-off"
        TRANSFER = "transfer", "transfer"

    class Way(models.TextChoices):
        BANK = "bank", "bank transfer"
        CASH = "cash", "cash"
        CARD = "card", "card"
        OTHER = "other", "another way"

    # A second press of the same button carries the same key and writes nothing.
    key = models.UUIDField(default=uuid.uuid4, unique=True, editable=False)
    kind = models.CharField(max_length=12, choices=Kind)
    year = models.PositiveSmallIntegerField()
    number = models.PositiveIntegerField()
    label = models.CharField(max_length=20, unique=True)
    on = models.DateField("date of the paper")
    moved_on = models.DateField("day the money moved", null=True, blank=True)
    due_on = models.DateField(null=True, blank=True)
    currency = models.CharField(max_length=3)
    amount = models.DecimalField(max_digits=12, decimal_places=3)
    net = models.DecimalField(max_digits=12, decimal_places=3, null=True, blank=True)
    tax = models.DecimalField(max_digits=12, decimal_places=3, null=True, blank=True)
    tax_included = models.BooleanField(default=True)
    tax_note = models.CharField(max_length=200, blank=True)
    way = models.CharField(max_length=6, choices=Way, blank=True)
    reference = models.CharField("payment reference", max_length=25, blank=True)
    about = models.CharField(max_length=200, blank=True)
    supplied_on = models.DateField(null=True, blank=True)
    reason = models.CharField(max_length=300, blank=True)
    quote = models.ForeignKey(
        Quote, on_delete=models.PROTECT, null=True, blank=True, related_name="invoices"
    )
    corrects = models.ForeignKey(
        "self", on_delete=models.PROTECT, null=True, blank=True, related_name="credit_notes"
    )
    reverses = models.OneToOneField(
        "self", on_delete=models.PROTECT, null=True, blank=True, related_name="reversed_by"
    )
    # Our head of paper and the recipient as they were: the paper comes out the same in ten years.
    letterhead = models.JSONField(default=dict, blank=True)
    entered_at = models.DateTimeField()
    entered_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.SET_NULL, null=True, blank=True, related_name="+"
    )

    class Meta:
        verbose_name_plural = "money entries"
        ordering = ["-entered_at", "-pk"]
        indexes = [
            models.Index(fields=["-entered_at", "-id"], name="money_newest"),
            models.Index(fields=["kind", "-entered_at", "-id"], name="money_newest_of_kind"),
            models.Index(fields=["on", "kind"], name="money_by_day"),
        ]
        constraints = [
            models.CheckConstraint(
                condition=Q(
                    kind__in=[
                        "invoice",
                        "payment",
                        "refund",
                        "credit_note",
                        "write_off",
                        "transfer",
                    ]
                ),
                name="money_kind_known",
            ),
            models.UniqueConstraint(fields=["kind", "year", "number"], name="money_number_once"),
            models.CheckConstraint(condition=Q(number__gte=1), name="money_number_from_one"),
            models.UniqueConstraint(
                fields=["reference"], condition=~Q(reference=""), name="money_reference_once"
            ),
            models.CheckConstraint(condition=Q(amount__gt=0), name="money_amount_above_nothing"),
            models.CheckConstraint(
                condition=Q(currency__regex=r"^[A-Z]{3}$"), name="money_currency_iso"
            ),
            models.CheckConstraint(
                condition=Q(kind="invoice", due_on__isnull=False) & ~Q(reference="")
                | ~Q(kind="invoice") & Q(due_on=None, reference=""),
                name="money_invoice_says_when_and_how",
            ),
            models.CheckConstraint(
                condition=Q(kind="credit_note", corrects__isnull=False)
                | ~Q(kind="credit_note") & Q(corrects=None),
                name="money_credit_note_names_its_invoice",
            ),
            models.CheckConstraint(
                condition=Q(kind__in=["payment", "refund"], moved_on__isnull=False) & ~Q(way="")
                | ~Q(kind__in=["payment", "refund"]) & Q(moved_on=None, way=""),
                name="money_moved_some_way_on_some_day",
            ),
            models.CheckConstraint(
                condition=Q(
                    kind__in=["invoice", "credit_note"], net__isnull=False, tax__isnull=False
                )
                | ~Q(kind__in=["invoice", "credit_note"]) & Q(net=None, tax=None),
                name="money_tax_on_invoices",
            ),
            # Rounded, because SQLite adds in binary: the columns themselves are exact to the mill.
            models.CheckConstraint(
                condition=Q(net=None) | Q(amount=Round(F("net") + F("tax"), precision=3)),
                name="money_net_and_tax_make_the_amount",
            ),
            models.CheckConstraint(
                condition=Q(kind__in=["invoice", "payment"]) | ~Q(reason=""),
                name="money_back_has_a_reason",
            ),
            models.CheckConstraint(
                condition=Q(reverses=None) | Q(kind__in=["payment", "refund", "write_off"]),
                name="money_taken_out_by_its_kind",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.get_kind_display()} {self.label}"


class MoneyLine(Row):
    """A line of an invoice or a credit note; net and tax make the gross."""

    entry = models.ForeignKey(MoneyEntry, on_delete=models.PROTECT, related_name="lines")
    position = models.PositiveSmallIntegerField()
    text = models.CharField(max_length=200)
    quantity = models.DecimalField(max_digits=10, decimal_places=3, null=True, blank=True)
    unit_price = models.DecimalField(max_digits=12, decimal_places=3, null=True, blank=True)
    amount = models.DecimalField(max_digits=12, decimal_places=3)
    tax_percent = models.DecimalField(max_digits=5, decimal_places=2, null=True, blank=True)
    net = models.DecimalField(max_digits=12, decimal_places=3)
    tax = models.DecimalField(max_digits=12, decimal_places=3)
    gross = models.DecimalField(max_digits=12, decimal_places=3)

    class Meta:
        ordering = ["entry", "position"]
        constraints = [
            models.UniqueConstraint(fields=["entry", "position"], name="money_line_once"),
            models.CheckConstraint(
                condition=Q(tax_percent=None) | Q(tax_percent__gte=0, tax_percent__lte=100),
                name="money_line_tax_in_range",
            ),
            models.CheckConstraint(
                condition=Q(gross=Round(F("net") + F("tax"), precision=3)),
                name="money_line_net_and_tax_make_gross",
            ),
        ]

    def __str__(self) -> str:
        return self.text


class MoneyShare(Row):
    """What an entry does to what a party owes: above 0 it owes more, below 0 less.

    `booking` is None for money on account: the party's, and for no day yet.
    """

    entry = models.ForeignKey(MoneyEntry, on_delete=models.PROTECT, related_name="shares")
    party = models.ForeignKey(Party, on_delete=models.PROTECT, related_name="money")
    booking = models.ForeignKey(
        Booking, on_delete=models.PROTECT, null=True, blank=True, related_name="money"
    )
    owed = models.DecimalField(max_digits=12, decimal_places=3)

    class Meta:
        ordering = ["entry", "pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["entry", "booking"],
                condition=Q(booking__isnull=False),
                name="money_share_once_a_booking",
            ),
            models.UniqueConstraint(
                fields=["entry", "party"],
                condition=Q(booking=None),
                name="money_share_once_on_account",
            ),
            models.CheckConstraint(condition=~Q(owed=0), name="money_share_not_nothing"),
        ]

    def __str__(self) -> str:
        return f"{self.entry}: {self.owed}"


class Settlement(Row):
    """What came out when a booking was cancelled: the ladder's answer, and the client's choice.

    Until the client has chosen, what is theirs is neither refunded nor moved.
    """

    class By(models.TextChoices):
        CLIENT = "client", "the client"
        GUIDE = "guide", "the guide"

    class Choice(models.TextChoices):
        OPEN = "open", "not chosen yet"
        REFUND = "refund", "money back"
        MOVE = "move", "another date"

    booking = models.OneToOneField(Booking, on_delete=models.PROTECT, related_name="settlement")
    by = models.CharField(max_length=6, choices=By)
    on = models.DateField()
    days_before = models.SmallIntegerField()
    rule = models.CharField(max_length=300)
    currency = models.CharField(max_length=3)
    price = models.DecimalField(max_digits=12, decimal_places=3)
    paid = models.DecimalField(max_digits=12, decimal_places=3)
    kept = models.DecimalField(max_digits=12, decimal_places=3)
    still_due = models.DecimalField(max_digits=12, decimal_places=3)
    must_move = models.DecimalField(
        "moves whatever is chosen", max_digits=12, decimal_places=3, default=0
    )
    choice = models.CharField(max_length=6, choices=Choice, default=Choice.OPEN)
    refunded = models.DecimalField(max_digits=12, decimal_places=3, default=0)
    moved = models.DecimalField(max_digits=12, decimal_places=3, default=0)
    moved_to = models.ForeignKey(
        Booking, on_delete=models.PROTECT, null=True, blank=True, related_name="moved_from"
    )
    settled_at = models.DateTimeField()
    chosen_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["-settled_at", "-pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(by__in=["client", "guide"]), name="settlement_by_known"
            ),
            models.CheckConstraint(
                condition=Q(price__gte=0, paid__gte=0, kept__gte=0, still_due__gte=0)
                & Q(refunded__gte=0, must_move__gte=0, kept__lte=F("paid"))
                & Q(paid__gte=Round(F("kept") + F("must_move"), precision=3)),
                name="settlement_not_negative",
            ),
            models.CheckConstraint(
                condition=Q(choice="open", chosen_at=None, refunded=0, moved=0)
                | Q(choice__in=["refund", "move"], chosen_at__isnull=False)
                & Q(moved__gte=F("must_move"))
                & Q(paid=Round(F("kept") + F("refunded") + F("moved"), precision=3)),
                name="settlement_adds_up_to_what_was_paid",
            ),
            models.CheckConstraint(
                condition=Q(moved_to=None) | Q(moved__gt=0) | Q(choice="move"),
                name="settlement_moved_somewhere",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.booking}: {self.rule}"

    @property
    def theirs(self) -> Decimal:
        """What is the client's to have back or to move."""
        return self.paid - self.kept
