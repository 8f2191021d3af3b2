"""What follows from the country of a business: zone, currency, manner, paper, emergency number.

Everything here is a proposal that can be changed. From Babel (Unicode CLDR) and the table of what
Babel does not carry in `fixtures/countries/facts.csv`.
"""

from __future__ import annotations

import csv
import datetime
import unicodedata
from dataclasses import dataclass
from functools import cache

from babel import Locale
from babel.core import get_global
from babel.localedata import exists, locale_identifiers
from babel.numbers import get_territory_currencies
from django.conf import settings

from bookings.rules.money import minor_units
from guiding.desk.sheets.languages import LOCALES
from guiding.safety.sheets.emergency_numbers import EmergencyNumber, emergency_number_of

# Two letters that CLDR uses for other things: exceptional reservations, groups, tests, no country.
_NO_COUNTRY = frozenset(
    {"AC", "CP", "CQ", "DG", "EA", "EU", "EZ", "IC", "QO", "TA", "UN", "XA", "XB", "XK", "ZZ"}
)


@dataclass(frozen=True, slots=True)
class Country:
    """A country as ISO 3166 alpha-2, and what a business in it most likely wants.

    `zone` and `currency` are empty where none is plainly the right one: the guide has to choose.
    """

    code: str
    name: str
    zones: tuple[str, ...]
    zone: str
    currency: str
    locale: str
    units: str
    paper: str
    emergency: EmergencyNumber

    def proposal(self) -> dict[str, str]:
        """The fields of the business that follow from the country."""
        return {
            "country": self.code,
            "zone": self.zone,
            "currency": self.currency,
            "locale": self.locale,
            "units": self.units,
            "paper": self.paper,
            "emergency_number": self.emergency.number,
        }


@cache
def country_names() -> dict[str, str]:
    """Every country of ISO 3166 by its two letters, in the order of its English name."""
    known = {
        code: name
        for code, name in Locale("en").territories.items()
        if len(code) == 2 and code.isalpha() and code not in _NO_COUNTRY
    }
    return dict(sorted(known.items(), key=lambda pair: _plain(pair[1])))


def country_of(code: str) -> Country:
    """A country with what follows from it. ValueError for letters that are none."""
    if code not in country_names():
        raise ValueError(f"{code} is no country of the list. Choose one.")
    facts = _facts().get(code, {})
    zones = tuple(sorted(get_global("territory_zones").get(code, ())))
    return Country(
        code=code,
        name=country_names()[code],
        zones=zones,
        zone=facts.get("zone") or (zones[0] if len(zones) == 1 else ""),
        currency=facts.get("currency") or _currency(code),
        locale=_locale(code, zones),
        units="imperial" if facts.get("measurement_system") == "US" else "metric",
        paper="Letter" if facts.get("paper_size") == "US-Letter" else "A4",
        emergency=emergency_number_of(code),
    )


def zone_fits(code: str, zone: str) -> bool:
    """Whether a time zone lies in a country, under its old names too."""
    zones = get_global("territory_zones").get(code, ())
    return not zones or get_global("zone_aliases").get(zone, zone) in zones


@cache
def every_zone() -> tuple[str, ...]:
    """The time zones of all countries, by name."""
    return tuple(
        sorted({z for code in country_names() for z in get_global("territory_zones").get(code, ())})
    )


def zone_label(zone: str) -> str:
    """A time zone as it is read: 'America/New York'."""
    return zone.replace("_", " ")


@cache
def currency_names() -> dict[str, str]:
    """The currencies that are in use somewhere, by code."""
    used = {code for country in country_names() for code in _tender(country)}
    names = Locale("en").currencies
    return {code: f"{code}, {names.get(code, code)}" for code in sorted(used)}


@cache
def locale_names() -> dict[str, str]:
    """The locales whose language the papers have, by their English name."""
    found = {}
    for name in locale_identifiers():
        language, _, place = name.partition("_")
        if language in LOCALES and len(place) in (2, 3) and (place.isupper() or place.isdigit()):
            found[name] = Locale.parse(name).get_display_name("en") or name
    return dict(sorted(found.items(), key=lambda pair: pair[1]))


def _plain(name: str) -> str:
    """A name as it is filed: Åland between Albania's neighbours, not behind Zimbabwe."""
    return unicodedata.normalize("NFKD", name).encode("ascii", "ignore").decode().casefold()


@cache
def _facts() -> dict[str, dict[str, str]]:
    path = settings.FIXTURES_DIR / "countries" / "facts.csv"
    with path.open(encoding="utf-8", newline="") as file:
        rows = csv.DictReader(line for line in file if not line.startswith("#"))
        return {row["territory"]: row for row in rows}


def _tender(code: str) -> list[str]:
    """What is paid with in a country today; without what the books cannot count in."""
    found = []
    for currency in get_territory_currencies(code, datetime.datetime.now(tz=datetime.UTC).date()):
        try:
            minor_units(currency)
        except ValueError:
            continue
        found.append(currency)
    return found


def _currency(code: str) -> str:
    """A country's own currency before one that is also taken there."""
    found = _tender(code)
    own = [currency for currency in found if currency.startswith(code)]
    return (own or found or [""])[0]


def _locale(code: str, zones: tuple[str, ...]) -> str:
    """The country's language where the papers have it, else English as it is written there."""
    likely = get_global("likely_subtags").get(f"und_{code}", "en").split("_")[0]
    language = likely if likely in LOCALES else "en"
    if exists(f"{language}_{code}"):
        return f"{language}_{code}"
    if language != "en":
        return LOCALES[language]
    return "en_150" if zones and zones[0].startswith("Europe/") else "en_001"
