"""The commands of days: light, tide and cost as the shell gets them."""

from __future__ import annotations

import datetime
import itertools
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

import pytest

from bookings.models import Trip
from guiding.days.models import CostBasis, Spot
from tests.commands import manage
from tests.days.worked_example import worked_example
from tests.reference import published
from tests.season import NOON, row_counts

CONSTANTS, STATIONS = published.path("tide_harmonics"), published.path("tide_stations")
KEY_WEST, PANAMA_CITY, LA_JOLLA, SEATTLE = "8724580", "8729108", "9410230", "9447130"
EASTPORT = "8410140"


def tide(
    station: str,
    first: str,
    last: str,
    *,
    constants: Path = CONSTANTS,
    stations: Path = STATIONS,
) -> Any:
    return manage(
        "tide",
        *("--constants", str(constants), "--stations", str(stations), "--station", station),
        *("--from", first, "--to", last, "--json"),
    )


# Tolerances as in tests/reference: 2 minutes and 1 cm; diurnal 3 minutes; La Jolla, printed to a
# tenth of a foot, 4 minutes and 2.5 cm. Source of the tables: NOAA CO-OPS, in each file's header.
@pytest.mark.parametrize(
    ("station", "first", "last", "within_min", "within_cm"),
    [
        (KEY_WEST, "2017-01-02", "2017-12-30", 2, 1),
        (PANAMA_CITY, "2017-01-02", "2017-12-30", 3, 1),
        (LA_JOLLA, "2017-01-02", "2017-12-30", 4, 2.5),
    ],
)
def test_a_year_of_tide_meets_the_official_table(
    station: str, first: str, last: str, within_min: float, within_cm: float
) -> None:
    official = [
        row
        for row in published.rows("tide_official_hilo")
        if row["station_id"] == station and first <= row["utc"][:10] <= last
    ]
    found = tide(station, first, last).facts
    assert len(found) == len(official) > 700
    for ours, theirs in zip(found, official, strict=True):
        assert ours["kind"][0].upper() == theirs["type"]
        off = _instant(ours["utc"]) - _instant(theirs["utc"])
        assert abs(off.total_seconds()) <= within_min * 60
        assert abs(ours["height_m"] - float(theirs["height_ft_mllw"]) * 0.3048) * 100 <= within_cm


def test_the_day_of_seattle_meets_the_official_one() -> None:
    official = [row for row in published.rows("tide_official_hilo") if row["station_id"] == SEATTLE]
    found = tide(SEATTLE, "2019-08-30", "2019-08-31").facts
    for theirs in official:
        near = min(found, key=lambda ours: abs(_instant(ours["utc"]) - _instant(theirs["utc"])))
        assert abs(_instant(near["utc"]) - _instant(theirs["utc"])).total_seconds() <= 120
        assert near["height_m"] == pytest.approx(float(theirs["height_ft_mllw"]) * 0.3048, abs=0.01)


def test_a_month_of_large_range_meets_what_was_computed_apart() -> None:
    rows = [
        row
        for row in published.rows("tide_computed_large_range")
        if row["kind_H_L_or_hourly"] in {"H", "L"}
    ]
    found = tide(EASTPORT, "2026-03-01", "2026-03-31").facts
    assert len(found) == len(rows)
    for ours, theirs in zip(found, rows, strict=True):
        assert abs((_instant(ours["utc"]) - _instant(theirs["utc"])).total_seconds()) <= 60
        assert ours["height_m"] == pytest.approx(float(theirs["height_m_mllw"]), abs=0.01)


@pytest.mark.parametrize("row", published.rows("tide_stations"), ids=lambda row: row["name"])
def test_every_station_stays_between_its_lowest_and_highest(row: dict[str, str]) -> None:
    # LAT and HAT are published for the years 1983-2001; 5 cm for what other years add.
    found = tide(row["station_id"], "2026-01-01", "2026-12-31").facts
    lowest, highest = (float(row[name]) - float(row["MLLW_m"]) for name in ("LAT_m", "HAT_m"))
    heights = [each["height_m"] for each in found]
    assert lowest - 0.05 <= min(heights) < max(heights) <= highest + 0.05
    assert max(heights) - min(heights) > 0.7 * (highest - lowest)
    kinds = [each["kind"] for each in found]
    assert all(one != other for one, other in itertools.pairwise(kinds))
    assert 600 <= len(found) <= 1420
    assert found[0]["utc"].startswith("2026-01-01")
    assert found[-1]["utc"].startswith("2026-12-3")


def test_days_are_whole_days_of_utc() -> None:
    found = tide(KEY_WEST, "2017-03-01", "2017-03-02").facts
    assert {each["utc"][:10] for each in found} == {"2017-03-01", "2017-03-02"}
    assert set(found[0]) == {"utc", "height_m", "kind"}
    both = tide(KEY_WEST, "2017-03-01", "2017-03-01").facts
    both += tide(KEY_WEST, "2017-03-02", "2017-03-02").facts
    assert both == found


@pytest.mark.parametrize(
    ("old", "new", "says"),
    [
        ("M2,0.5,142", "M2,half,142", "'half' is not a number"),
        ("M2,0.5,142", "M2,,142", "the cell is empty"),
        ("M2,0.5,142", "M2,0.5,1420", "not between"),
        ("M2,0.5,142", "MX,0.5,142", "MX"),
        ("amplitude_m", "amplitude_ft_per_mile", "no column 'amplitude_m'"),
    ],
)
def test_a_broken_row_is_named_and_nothing_is_predicted(
    tmp_path: Path, old: str, new: str, says: str
) -> None:
    text = CONSTANTS.read_text(encoding="utf-8")
    assert old in text
    broken = tmp_path / "constants.csv"
    broken.write_text(text.replace(old, new, 1), encoding="utf-8")
    done = tide(LA_JOLLA, "2017-01-01", "2017-01-02", constants=broken)
    assert done.code == 1
    assert says in done.err
    assert "row" in done.err
    assert done.out == ""
    assert "Traceback" not in done.err


@pytest.mark.parametrize(
    ("change", "says"),
    [
        ({"station": "0000000"}, "0000000"),
        ({"first": "2017-13-01"}, "'2017-13-01' is no date"),
        ({"last": "2016-01-01"}, "--to 2016-01-01 lies before --from 2017-01-01."),
        ({"last": "2099-01-01"}, "Ask for 3700 days at most"),
        ({"first": "1066-10-14", "last": "1066-10-15"}, ""),
        ({"constants": Path("/nowhere/constants.csv")}, "cannot be read"),
        ({"stations": Path("/bin/sh")}, ""),
        ({"constants": Path("/")}, "cannot be read"),
    ],
)
def test_what_cannot_be_asked_of_a_tide(change: dict[str, Any], says: str) -> None:
    asked = {"station": KEY_WEST, "first": "2017-01-01", "last": "2017-01-02"} | change
    done = tide(**asked)
    assert done.refused, done.err
    assert says in done.err
    assert done.out == ""


def test_an_empty_file_of_constants_is_told(tmp_path: Path) -> None:
    empty = tmp_path / "empty.csv"
    empty.write_text("", encoding="utf-8")
    done = tide(KEY_WEST, "2017-01-01", "2017-01-02", constants=empty)
    assert done.refused
    assert "hold no rows" in done.err


SUN = ("civil_dawn", "sunrise", "sunset", "civil_dusk")


def almanac(latitude: str, longitude: str, zone: str, day: str) -> Any:
    return manage(
        *("almanac", "--lat", latitude, "--lon", longitude, "--zone", zone),
        *("--date", day, "--json"),
    )


@pytest.mark.parametrize("row", published.rows("sun_usno_2026")[:12], ids=lambda r: r["local_date"])
def test_the_almanac_meets_the_naval_observatory(row: dict[str, str]) -> None:
    offset = int(row["utc_offset_hours"])
    zone = f"Etc/GMT{-offset:+d}" if offset else "Etc/GMT"
    found = almanac(row["latitude_deg"], row["longitude_deg"], zone, row["local_date"]).facts
    rules = ZoneInfo(zone)
    for event in SUN:
        printed = row[f"{event}_local"]
        if printed == "-":
            assert found[event] is None
            assert found["why"][event]
            continue
        wanted = datetime.datetime.fromisoformat(f"{row['local_date']}T{printed}").replace(
            tzinfo=rules
        )
        off = abs((_instant(found[event]) - wanted).total_seconds())
        # Printed to the minute; steep latitudes as in tests/reference.
        assert min(off, 86400 - off) <= (90 if abs(float(row["latitude_deg"])) < 60 else 240)


def test_where_the_sun_does_not_set_the_almanac_says_why() -> None:
    found = almanac("78.2", "15.6", "Arctic/Longyearbyen", "2026-06-21").facts
    assert found["sunrise"] is None
    assert found["sunset"] is None
    assert found["why"]["sunset"]
    assert set(found) == {*SUN, "moonrise", "moonset", "moon_fraction", "why"}
    assert 0 <= found["moon_fraction"] <= 1


@pytest.mark.parametrize(
    ("place", "says"),
    [
        (("91", "0", "Europe/Dublin", "2026-06-13"), "91"),
        (("53", "200", "Europe/Dublin", "2026-06-13"), "200"),
        (("53", "-9", "Europe/Atlantis", "2026-06-13"), "Europe/Atlantis"),
        (("53", "-9", "../../etc/passwd", "2026-06-13"), ""),
        (("53", "-9", "Europe/Dublin", "tomorrow"), "'tomorrow' is no date"),
        (("nan", "-9", "Europe/Dublin", "2026-06-13"), ""),
        (("north", "-9", "Europe/Dublin", "2026-06-13"), "north"),
        (("53", "-9", "Europe/Dublin", "0001-01-01"), ""),
    ],
)
def test_what_cannot_be_asked_of_the_almanac(place: tuple[str, ...], says: str) -> None:
    done = almanac(*place)
    assert done.refused, done.err
    assert says in done.err
    assert done.out == ""


def test_a_day_at_a_spot(season: Any) -> None:
    found = manage("day", "north strand", "2026-06-13", "--json").facts
    assert (found["spot"], found["date"], found["zone"]) == (
        "North Strand",
        "2026-06-13",
        "Europe/Dublin",
    )
    zone = ZoneInfo("Europe/Dublin")
    turns = found["tide"]["turns"]
    assert len(turns) in {3, 4}
    for turn in turns:
        local = _instant(turn["utc"]).astimezone(zone)
        assert turn["local"] == f"{local:%Y-%m-%d %H:%M}"
        assert local.date().isoformat() == "2026-06-13"
        assert 0 <= turn["height_m"] <= 6
    kinds = [turn["kind"] for turn in turns]
    assert all(one != other for one, other in itertools.pairwise(kinds))
    assert found["tide"]["source"].startswith("Marram Head: ")
    assert found["light"]["sunrise"]["local"] < found["light"]["sunset"]["local"]
    assert found["note"] == "Not for navigation."
    by_number = manage("day", str(Spot.objects.get(name="North Strand").pk), "2026-06-13", "--json")
    assert by_number.facts == found
    words = manage("day", "North Strand", "2026-06-13").out
    assert turns[0]["local"][-5:] in words
    assert "Not for navigation." in words


def test_a_day_where_no_tide_is_known_says_so(season: Any) -> None:
    Spot.objects.filter(name="North Strand").update(tide_source=None)
    found = manage("day", "North Strand", "2026-06-13", "--json").facts
    assert found["tide"]["turns"] == []
    assert "has no tide source yet" in found["tide"]["why"]
    assert found["light"]["sunrise"]
    done = manage("day", "North Strand", "2026-06-13")
    assert done.code == 0
    assert "has no tide source yet" in done.out


def test_the_worked_example_costs_what_it_should(business: Any) -> None:
    # Invented figures worked by hand, rates rounded to the cent before use.
    plan = worked_example()
    found = manage("cost", str(plan.trip_id), "--json").facts
    assert found["currency"] == "EUR"
    assert found["trip_direct"] == "346.10"
    assert found["before_heads"] == "872.18"
    assert found["contribution_per_head"] == "269.20"
    assert found["fee_per_head"] == "5.80"
    assert found["break_even"]["paying_yourself"]["heads_exact"] == "3.24"
    assert found["break_even"]["paying_yourself"]["heads"] == 4
    assert found["break_even"]["cash_only"]["heads_exact"] == "1.85"
    assert found["break_even"]["cash_only"]["heads"] == 2
    rows = [
        tuple(row[name] for name in ("heads", "income", "after_all_costs", "earned_per_guide_hour"))
        for row in found["parties"]
    ]
    assert rows == [
        (2, "580.00", "-333.78", "2.37"),
        (3, "870.00", "-64.58", "18.20"),
        (4, "1160.00", "204.62", "34.04"),
    ]
    assert found["private_day"]["heads"] == 2
    assert found["private_day"]["price"].split(".")[0] == "1087"
    amounts = {line["label"]: line["amount"] for line in found["lines"]}
    assert amounts["Road"] == "126.00"
    assert amounts["Flight packs"] == "10.60"
    assert amounts["Provision for a lost craft"] == "65.00"
    assert "17.50" in amounts.values(), "the provision for days called off"
    words = manage("cost", str(plan.trip_id)).out
    for figure in ("346.10", "872.18", "269.20", "-333.78", "34.04", "3.24"):
        assert figure in words


def test_a_trip_without_rates_or_plan_is_told(season: Any) -> None:
    before = row_counts()
    trip = Trip.objects.filter(starts_at__gt=NOON)[0]
    CostBasis.objects.all().delete()
    done = manage("cost", str(trip.pk))
    assert done.refused
    assert "There is no cost basis for" in done.err
    trip.plan.delete()
    done = manage("cost", str(trip.pk))
    assert done.refused
    assert "has no plan yet" in done.err
    assert row_counts()["bookings.Quote"] == before["bookings.Quote"]


def _instant(text: str) -> datetime.datetime:
    return datetime.datetime.fromisoformat(text)
