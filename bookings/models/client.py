"""A client: the person who asks, books and pays."""

from __future__ import annotations

from django.db import models
from simple_history.models import HistoricalRecords

from guiding.core.row import Row


class Client(Row):
    given_name = models.CharField(max_length=100)
    family_name = models.CharField(max_length=100, blank=True)
    email = models.EmailField("mail", blank=True)
    phone = models.CharField("telephone", max_length=20, blank=True)
    address = models.TextField(blank=True, max_length=300, help_text="As it stands on an invoice.")
    tax_number = models.CharField(max_length=40, blank=True)
    language = models.CharField(max_length=8, default="en")
    note = models.TextField(blank=True, max_length=2000)
    created_at = models.DateTimeField(auto_now_add=True)
    history = HistoricalRecords()

    class Meta:
        ordering = ["family_name", "given_name", "pk"]
        indexes = [
            models.Index(fields=["family_name", "given_name"], name="client_by_name"),
            models.Index(models.functions.Lower("email"), name="client_by_mail"),
            models.Index(fields=["phone"], name="client_by_phone"),
        ]
        constraints = [
            models.CheckConstraint(
                condition=~models.Q(given_name=""), name="client_has_a_given_name"
            ),
            models.CheckConstraint(
                condition=models.Q(phone="") | models.Q(phone__startswith="+"),
                name="client_phone_is_international",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.given_name} {self.family_name}".strip()
