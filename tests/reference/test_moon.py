"""Moonrise, moonset, phases and the lit share against the US Naval Observatory and ephem.

Tolerances: phases 2 minutes, rise and set 2 minutes up to 60 degrees of latitude, lit share 0.01.
"""

from datetime import UTC, date, datetime, timedelta

import pytest

from guiding.almanac.light import light_day, light_days, moon_quarters
from tests.reference import published

NAMES = {
    "new": "new moon",
    "first quarter": "first quarter",
    "full": "full moon",
    "last quarter": "last quarter",
}


@pytest.mark.parametrize(
    ("name", "year"),
    [
        ("moon_phases_usno", 1980),
        ("moon_phases_usno", 2000),
        ("moon_phases_usno", 2020),
        ("moon_phases_ephem", 2026),
    ],
)
def test_every_phase_of_a_year(name: str, year: int) -> None:
    listed = [
        (datetime.fromisoformat(row["utc"]), NAMES[row["phase"]])
        for row in published.rows(name)
        if row["utc"].startswith(str(year))
    ]
    found = moon_quarters(datetime(year, 1, 1, tzinfo=UTC), datetime(year + 1, 1, 1, tzinfo=UTC))
    assert [each.quarter.value for each in found] == [phase for _, phase in listed]
    assert len(listed) >= 48
    for ours, (at, _) in zip(found, listed, strict=True):
        assert abs((ours.at - at).total_seconds()) <= 121


def test_true_new_moon_by_meeus() -> None:
    """Example 49.a: 1977-02-18 03:37:42 TD, about 03:36:54 UT (delta T from memory)."""
    (row,) = (row for row in published.rows("meeus_examples") if row["quantity"] == "True new moon")
    assert row["expected"] == "2443192.65118"
    start = datetime(1977, 2, 18, tzinfo=UTC)
    (found,) = moon_quarters(start, start + timedelta(days=1))
    assert found.quarter == "new moon"
    assert abs((found.at - datetime(1977, 2, 18, 3, 36, 54, tzinfo=UTC)).total_seconds()) <= 120


@pytest.mark.parametrize(
    ("name", "column", "zone", "year"),
    [
        ("moon_usno_riseset", "utc", "UTC", 2019),
        ("moon_usno_boston_1984", "local_standard_time_utc_minus_5", "Etc/GMT+5", 1984),
    ],
)
def test_every_rise_and_set_of_a_year(name: str, column: str, zone: str, year: int) -> None:
    """Boston 1984 is a leap year, too."""
    rows = published.rows(name)
    days = light_days(
        float(rows[0]["latitude_deg"]),
        float(rows[0]["longitude_deg"]),
        zone,
        date(year, 1, 1),
        date(year, 12, 31),
    )
    hours = 0 if zone == "UTC" else 5
    for event in ("rise", "set"):
        listed = [
            datetime.fromisoformat(row[column].rstrip("Z")).replace(tzinfo=UTC)
            + timedelta(hours=hours)
            for row in rows
            if row["event"] == event
        ]
        found = [at for day in days if (at := getattr(day, f"moon{event}")) is not None]
        assert len(found) == len(listed) > 340
        assert max(abs((a - b).total_seconds()) for a, b in zip(found, listed, strict=True)) <= 121
        without = [day for day in days if getattr(day, f"moon{event}") is None]
        assert without
        assert all(
            day.why[f"moon{event}"] == f"the moon does not {event} on this date" for day in without
        )


def test_four_places_through_a_year_with_the_lit_share() -> None:
    for row in published.rows("moon_grid_ephem"):
        found = light_day(
            float(row["latitude_deg"]),
            float(row["longitude_deg"]),
            row["iana_timezone"],
            date.fromisoformat(row["local_date"]),
        )
        for event in ("moonrise", "moonset"):
            listed, ours = row[f"{event}_utc"], getattr(found, event)
            assert (ours is None) is (listed == ""), row
            if ours is not None:
                off_s = abs((ours - datetime.fromisoformat(listed)).total_seconds())
                assert off_s <= 121, row
        assert found.moon_fraction == pytest.approx(float(row["illuminated_fraction"]), abs=0.01)


def test_lit_share_of_usno() -> None:
    """USNO prints it for midnight at UTC-5; a zone whose noon is that instant asks for it."""
    for row in published.rows("moon_illumination_usno_2018"):
        at = datetime.fromisoformat(row["utc_instant"])
        assert at.hour == 5
        # 12:00 local = 05:00 UTC in a zone seven hours ahead
        found = light_day(0, 0, "Etc/GMT-7", at.date())
        assert found.moon_fraction == pytest.approx(
            float(row["illuminated_fraction_2dp"]), abs=0.01
        )
