"""The forms of the business: the country, and what follows from it."""

from __future__ import annotations

import zoneinfo
from typing import Any

from crispy_forms.layout import Column, Fieldset, Layout, Row
from django import forms

from bookings.models import Business
from bookings.rules.accounts import ACCOUNT_WORDS, SCHEMES
from bookings.rules.references import iban_country
from guiding.desk.forms.layout import posted
from guiding.desk.sheets.countries import (
    Country,
    country_names,
    country_of,
    currency_names,
    every_zone,
    locale_names,
    zone_label,
)
from guiding.safety.sheets.emergency_numbers import CHECK_LOCALLY

_WAYS_TO_PAY = (
    "bank_code",
    "account_number",
    "account_lines",
    "iban",
    "bic",
    "pay_link",
    "cash_on_the_day",
)


class CountryForm(forms.Form):
    """Which country: everything that follows from it is proposed on the next page."""

    country = forms.ChoiceField(choices=lambda: [("", "Choose"), *country_names().items()])


class _BusinessForm(forms.ModelForm):
    """The country is chosen on its own; the rest of the form is what follows from it."""

    country = forms.ChoiceField(choices=lambda: [("", "Choose"), *country_names().items()])
    zone = forms.ChoiceField(
        label="Time zone",
        error_messages={"invalid_choice": "%(value)s is no time zone. Choose one of the list."},
    )
    currency = forms.ChoiceField(choices=lambda: [("", "Choose"), *currency_names().items()])
    locale = forms.ChoiceField(
        label="Language and number format",
        choices=lambda: list(locale_names().items()),
        help_text="Of your papers: English or German. Dates and numbers are written as there.",
    )

    class Meta:
        model = Business
        fields = [
            "name",
            "guide_name",
            "email",
            "phone",
            "country",
            "zone",
            "currency",
            "locale",
            "units",
            "paper",
            "emergency_number",
            "emergency_checked",
        ]

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.where = self._country()
        if self.where:
            self.fields["country"].widget = forms.HiddenInput()
            self.fields["emergency_number"].help_text = self._emergency_help(self.where)
        self._offer_zones()
        for name in ("currency", "locale"):
            self._keep_offering(name)

    def _country(self) -> Country | None:
        """The country that was sent, or asked for, or stands in the row."""
        code = self["country"].value() or ""
        return country_of(code) if code in country_names() else None

    def _emergency_help(self, country: Country) -> str:
        known = country.emergency
        if not known.number:
            return f"We know none for {country.name}. {CHECK_LOCALLY}"
        state = f" Unconfirmed. {known.doubt} {CHECK_LOCALLY}" if known.doubt else ""
        return f"{known.number} in our list for {country.name}.{state}"

    def _offer_zones(self) -> None:
        """The zones of the country first; any zone the zone data knows is taken."""
        own = self.where.zones if self.where else ()
        held = str(self["zone"].value() or "")
        known = {held} & zoneinfo.available_timezones() - set(every_zone())
        groups: list[Any] = [("", "Choose")]
        if own and self.where:
            groups.append((self.where.name, [(zone, zone_label(zone)) for zone in own]))
        rest = sorted({*every_zone(), *known} - set(own))
        groups.append(("Elsewhere", [(zone, zone_label(zone)) for zone in rest]))
        self.fields["zone"].choices = groups  # type: ignore[attr-defined]

    def _keep_offering(self, name: str) -> None:
        """What stands in the row stays a choice, even where we would not propose it any more."""
        field: Any = self.fields[name]
        held = getattr(self.instance, name)
        if held and held not in dict(field.choices):
            field.choices = [*field.choices, (held, held)]

    def _post_clean(self) -> None:
        """The action judges and writes the row."""


def _manner() -> tuple[Any, ...]:
    """What follows from the country."""
    return (
        "country",
        Row(Column("zone"), Column("currency")),
        Row(Column("locale"), Column("units"), Column("paper")),
        "emergency_number",
        "emergency_checked",
    )


class FirstRunForm(_BusinessForm):
    """The business and the first login."""

    password = forms.CharField(
        max_length=200,
        widget=forms.PasswordInput(attrs={"autocomplete": "new-password"}),
        help_text="Ten characters or more. You sign in with the mail address above.",
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        where = self.where.name if self.where else "your country"
        self.helper = posted(
            Layout(
                Fieldset("The business", Row(Column("name"), Column("guide_name"))),
                Fieldset(f"What follows from {where}: change what is wrong", *_manner()),
                Fieldset("Your login", Row(Column("email"), Column("phone")), "password"),
            ),
            "Open the desk",
        )


class BusinessForm(_BusinessForm):
    """Everything about the business; of an account only what banks of its country ask for."""

    # Typed with blanks and strokes they are longer than they are kept.
    bank_code = forms.CharField(max_length=40, required=False)
    account_number = forms.CharField(max_length=40, required=False)
    iban = forms.CharField(label="IBAN", max_length=50, required=False)
    pay_link = forms.URLField(
        label="Page on which clients can pay",
        required=False,
        assume_scheme="https",
        help_text="Begins with https://. Printed on invoices and shown to those who owe.",
    )

    class Meta(_BusinessForm.Meta):
        fields = [
            *_BusinessForm.Meta.fields,
            "address",
            "shore_contact_name",
            "shore_contact_mail",
            "shore_contact_phone",
            "insurance",
            *_WAYS_TO_PAY,
            "tax_basis",
            "tax_number",
            "tax_exempt_reason",
            "balance_days",
        ]
        widgets = {
            "address": forms.Textarea(attrs={"rows": 3}),
            "insurance": forms.Textarea(attrs={"rows": 3}),
            "account_lines": forms.Textarea(attrs={"rows": 3}),
        }

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        account = self._account_fields()
        self.helper = posted(
            Layout(
                Fieldset(
                    "The business",
                    Row(Column("name"), Column("guide_name")),
                    Row(Column("email"), Column("phone")),
                    "address",
                    "insurance",
                ),
                Fieldset(
                    "How clients pay you: an account, a page, or cash",
                    *account,
                    Row(Column("iban"), Column("bic")),
                    "pay_link",
                    "cash_on_the_day",
                ),
                Fieldset(
                    "Prices and tax",
                    Row(Column("tax_basis"), Column("tax_number"), Column("balance_days")),
                    "tax_exempt_reason",
                ),
                Fieldset(self.where.name if self.where else "Country", *_manner()),
                Fieldset(
                    "The contact ashore",
                    "shore_contact_name",
                    Row(Column("shore_contact_mail"), Column("shore_contact_phone")),
                ),
            ),
            "Save",
        )

    def _account_fields(self) -> tuple[Any, ...]:
        """The account in the manner of the country, or in free lines where we do not know it."""
        code = self.where.code if self.where else ""
        scheme = SCHEMES.get(code)
        if scheme is None:
            del self.fields["bank_code"], self.fields["account_number"]
            if iban_country(code):
                del self.fields["account_lines"]
                return ()
            return ("account_lines",)
        del self.fields["account_lines"]
        words = ACCOUNT_WORDS["en"]
        self.fields["account_number"].label = words["number"]
        if not scheme.code:
            del self.fields["bank_code"]
            return ("account_number",)
        self.fields["bank_code"].label = words[scheme.code]
        return (Row(Column("bank_code"), Column("account_number")),)
