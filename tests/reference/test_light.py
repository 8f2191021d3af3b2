"""Sunrise, sunset and civil twilight against the US Naval Observatory and ephem.

Tolerances: 1 minute up to 60 degrees of latitude, 2 to 66, 5 above (the sun grazes the horizon
and the tables are rounded to the minute); whether there is a sunrise is exact, except within a day
of the change of season at the pole.
"""

from datetime import UTC, date, datetime, timedelta, timezone

import pytest

from guiding.almanac.light import LightDay, light_day, light_days, sun_place
from tests.reference import published

EVENTS = ("civil_dawn", "sunrise", "sunset", "civil_dusk")


def _tolerance_s(latitude_deg: float) -> float:
    minutes = 1 if abs(latitude_deg) <= 60 else 2 if abs(latitude_deg) <= 66 else 5
    return minutes * 60 + 1  # our times are cut to the second


def _in_fixed_zone(latitude_deg: float, longitude_deg: float, offset_h: int, day: date) -> LightDay:
    # Etc/GMT names count hours west of Greenwich
    return light_day(latitude_deg, longitude_deg, f"Etc/GMT{-offset_h:+d}", day)


@pytest.mark.parametrize(
    "row",
    published.rows("sun_usno_2026"),
    ids=lambda row: f"{row['latitude_deg']} {row['local_date']}",
)
def test_usno_places_of_2026(row: dict[str, str]) -> None:
    latitude, offset = float(row["latitude_deg"]), int(row["utc_offset_hours"])
    day = date.fromisoformat(row["local_date"])
    found = _in_fixed_zone(latitude, float(row["longitude_deg"]), offset, day)
    for event in EVENTS:
        printed, ours = row[f"{event}_local"], getattr(found, event)
        if printed == "-":
            assert ours is None, event
            assert found.why[event]
            continue
        wanted = datetime.fromisoformat(f"{day}T{printed}").replace(
            tzinfo=timezone(timedelta(hours=offset))
        )
        assert ours is not None, event
        # the table names the minute of the day, whatever side of midnight the event rounds to
        off_s = abs((ours - wanted).total_seconds())
        assert min(off_s, 86400 - off_s) <= _tolerance_s(latitude), event


@pytest.mark.parametrize(("latitude", "year"), [(29, 2019), (60, 2019)])
def test_usno_year_tables(latitude: int, year: int) -> None:
    rows = [
        row
        for row in published.rows("sun_usno_year_tables")
        if int(row["latitude_deg"]) == latitude
    ]
    days = light_days(
        latitude, float(rows[0]["longitude_deg"]), "UTC", date(year, 1, 1), date(year, 12, 31)
    )
    ours = {
        "rise": [span.start for day in days for span in day.daylight if span.start != day.start],
        "set": [span.end for day in days for span in day.daylight if span.end != day.end],
    }
    for event, found in ours.items():
        listed = [datetime.fromisoformat(row["utc"]) for row in rows if row["event"] == event]
        assert len(found) == len(listed) > 360
        worst = max(abs((a - b).total_seconds()) for a, b in zip(found, listed, strict=True))
        assert worst <= _tolerance_s(latitude)


def test_polar_days_without_sunset_and_nights_without_sunrise_at_89_north() -> None:
    """USNO marks every day of 2022 at 89 N 30 E; the changes of season may be a day off."""
    marks = {
        date.fromisoformat(row["utc_date"]): row["sun"]
        for row in published.rows("sun_usno_polar_days_2022")
    }
    days = light_days(89, 30, "UTC", date(2022, 1, 1), date(2022, 12, 31))
    changes = {
        day
        for day in marks
        if {marks.get(day - timedelta(1)), marks.get(day + timedelta(1))} != {marks[day]}
    }
    reasons = {
        "up all day": "the sun stays up all day",
        "down all day": "the sun stays down all day",
    }
    checked = 0
    for found in days:
        mark = marks.get(found.day)
        if mark is None or found.day in changes:
            continue
        assert found.sunrise is None
        assert found.sunset is None
        assert found.why["sunrise"] == reasons[mark], found.day
        checked += 1
    assert checked > 340


def test_civil_twilight_at_orlando() -> None:
    for row in published.rows("sun_twilight_orlando"):
        dawn = datetime.fromisoformat(row["civil_dawn_utc"])
        dusk = datetime.fromisoformat(row["civil_dusk_utc"])
        day = (dawn - timedelta(hours=5)).date()
        found = light_day(float(row["latitude_deg"]), float(row["longitude_deg"]), "Etc/GMT+5", day)
        assert found.civil_dawn is not None
        assert found.civil_dusk is not None
        assert abs((found.civil_dawn - dawn).total_seconds()) <= 61
        assert abs((found.civil_dusk - dusk).total_seconds()) <= 61


@pytest.mark.parametrize("name", ["sun_grid_ephem", "sun_dst_days_ephem"])
def test_ephem_places_and_days_around_clock_changes(name: str) -> None:
    """Six places from Cape Town to Tromso through 2026, and the changes of the clock."""
    for row in published.rows(name):
        latitude = float(row["latitude_deg"])
        found = light_day(
            latitude,
            float(row["longitude_deg"]),
            row["iana_timezone"],
            date.fromisoformat(row["local_date"]),
        )
        where = f"{row['place']} {row['local_date']}"
        for event in EVENTS:
            listed = [datetime.fromisoformat(text) for text in row[f"{event}_utc"].split()]
            ours = getattr(found, event)
            assert (ours is None) is (not listed), f"{where} {event}"
            if ours is not None:
                off_s = min(abs((ours - at).total_seconds()) for at in listed)
                assert off_s <= _tolerance_s(latitude), f"{where} {event}"
        if row["sun_status_if_no_rise_or_set"]:
            assert found.why["sunrise"] == f"the sun stays {row['sun_status_if_no_rise_or_set']}"


def test_declination_of_the_sun_by_meeus() -> None:
    """Example 25.a: apparent declination 1992-10-13 0 h TD. At the pole it is the altitude.

    0 h TD was 23:59:01 UT the evening before; the sun's parallax lowers it by 0.0024 degrees. The
    example's method is good to 0.01 degrees; it lies 0.0012 off the full theory here.
    """
    (row,) = (
        row
        for row in published.rows("meeus_examples")
        if row["quantity"] == "Sun apparent declination"
    )
    assert "-7.78507" in row["expected"]
    altitude = sun_place(90, 0, datetime(1992, 10, 12, 23, 59, 1, tzinfo=UTC)).altitude_deg
    assert altitude == pytest.approx(-7.78507 - 0.0024, abs=0.002)
