"""The number to call in a country, and whether the sources of it agree.

From `fixtures/countries/emergency.csv`, which names its sources, and for the countries it lacks
from the list of short numbers in libphonenumber: one source alone, so never taken for sure.
"""

from __future__ import annotations

import csv
from dataclasses import dataclass
from functools import cache

from babel import Locale
from django.conf import settings
from phonenumbers import PhoneMetadata, country_code_for_region
from phonenumbers.shortnumberinfo import is_emergency_number

from bookings.models import Business

CHECK_LOCALLY = "Check with your local authority."
_NORTH_AMERICA = 1  # the countries that share +1 call 911 first: from memory


@dataclass(frozen=True, slots=True)
class EmergencyNumber:
    """The number, empty where none is known, and why it cannot be taken for sure, if so."""

    number: str
    doubt: str = ""


def emergency_number_of(code: str) -> EmergencyNumber:
    """One number for everything where a country has one, else the ambulance's."""
    row = _table().get(code)
    if row is not None:
        sets = [set(row[column].split()) for column in ("police", "ambulance", "fire")]
        shared = set.intersection(*sets)
        number = next(each for each in _numbers(row) if not shared or each in shared)
    elif country_code_for_region(code) == _NORTH_AMERICA and is_emergency_number("911", code):
        number = "911"
    elif is_emergency_number("112", code):
        number = "112"
    else:
        listed = PhoneMetadata.short_metadata_for_region(code)
        number = (listed.emergency.example_number or "") if listed and listed.emergency else ""
    return EmergencyNumber(number, emergency_doubt(code, number))


def emergency_doubt(code: str, number: str) -> str:
    """Why a number cannot be taken for sure in a country; empty where several sources have it."""
    where = Locale("en").territories.get(code, code)
    row = _table().get(code)
    if row is None:
        return f"We hold one list only for {where}."
    if row["note"]:
        return f"Sources disagree for {where}."
    if number not in _numbers(row):
        return f"Our list for {where} has {', '.join(_numbers(row))}."
    return ""


def emergency_unconfirmed(business: Business) -> str:
    """Why the number of the business cannot be relied on yet; empty once the guide has asked."""
    if business.emergency_checked:
        return ""
    return emergency_doubt(business.country, business.emergency_number)


def _numbers(row: dict[str, str]) -> list[str]:
    """The numbers of a row once each, those for an ambulance first."""
    columns = ("ambulance", "police", "fire")
    return list(dict.fromkeys(number for column in columns for number in row[column].split()))


@cache
def _table() -> dict[str, dict[str, str]]:
    path = settings.FIXTURES_DIR / "countries" / "emergency.csv"
    with path.open(encoding="utf-8", newline="") as file:
        rows = csv.DictReader(line for line in file if not line.startswith("#"))
        return {row["territory"]: row for row in rows}
