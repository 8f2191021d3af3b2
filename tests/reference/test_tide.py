"""Tide predictions against the official ones of NOAA CO-OPS, every station, whole years.

Tolerances, from what a plain sum of the same constants leaves (yearly f and u as NOAA has them):
heights 1 cm (La Jolla, printed to 0.1 ft, 2.5 cm); times 2 minutes semidiurnal and mixed (La
Jolla 4), 3 diurnal; the number of highs and lows exact.
"""

from datetime import UTC, datetime, timedelta
from functools import cache
from zoneinfo import ZoneInfo

import numpy as np
import pytest

from guiding.almanac.tide import (
    HarmonicTide,
    HeightRule,
    HeightUnit,
    SecondaryTide,
    TableTide,
    TideDifferences,
    Turn,
    TurnColumns,
    TurnKind,
    read_tide_constants,
    read_turns_table,
)
from guiding.almanac.tide.schureman import constituent_speed_deg_per_h, tide_year_factors
from tests.reference import published

KEY_WEST, PANAMA_CITY, LA_JOLLA, SEATTLE = "8724580", "8729108", "9410230", "9447130"
HONOLULU, MAYPORT, EASTPORT = "1612340", "8720218", "8410140"


@cache
def station(station_id: str) -> HarmonicTide:
    return read_tide_constants(
        published.path("tide_harmonics").read_text(), published.path("tide_stations").read_text()
    ).station(station_id)


def official_turns(name: str, station_id: str) -> list[Turn]:
    return [
        Turn(
            datetime.fromisoformat(row["utc"]),
            float(row["height_ft_mllw"]) * 0.3048,
            TurnKind.HIGH if row["type"] == "H" else TurnKind.LOW,
        )
        for row in published.rows(name)
        if row["station_id"] == station_id
    ]


@pytest.mark.parametrize(
    ("station_id", "zone", "count", "time_min", "height_cm"),
    [
        (KEY_WEST, "America/New_York", 1410, 2, 1),
        (PANAMA_CITY, "America/Chicago", 820, 3, 1),
        (LA_JOLLA, "America/Los_Angeles", 1410, 4, 2.5),
    ],
)
def test_every_high_and_low_of_2017(
    station_id: str, zone: str, count: int, time_min: float, height_cm: float
) -> None:
    """Panama City is diurnal: of 868 turns of its curve NOAA lists 820, close pairs left out."""
    official = official_turns("tide_official_hilo", station_id)
    rules = ZoneInfo(zone)
    found = station(station_id).turns(
        datetime(2017, 1, 1, tzinfo=rules), datetime(2018, 1, 1, tzinfo=rules)
    )
    assert len(found) == len(official) == count
    assert [turn.kind for turn in found] == [turn.kind for turn in official]
    pairs = list(zip(found, official, strict=True))
    assert max(abs((a.at - b.at).total_seconds()) for a, b in pairs) <= time_min * 60
    assert max(abs(a.height_m - b.height_m) for a, b in pairs) * 100 <= height_cm


def test_seattle_on_a_day_with_three_turns() -> None:
    official = official_turns("tide_official_hilo", SEATTLE)
    zone = ZoneInfo("America/Los_Angeles")
    found = station(SEATTLE).turns(
        datetime(2019, 8, 30, tzinfo=zone), datetime(2019, 8, 31, tzinfo=zone)
    )
    assert [turn.kind for turn in found] == [turn.kind for turn in official]
    assert len(found) == 3
    for ours, theirs in zip(found, official, strict=True):
        assert abs((ours.at - theirs.at).total_seconds()) <= 120
        assert ours.height_m == pytest.approx(theirs.height_m, abs=0.01)


@pytest.mark.parametrize(
    ("station_id", "datum", "count"), [(HONOLULU, "MLLW", 480), (MAYPORT, "MSL", 1200)]
)
def test_official_heights_through_the_day(station_id: str, datum: str, count: int) -> None:
    rows = [
        row
        for row in published.rows("tide_official_heights")
        if row["station_id"] == station_id and row["datum"] == datum
    ]
    assert len(rows) >= count
    tide = station(station_id)
    times = np.array([np.datetime64(row["utc"].rstrip("Z")) for row in rows])
    over_mllw = tide.z0_m if datum == "MSL" else 0.0
    official = np.array([float(row["height_m"]) for row in rows]) + over_mllw
    assert np.abs(tide.heights_m(times) - official).max() <= 0.01


def test_large_range_of_eastport() -> None:
    """Computed apart from the project by the same rule: 1 minute, 1 cm."""
    rows = published.rows("tide_computed_large_range")
    tide = station(EASTPORT)
    turns = [row for row in rows if row["kind_H_L_or_hourly"] in {"H", "L"}]
    found = tide.turns(datetime(2026, 3, 1, tzinfo=UTC), datetime(2026, 4, 1, tzinfo=UTC))
    assert len(found) == len(turns) == 120
    for ours, row in zip(found, turns, strict=True):
        assert ours.kind.value[0].upper() == row["kind_H_L_or_hourly"]
        assert abs((ours.at - datetime.fromisoformat(row["utc"])).total_seconds()) <= 60
        assert ours.height_m == pytest.approx(float(row["height_m_mllw"]), abs=0.01)
    hourly = [row for row in rows if row not in turns]
    assert len(hourly) == 72
    for row in hourly:
        height = tide.height_m(datetime.fromisoformat(row["utc"]))
        assert height == pytest.approx(float(row["height_m_mllw"]), abs=0.01)


@pytest.mark.parametrize(
    "row", published.rows("tide_subordinate_stations"), ids=lambda row: row["name"]
)
def test_secondary_places_of_key_west(row: dict[str, str]) -> None:
    """From the official reference table: the minute exactly, 0.6 cm."""
    reference = TableTide(
        "Key West, official", tuple(official_turns("tide_official_hilo", KEY_WEST)), "MLLW"
    )
    tide = SecondaryTide(
        row["name"],
        reference,
        TideDifferences(
            high_min=float(row["time_offset_high_min"]),
            low_min=float(row["time_offset_low_min"]),
            height_rule=HeightRule(row["height_offset_type"]),
            high=float(row["height_offset_high"]),
            low=float(row["height_offset_low"]),
        ),
    )
    official = official_turns("tide_subordinate_official_hilo", row["station_id"])
    assert len(official) > 200
    found = tide.turns(official[0].at, official[-1].at + timedelta(minutes=1))
    in_listed_months = {at.at for at in official}
    ours = {turn.at: turn for turn in found}
    assert in_listed_months <= ours.keys()
    for theirs in official:
        assert ours[theirs.at].kind is theirs.kind
        assert ours[theirs.at].height_m == pytest.approx(theirs.height_m, abs=0.006)
        assert tide.height_m(theirs.at) == pytest.approx(theirs.height_m, abs=0.006)


def test_node_factors_and_greenwich_arguments() -> None:
    """XTide's yearly values: f to 0.0003, V0+u to 0.15 degrees (M1 0.4)."""
    rows = published.rows("tide_node_factors")
    assert len({row["constituent"] for row in rows}) == 37
    for row in rows:
        ours = tide_year_factors(int(row["year"]))[row["constituent"]]
        assert ours.node_factor == pytest.approx(float(row["node_factor_f_midyear"]), abs=0.0003)
        off = ours.argument_deg - float(row["equilibrium_argument_V0_plus_u_deg_greenwich"])
        assert abs((off + 180) % 360 - 180) <= (0.4 if row["constituent"] == "M1" else 0.15)


def test_speeds_of_the_constituents() -> None:
    """The speeds NOAA prints beside its constants, degrees an hour."""
    for row in published.rows("tide_harmonics"):
        speed = constituent_speed_deg_per_h(row["constituent"])
        assert speed == pytest.approx(float(row["speed_deg_per_hour"]), abs=1e-5)


@pytest.mark.parametrize(
    ("station_id", "zone"),
    [
        (KEY_WEST, "America/New_York"),
        (PANAMA_CITY, "America/Chicago"),
        (LA_JOLLA, "America/Los_Angeles"),
    ],
)
def test_official_tables_read_alike_in_local_time_and_in_utc(station_id: str, zone: str) -> None:
    """The local column is standard or daylight time; both clock changes of 2017 lie in it."""
    lines = published.path("tide_official_hilo").read_text().splitlines()
    text = "\n".join(line for line in lines if line.startswith((station_id, "station_id", "#")))
    in_utc = read_turns_table(
        text, TurnColumns("utc", "height_ft_mllw", "type"), HeightUnit.FOOT, "UTC", "official"
    )
    local = read_turns_table(
        text,
        TurnColumns("local_time_lst_ldt", "height_cm_mllw", "type"),
        HeightUnit.CENTIMETRE,
        zone,
        "official",
    )
    assert in_utc.problems == local.problems == ()
    assert in_utc.tide is not None
    assert local.tide is not None
    assert [t.at for t in in_utc.tide.table] == [t.at for t in local.tide.table]
    heights = zip(in_utc.tide.table, local.tide.table, strict=True)
    assert max(abs(a.height_m - b.height_m) for a, b in heights) <= 0.0051
