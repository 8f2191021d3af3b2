"""Writes about the business itself."""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import Any

from babel import Locale, UnknownLocaleError
from django.core.exceptions import ValidationError
from django.db import transaction

from bookings.actions.parties import international_phone
from bookings.models import Business
from bookings.rules.accounts import SCHEMES
from bookings.rules.money import minor_units
from bookings.rules.references import checked_iban, iban_country
from guiding.desk.sheets.countries import country_of
from guiding.desk.sheets.languages import LOCALES


def checked_particulars(fields: dict[str, Any]) -> dict[str, Any]:
    """The particulars as they are kept; ValidationError with a sentence at each that cannot be."""
    kept, problems = dict(fields), {}
    for name, check in _CHECKS.items():
        if name not in kept:
            continue
        try:
            kept[name] = check(kept[name])
        except ValueError as refusal:
            problems[name] = str(refusal)
    problems |= _check_account(kept)
    if problems:
        raise ValidationError(problems)
    kept["phone"] = international_phone(kept.get("phone", ""), kept["country"])
    return kept


def _check_account(kept: dict[str, Any]) -> dict[str, str]:
    """Puts the account into the form of the country; what its banks do not ask for goes.

    The sentences at the fields that cannot be.
    """
    country = kept.get("country", "")
    scheme = SCHEMES.get(country)
    number, code = (str(kept.get(name, "")).strip() for name in ("account_number", "bank_code"))
    if scheme or iban_country(country):
        kept["account_lines"] = ""
    if scheme is None or not (number or code):
        kept |= {"bank_code": "", "account_number": ""}
        return {}
    checks = [("account_number", number, scheme.check_number)]
    if scheme.code:
        checks.append(("bank_code", code, scheme.check_code))
    else:
        kept["bank_code"] = ""
    problems = {}
    for name, typed, check in checks:
        try:
            kept[name] = check(typed)
        except ValueError as refusal:
            problems[name] = str(refusal)
    return problems


def _pay_link(address: str) -> str:
    if address and not address.startswith("https://"):
        raise ValueError("The page must begin with https://, so that nobody reads along.")
    return address


def _currency(code: str) -> str:
    minor_units(code)
    return code


def _country(code: str) -> str:
    return country_of(code).code


def _locale(name: str) -> str:
    """A locale whose language the papers have: in another no paper could be printed."""
    try:
        found = Locale.parse(name)
    except (ValueError, UnknownLocaleError):
        found = None
    if found is None or found.language not in LOCALES:
        raise ValueError(
            f"{name!r} is no language and country that the papers have. Choose one of the list."
        )
    return str(found)


def _bic(code: str) -> str:
    """ISO 9362: bank, country, place and, if any, branch: 8 or 11 letters and digits."""
    plain = "".join(code.split()).upper()
    if plain and not re.fullmatch(r"[A-Z0-9]{4}[A-Z]{2}[A-Z0-9]{2}([A-Z0-9]{3})?", plain):
        raise ValueError(f"{code} is no BIC: it has 8 or 11 letters and digits.")
    return plain


_CHECKS: dict[str, Callable[[str], str]] = {
    "currency": _currency,
    "country": _country,
    "locale": _locale,
    "iban": lambda iban: checked_iban(iban) if iban else "",
    "bic": _bic,
    "pay_link": _pay_link,
}


@transaction.atomic
def save_business(*, business: Business, **fields: Any) -> Business:
    """New particulars of the business; they count from now on, papers printed before stay."""
    for name, value in checked_particulars(fields).items():
        setattr(business, name, value)
    business.full_clean()
    business.save()
    return business
