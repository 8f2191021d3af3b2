"""The commands of the right day: find it, decide about it, load tides and forecasts for it."""

from __future__ import annotations

import datetime
import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from bookings.models import Trip
from guiding.days.models import Decision, Forecast, ForecastFetch, Spot, TideTurn
from tests.commands import manage
from tests.days.test_tide_imports import rows, table
from tests.days.weather_server import Reply, WeatherServer, weather_server
from tests.reference import published
from tests.season import NOON, row_counts

ASKED = ("find_days", "--offer", "Party day", "--from", "2026-06-01", "--to", "2026-07-30")
FORECAST = """time,wind,gust,wave
2026-06-03 06:00,4.0,6.0,0.6
2026-06-03 09:00,5.0,7.5,0.7
2026-06-03 12:00,6.5,9.0,0.9
"""


def next_trip() -> Trip:
    return Trip.objects.filter(starts_at__gt=NOON).order_by("starts_at")[0]


# ---------------------------------------------------------------- find_days


def test_days_are_ranked_with_parts_and_refused_by_a_gate(season: object) -> None:
    before = row_counts()
    found = manage(*ASKED, "--heads", "4", "--minors", "1", "--json").facts
    assert found["tried"] == 60 * 3
    assert found["choices"] + len(found["refused"]) == found["tried"]
    scores = [day["score"] for day in found["days"]]
    assert len(scores) == 20
    assert scores == sorted(scores, reverse=True)
    for day in found["days"]:
        assert sum(part["points"] for part in day["parts"]) == pytest.approx(day["score"])
        assert day["pick_up_utc"] < day["session_utc"][0] < day["session_utc"][1]
        assert day["spot"] != "Sker Ledge", "nobody under 18 is taken there"
    assert all(row["gate"] and row["why"] for row in found["refused"])
    gates = {row["gate"] for row in found["refused"] if row["spot"] == "Sker Ledge"}
    assert "ages" in gates
    assert row_counts() == before


def test_days_in_words_begin_with_how_many_there_are(season: object) -> None:
    done = manage(*ASKED, "--heads", "4", "--most", "3")
    lines = done.out.splitlines()
    assert lines[0].endswith("choices of 180 tried.")
    assert all("(tide and light " in line for line in lines[1:4])
    assert any("  no     " in line for line in lines)


@pytest.mark.parametrize(
    ("more", "says"),
    [
        (("--offer", "Moon day"), "There is no offer 'Moon day'. Known offers:"),
        (("--spot", "Atlantis"), "There is no spot 'Atlantis'. Known spots:"),
        (("--from", "June"), "'June' is no date"),
        (("--from", "2026-08-01"), "search 1 to 400"),
        (("--to", "2030-01-01"), "search 1 to 400"),
        (("--heads", "0"), "is no party"),
        (("--heads", "2", "--minors", "3"), "is no party"),
        (("--weekdays", "7"), "names no weekdays"),
    ],
)
def test_what_cannot_be_searched_is_one_sentence(
    season: object, more: tuple[str, ...], says: str
) -> None:
    done = manage(*ASKED, *more)
    assert done.refused, done.err
    assert says in done.err


# ---------------------------------------------------------------- decide


def test_decide_prints_every_finding_and_decides_nothing(season: object) -> None:
    before, trip = row_counts(), next_trip()
    found = manage("decide", str(trip.pk), "--json").facts
    assert (found["trip"], found["spot"]) == (trip.pk, "Wreck Bay")
    assert found["proposal"] in {"go", "hold", "call off"}
    assert found["why"]
    assert found["forecast"]["issued_utc"] == "2026-06-01T06:00:00Z"
    by_name = {one["what"]: one for one in found["findings"]}
    for name, unit in (("Waves", "m"), ("Mean wind", "m/s"), ("Rain in an hour", "mm")):
        one = by_name[name]
        assert one["unit"] == unit
        assert one["limit"] is not None
        assert one["at_utc"], "the hour of the worst figure"
    assert {one["verdict"] for one in found["findings"]} <= {"go", "caution", "stop"}
    assert found["decided"] is None
    assert found["instead"], "other spots and days in the same breath"
    assert found["note"].endswith("Check with your own authority.")
    assert row_counts() == before


def test_decide_tells_what_was_decided_before(season: object) -> None:
    row = Decision.objects.get(verdict="go")
    found = manage("decide", str(row.plan.trip_id), "--json").facts
    assert found["decided"]["call"] == "go"
    assert found["decided"]["by"] == row.taken_by_name
    assert found["decided"]["reason"] == row.reason
    words = manage("decide", str(next_trip().pk)).out
    assert "Wreck Bay, " in words
    assert "Instead: " in words
    assert words.rstrip().endswith("Not for navigation. Check with your own authority.")


def test_decide_says_what_is_missing(season: object) -> None:
    done = manage("decide", "424242")
    assert done.refused
    assert "There is no trip 424242." in done.err
    trip = next_trip()
    trip.plan.delete()
    done = manage("decide", str(trip.pk))
    assert done.refused
    assert "has no plan yet" in done.err


# ---------------------------------------------------------------- tides


def tide_file(folder: Path, lines: list[str]) -> str:
    found = folder / "marram.csv"
    found.write_text(table(lines), encoding="utf-8")
    return str(found)


def load_tides(file: str, *more: str) -> Any:
    return manage("import_tides", file, "--spot", "North Strand", "--kind", "kind", *more)


def test_tides_are_looked_at_first_and_loaded_then(season: object, tmp_path: Path) -> None:
    file = tide_file(tmp_path, rows("2027-01-01 03:00", 40))
    before = TideTurn.objects.count()
    look = load_tides(file, "--dry-run", "--json").facts
    assert (look["rows"], look["loaded"]) == (40, False)
    assert TideTurn.objects.count() == before
    done = load_tides(file, "--source", "Official tables 2027", "--json").facts
    assert (done["rows"], done["loaded"]) == (40, True)
    assert done["first_utc"] == "2027-01-01T03:00:00Z"
    assert TideTurn.objects.count() == before + 40
    source = Spot.objects.get(name="North Strand").tide_source
    assert source is not None
    assert source.table_source == "Official tables 2027"


WEEK = 28  # turns
DUBLIN = ("--zone", "Europe/Dublin")


@pytest.mark.parametrize(
    ("lines", "more", "says"),
    [
        (
            rows("2027-01-01 03:00", 80)[:20] + rows("2027-01-01 03:00", 80)[20 + WEEK :],
            (),
            "missing",
        ),
        (rows("2027-01-01 03:00", 40)[::-1], (), "order"),
        (["2027-03-28 01:30,4.0,H", "2027-03-28 08:00,1.0,L"], DUBLIN, "01:30"),
        (["2027-10-31 01:30,4.0,H", "2027-10-31 08:00,1.0,L"], DUBLIN, "twice"),
    ],
    ids=["a missing week", "out of order", "an hour skipped", "an hour twice"],
)  # fmt: skip
def test_a_bad_tide_table_is_refused_whole(
    season: object, tmp_path: Path, lines: list[str], more: tuple[str, ...], says: str
) -> None:
    before = row_counts()
    done = load_tides(tide_file(tmp_path, lines), *more)
    assert done.code == 1
    assert says in done.err
    assert "row" in done.err
    assert "Traceback" not in done.err
    assert row_counts() == before


def test_a_column_in_feet_is_refused_until_it_is_said(season: object, tmp_path: Path) -> None:
    file, before = tmp_path / "feet.csv", row_counts()
    file.write_text(table(rows("2027-01-01 03:00", 4), "time,height_ft,kind"), encoding="utf-8")
    done = load_tides(str(file), "--height", "height_ft")
    assert done.code == 1
    assert "the column's name says feet" in done.err
    assert row_counts() == before


def test_feet_said_to_be_feet_are_loaded(season: object, tmp_path: Path) -> None:
    lines = [
        f"{n.split(',')[0]},{float(n.split(',')[1]) / 0.3048:.2f},{n[-1]}"
        for n in rows("2027-01-01 03:00", 4)
    ]
    assert load_tides(tide_file(tmp_path, lines), "--unit", "ft", "--json").facts["loaded"]
    first = TideTurn.objects.get(at=datetime.datetime(2027, 1, 1, 3, tzinfo=datetime.UTC))
    assert first.height_m == pytest.approx(4.0, abs=0.01)


def test_constants_of_a_station_are_loaded_by_the_command(season: object) -> None:
    done = manage(
        "import_tides", str(published.path("tide_harmonics")), "--spot", "North Strand",
        "--stations", str(published.path("tide_stations")), "--station", "8410140", "--json",
    )  # fmt: skip
    assert done.code == 0, done.err
    assert done.facts["loaded"]
    assert done.facts["rows"] == 37


def test_a_file_that_cannot_be_read_is_one_sentence(season: object) -> None:
    for name in ("import_tides", "import_forecast"):
        done = manage(name, "/nowhere/at/all.csv", "--spot", "North Strand")
        assert done.refused
        assert "cannot be read" in done.err
        done = manage(name, "/nowhere/at/all.csv", "--spot", "Atlantis")
        assert done.refused
        assert "There is no spot 'Atlantis'" in done.err


# ---------------------------------------------------------------- forecasts


@pytest.fixture
def plain(tmp_path: Path) -> str:
    file = tmp_path / "friday.csv"
    file.write_text(FORECAST, encoding="utf-8")
    return str(file)


def load_forecast(file: str, *more: str) -> Any:
    return manage("import_forecast", file, "--spot", "North Strand", *more)


def test_a_forecast_is_looked_at_first_and_kept_beside_the_others(
    season: object, plain: str
) -> None:
    given = ("--issued", "2026-06-01T12:00", "--source", "Demo Weather Office", "--json")
    before = set(Forecast.objects.values_list("pk", flat=True))
    look = load_forecast(plain, *given, "--dry-run").facts
    assert (look["hours"], look["kept"]) == (3, False)
    assert set(Forecast.objects.values_list("pk", flat=True)) == before
    done = load_forecast(plain, *given).facts
    assert (done["kept"], done["issued_utc"]) == (True, "2026-06-01T11:00:00Z")
    assert done["first_utc"] == "2026-06-03T05:00:00Z", "the clock of the business is an hour on"
    row = Forecast.objects.exclude(pk__in=before).get()
    assert [hour.wind_ms for hour in row.hours.all()] == [4.0, 5.0, 6.5]
    assert load_forecast(plain, *given).facts["kept"], "the same again is the row of before"
    assert Forecast.objects.count() == len(before) + 1


def test_knots_and_feet_of_a_forecast_become_metres(season: object, plain: str) -> None:
    load_forecast(plain, "--speed", "kn", "--length", "ft", "--zone", "UTC")
    hour = Forecast.objects.get(source=plain).hours.get(wind_ms__gt=3)
    assert hour.wind_ms == pytest.approx(6.5 * 1852 / 3600, abs=1e-3)  # the knot, by definition
    assert hour.wave_m == pytest.approx(
        0.9 * 0.3048, abs=1e-3
    )  # the international foot, by definition


@pytest.mark.parametrize(
    ("more", "says"),
    [
        (("--issued", "2025-06-01T06:00"), "check the year"),
        (("--issued", "2027-06-01T06:00"), "issued in the future"),
        (("--issued", "soon"), "'soon' is no time"),
        (("--column", "wind_ms=gale"), "there is no column 'gale'"),
        (("--column", "storm=x"), "names no column"),
        (("--zone", "Europe/Atlantis"), "Atlantis"),
    ],
)
def test_a_forecast_of_another_year_or_other_columns_is_refused(
    season: object, plain: str, more: tuple[str, ...], says: str
) -> None:
    before = row_counts()
    done = load_forecast(plain, *more)
    assert done.code == 1
    assert says in done.err
    assert "Traceback" not in done.err
    assert row_counts() == before


@pytest.fixture
def server(settings: Any) -> Iterator[WeatherServer]:
    with weather_server() as found:
        settings.FORECAST_WEATHER_URL = found.url("/weather")
        settings.FORECAST_CREDIT = "Demo Weather Office"
        settings.FORECAST_CONTACT = "desk@marramhead.example"
        yield found


def answer(hours: int = 24) -> bytes:
    """The documented shape of one open service, with its hours moved to those of the season."""
    found = json.loads((published.FOLDER / "sample_open_meteo_forecast_made.json").read_text())
    first = NOON.replace(hour=0)
    found["hourly"]["time"] = [
        f"{first + datetime.timedelta(hours=n):%Y-%m-%dT%H:%M}"
        for n in range(len(found["hourly"]["time"]))
    ]
    found["utc_offset_seconds"], found["timezone"] = 0, "GMT"
    return json.dumps(found).encode()


def test_fetching_asks_for_the_spots_that_are_soon_fished(
    season: object, server: WeatherServer
) -> None:
    server.replies = {"/weather": Reply(answer())}
    soon = {
        trip.plan.spot.name
        for trip in Trip.objects.filter(
            starts_at__gt=NOON, starts_at__lt=NOON + datetime.timedelta(days=10)
        )
    }
    told = manage("fetch_forecasts", "--json").facts
    assert {each["spot"] for each in told} == soon
    assert all(each["ok"] for each in told), told
    assert Forecast.objects.filter(kind="service").count() == len(soon)
    words = manage("fetch_forecasts", "--spot", "Sker Ledge").out
    assert words.startswith("Sker Ledge, weather: Read: ")


TROUBLE = {
    "500": Reply(status=500),
    "nonsense": Reply(b"<html>Lovely weather</html>"),
    "10 MB": Reply(b" " * (10 * 1024 * 1024)),
}


@pytest.mark.parametrize("what", list(TROUBLE))
def test_a_service_in_trouble_is_told_and_the_last_good_figures_stay(
    season: object, server: WeatherServer, what: str
) -> None:
    server.replies = {"/weather": TROUBLE[what]}
    kept = set(Forecast.objects.values_list("pk", flat=True))
    done = manage("fetch_forecasts", "--spot", "Wreck Bay")
    assert done.code == 1
    assert "the last good figures are kept." in done.err
    assert set(Forecast.objects.values_list("pk", flat=True)) == kept
    last = ForecastFetch.objects.get()
    assert not last.ok
    assert last.message in done.out


def test_fetching_is_off_until_a_service_is_named(season: object) -> None:
    done = manage("fetch_forecasts")
    assert done.refused
    assert "No service is set up" in done.err
