"""What follows from a country against Unicode CLDR and published emergency numbers; exact."""

from __future__ import annotations

import zoneinfo

import pytest
from babel.core import get_global

from guiding.desk.sheets.countries import country_names, country_of
from guiding.safety.sheets.emergency_numbers import emergency_doubt
from tests.reference import published

FACTS = published.rows("country_facts")
EMERGENCY = published.rows("country_emergency")
WITHDRAWN = {
    row["currency"]
    for row in published.rows("currency_withdrawn")
    if row["status_2026_12_01"] == "withdrawn"
}


@pytest.mark.parametrize("row", FACTS, ids=lambda row: row["territory"])
def test_currency_paper_units_and_zones(row: dict[str, str]) -> None:
    found = country_of(row["territory"])
    assert found.currency == row["default_currency"]
    assert found.paper == row["paper_size"].removeprefix("US-")
    # The house has two systems; the British one measures depth and weight in metres and kilograms.
    assert found.units == {"US": "imperial"}.get(row["measurement_system"], "metric")
    new = get_global("zone_aliases")
    listed = row["time_zones"].split()
    assert {new.get(zone, zone) for zone in listed} == {new.get(z, z) for z in found.zones}
    assert len(found.zones) == int(row["zone_count"])


@pytest.mark.parametrize("row", EMERGENCY, ids=lambda row: row["territory"])
def test_emergency_numbers_are_published_and_doubt_is_shown(row: dict[str, str]) -> None:
    found = country_of(row["territory"]).emergency
    listed = " ".join(row[name] for name in ("police", "ambulance", "fire", "memory")).split()
    assert found.number in listed
    assert bool(found.doubt) is bool(row["note"])
    assert emergency_doubt(row["territory"], "555")


def test_every_country_of_iso_3166_has_what_follows_or_asks() -> None:
    assert len(country_names()) == 249  # ISO 3166-1, officially assigned: common knowledge
    known = zoneinfo.available_timezones()
    for code in country_names():
        found = country_of(code)
        assert set(found.zones) <= known, code
        assert found.zone == "" or found.zone in found.zones, code
        assert found.currency not in WITHDRAWN, code
        assert found.emergency.number or found.emergency.doubt, code
    assert all(country_of(code).emergency.doubt for code in ("IE", "CA", "MA"))
