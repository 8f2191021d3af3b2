"""The business itself: one row."""

from __future__ import annotations

import zoneinfo

from django.core.exceptions import ValidationError
from django.core.validators import MaxValueValidator
from django.db import models
from simple_history.models import HistoricalRecords

from guiding.core.row import Row


def check_zone(name: str) -> None:
    """Refuse a name that the time zone data does not know."""
    if name not in zoneinfo.available_timezones():
        raise ValidationError(
            f"{name} is no time zone. Use a name of the zone data such as Europe/Dublin."
        )


class Business(Row):
    """Who guides, in which zone, currency, units and language; there is exactly one."""

    class Units(models.TextChoices):
        METRIC = "metric", "metres and kilograms"
        IMPERIAL = "imperial", "feet and pounds"

    class Paper(models.TextChoices):
        A4 = "A4", "A4"
        LETTER = "Letter", "Letter"

    class TaxBasis(models.TextChoices):
        INCLUSIVE = "inclusive", "hold the tax"
        EXCLUSIVE = "exclusive", "stand before tax"

    id = models.PositiveSmallIntegerField(primary_key=True, default=1, editable=False)
    name = models.CharField("name of the business", max_length=100)
    guide_name = models.CharField("name of the guide", max_length=100)
    email = models.EmailField("mail")
    phone = models.CharField("telephone", max_length=32, blank=True)
    address = models.TextField(blank=True, max_length=500)
    country = models.CharField(max_length=2)  # ISO 3166 alpha-2
    zone = models.CharField("time zone", max_length=64, validators=[check_zone])
    currency = models.CharField(max_length=3)
    locale = models.CharField("language and number format", max_length=16)
    units = models.CharField(max_length=8, choices=Units, default=Units.METRIC)
    paper = models.CharField(max_length=8, choices=Paper, default=Paper.A4)
    emergency_number = models.CharField(max_length=16)
    emergency_checked = models.BooleanField(
        "we asked the local authority: this number is right here", default=False
    )
    shore_contact_name = models.CharField(max_length=100, blank=True)
    shore_contact_mail = models.EmailField(
        blank=True, help_text="Told by mail when you do not come home."
    )
    shore_contact_phone = models.CharField(max_length=32, blank=True)
    insurance = models.TextField("insurance cover in a sentence or two", blank=True, max_length=600)
    iban = models.CharField("IBAN", max_length=34, blank=True)
    bic = models.CharField("BIC", max_length=11, blank=True)
    # What the country asks for in a transfer where it has no IBAN, or beside it.
    bank_code = models.CharField(max_length=9, blank=True)
    account_number = models.CharField(max_length=20, blank=True)
    account_lines = models.TextField(
        "account, as it is written in your country",
        max_length=300,
        blank=True,
        help_text="A line each for bank, branch and number, printed as they are.",
    )
    pay_link = models.URLField("page on which clients can pay", blank=True)
    cash_on_the_day = models.BooleanField("we take cash on the day", default=False)
    tax_basis = models.CharField(
        "our prices", max_length=10, choices=TaxBasis, default=TaxBasis.INCLUSIVE
    )
    tax_number = models.CharField(max_length=40, blank=True)
    tax_exempt_reason = models.CharField(
        "reason why no tax is charged",
        max_length=200,
        blank=True,
        help_text="Printed on every invoice of an exempt business. Check with your own authority.",
    )
    balance_days = models.PositiveSmallIntegerField(
        "balance due, days before the trip", default=7, validators=[MaxValueValidator(365)]
    )
    is_demo = models.BooleanField(default=False, editable=False)
    demo_day = models.DateField(null=True, blank=True, editable=False)
    history = HistoricalRecords()

    class Meta:
        verbose_name_plural = "business"
        constraints = [
            models.CheckConstraint(condition=models.Q(pk=1), name="business_is_one_row"),
            models.CheckConstraint(
                condition=models.Q(units__in=["metric", "imperial"]), name="business_units_known"
            ),
            models.CheckConstraint(
                condition=models.Q(paper__in=["A4", "Letter"]), name="business_paper_known"
            ),
            models.CheckConstraint(
                condition=models.Q(tax_basis__in=["inclusive", "exclusive"]),
                name="business_tax_basis_known",
            ),
            models.CheckConstraint(
                condition=models.Q(currency__regex=r"^[A-Z]{3}$"), name="business_currency_iso"
            ),
            models.CheckConstraint(
                condition=models.Q(bank_code="") | ~models.Q(account_number=""),
                name="business_bank_code_has_its_account",
            ),
            models.CheckConstraint(
                condition=models.Q(
                    bank_code__regex=r"^[0-9]*$", account_number__regex=r"^[0-9-]*$"
                ),
                name="business_account_is_digits",
            ),
            models.CheckConstraint(
                condition=models.Q(pay_link="") | models.Q(pay_link__startswith="https://"),
                name="business_pay_link_is_https",
            ),
            models.CheckConstraint(
                condition=models.Q(country__regex=r"^[A-Z]{2}$"), name="business_country_iso"
            ),
        ]

    def __str__(self) -> str:
        return self.name

    @property
    def tz(self) -> zoneinfo.ZoneInfo:
        return zoneinfo.ZoneInfo(self.zone)
