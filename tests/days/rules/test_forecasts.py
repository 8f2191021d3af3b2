"""Forecasts read from tables and from the answers of services."""

from __future__ import annotations

import json
from datetime import UTC, datetime
from typing import Any

import pytest

from guiding.days.rules.forecasts import (
    ForecastColumns,
    ForecastUnits,
    read_forecast_table,
    read_service_answer,
)
from guiding.days.rules.forecasts.table import HeatUnit, LengthUnit, SpeedUnit
from guiding.days.rules.weather import Issue, outlook
from tests.reference import published


def sample(name: str) -> str:
    return (published.FOLDER / f"sample_{name}_made.json").read_text(encoding="utf-8")


def utc(day: int, hour: int, minute: int = 0) -> datetime:
    return datetime(2026, 5, day, hour, minute, tzinfo=UTC)


# ------------------------------------------------------------------ tables


def test_a_plain_table_is_read_with_its_empty_cells() -> None:
    found = read_forecast_table("time,wind,wave\n2026-05-16 05:00,4.5,0.6\n2026-05-16 06:00,,0.7\n")
    assert found.problems == ()
    assert [(h.at, h.wind_ms, h.wave_m) for h in found.hours] == [
        (utc(16, 5), 4.5, 0.6),
        (utc(16, 6), None, 0.7),
    ]


def test_columns_of_any_name_and_an_offset_of_their_own() -> None:
    columns = ForecastColumns(
        time="time_local",
        wind_ms="wind_speed_m_s",
        gust_ms="wind_gust_m_s",
        wind_from_deg="wind_from_deg",
        rain_mm="rain_mm_h",
        wave_m="wave_height_m",
        period_s="wave_period_s",
        offset="utc_offset",
    )
    text = published.path("sample_forecast_plain_made").read_text(encoding="utf-8")
    found = read_forecast_table(text, columns)
    assert [hour.at for hour in found.hours] == [utc(16, 9), utc(16, 10), utc(16, 11)]
    assert (found.hours[0].gust_ms, found.hours[0].wind_from_deg) == (7.2, 225.0)
    assert found.hours[2].is_empty


@pytest.mark.parametrize(
    ("unit", "typed", "wind_ms"),
    [
        (SpeedUnit.KNOT, 10, 5.1444),
        (SpeedUnit.KILOMETRE_PER_HOUR, 36, 10.0),
        (SpeedUnit.MILE_PER_HOUR, 10, 4.4704),
    ],
)
def test_winds_in_other_units(unit: SpeedUnit, typed: int, wind_ms: float) -> None:
    text = f"time,wind\n2026-05-16 05:00,{typed}\n"
    assert read_forecast_table(text, None, ForecastUnits(speed=unit)).hours[0].wind_ms == wind_ms


def test_feet_and_fahrenheit() -> None:
    units = ForecastUnits(length=LengthUnit.FOOT, heat=HeatUnit.FAHRENHEIT)
    hour = read_forecast_table("time,wave,air\n2026-05-16 05:00,10,50\n", None, units).hours[0]
    assert (hour.wave_m, hour.air_c) == (3.048, 10.0)


def test_decimal_commas_and_yes_and_no() -> None:
    text = "time;wind;thunder\n2026-05-16 05:00;4,5;yes\n2026-05-16 06:00;4,5;no\n"
    assert [(h.wind_ms, h.thunder) for h in read_forecast_table(text).hours] == [
        (4.5, True),
        (4.5, False),
    ]


def test_local_times_across_the_hour_that_comes_twice() -> None:
    text = "time,wind\n2026-10-25 00:30,1\n2026-10-25 01:30,2\n2026-10-25 01:30,3\n"
    found = read_forecast_table(text, None, ForecastUnits(zone="Europe/Dublin"))
    assert [(hour.at.hour, hour.at.minute) for hour in found.hours] == [(23, 30), (0, 30), (1, 30)]


def test_a_local_time_that_the_clocks_skip_is_refused() -> None:
    text = "time,wind\n2026-03-29 01:30,1\n"
    found = read_forecast_table(text, None, ForecastUnits(zone="Europe/Dublin"))
    assert "row 2, time: 2026-03-29 01:30 does not exist there" in str(found.problems[0])


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("", "the forecast hold no rows"),
        ("wind\n3\n", "no column 'time'"),
        ("time,air\n2026-05-16 05:00,3\n", "there is no column 'wind' or 'wave'"),
        ("time,wind\nyesterday,3\n", "row 2, time: 'yesterday' is not a time"),
        ("time,wind\n2026-05-16 05:00,strong\n", "row 2, wind: 'strong' is not a number"),
        ("time,wind\n2026-05-16 05:00,-1\n", "row 2, wind: -1 is not between 0 and 90"),
        ("time,wind\n2026-05-16 05:00,nan\n", "row 2, wind"),
        ("time,wave\n2026-05-16 05:00,31\n", "check the figure and its unit"),
        (
            "time,wind\n2026-05-16 06:00,3\n2026-05-16 05:00,3\n",
            "row 3, time: the time is not after the row above",
        ),
        ("time,wind\n2026-05-16 05:00,3,4\n", "row 2: the row has 3 cells"),
        ("time,wind,thunder\n2026-05-16 05:00,3,maybe\n", "neither yes nor no"),
    ],
)
def test_what_is_wrong_is_named_and_nothing_is_read(text: str, message: str) -> None:
    found = read_forecast_table(text)
    assert found.hours == ()
    assert message in "; ".join(map(str, found.problems))


def test_every_bad_row_is_named() -> None:
    text = "time,wind\n2026-05-16 05:00,x\n2026-05-16 06:00,3\n2026-05-16 07:00,y\n"
    assert [problem.row for problem in read_forecast_table(text).problems] == [2, 4]


def test_a_zone_that_does_not_exist_is_refused() -> None:
    with pytest.raises(ValueError, match="no time zone"):
        read_forecast_table("time,wind\n2026-05-16 05:00,1\n", None, ForecastUnits(zone="Mars"))


# ------------------------------------------------------------------ answers of services


def test_arrays_in_local_time_and_their_own_units() -> None:
    """Fields, units and times as forecast_fields.csv has them; the figures are invented."""
    found = read_service_answer(sample("open_meteo_forecast"))
    assert found.problems == ()
    assert len(found.hours) == 24
    first = found.hours[0]
    assert first.at == utc(16, 4)  # midnight at UTC-4
    assert first.wind_ms == 5.0  # 18 km/h
    assert (first.wind_from_deg, first.air_c, first.thunder) == (200.0, 5.4, False)


def test_rain_and_gusts_of_the_hour_before_become_those_of_the_hour_that_begins() -> None:
    """In arrays rain is the sum, gust the highest of the preceding hour (forecast_fields.csv)."""
    answer = json.loads(sample("open_meteo_forecast"))["hourly"]
    hours = read_service_answer(sample("open_meteo_forecast")).hours
    assert [hour.rain_mm for hour in hours[:-1]] == answer["precipitation"][1:]
    assert hours[-1].rain_mm is None
    assert hours[3].gust_ms == pytest.approx(max(answer["wind_gusts_10m"][3:5]) / 3.6, abs=1e-4)


def test_a_null_of_the_sea_is_not_known() -> None:
    hours = read_service_answer(sample("open_meteo_marine")).hours
    assert [hour.water_c for hour in hours[2:6]] == [8.4, None, None, 8.4]
    assert (hours[0].wave_m, hours[0].period_s, hours[0].wave_from_deg) == (0.8, 5.0, 140.0)


def test_a_series_in_utc_with_the_time_it_was_made() -> None:
    found = read_service_answer(sample("met_norway"))
    assert found.issued_at == utc(16, 4)
    assert (found.hours[0].wind_ms, found.hours[0].gust_ms, found.hours[0].rain_mm) == (5.0, 8.0, 0)
    assert found.hours[13].rain_mm == 1.3
    # from here on every six hours: a sixth of the rain of six hours
    assert found.hours[18].rain_mm == pytest.approx(0.4 / 6, abs=1e-4)
    assert found.hours[-1].rain_mm is None


def test_a_series_every_six_hours_holds_beside_an_hourly_sea() -> None:
    weather = read_service_answer(sample("met_norway"))
    sea = json.loads(sample("open_meteo_marine"))
    sea["hourly"]["time"] = [f"2026-05-17T{hour:02d}:00" for hour in range(24)]
    sea["timezone"] = "GMT"
    issues = (
        Issue(2, utc(16, 5), read_service_answer(json.dumps(sea)).hours),
        Issue(1, utc(16, 4), weather.hours),
    )
    found = {hour.at: hour for hour in outlook(issues, utc(17, 0), utc(17, 12)).hours}
    assert found[utc(17, 7)].wind_ms == found[utc(17, 4)].wind_ms == 4.4
    assert found[utc(17, 7)].wave_m is not None


def test_thunder_is_read_from_the_code_and_from_the_symbol() -> None:
    arrays = json.loads(sample("open_meteo_forecast"))
    arrays["hourly"]["weather_code"][5] = 95
    assert read_service_answer(json.dumps(arrays)).hours[5].thunder is True
    series = json.loads(sample("met_norway"))
    series["properties"]["timeseries"][2]["data"]["next_1_hours"]["summary"]["symbol_code"] = (
        "rainandthunder"
    )
    assert read_service_answer(json.dumps(series)).hours[2].thunder is True


def changed(name: str, path: tuple[str | int, ...], value: Any) -> str:
    answer = json.loads(sample(name))
    place = answer
    for step in path[:-1]:
        place = place[step]
    place[path[-1]] = value
    return json.dumps(answer)


_SERIES = ("properties", "timeseries")


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("<html>sorry</html>", "it is no JSON"),
        ("[" * 100_000, "it is no JSON"),
        ("null", "not what a weather service answers"),
        ("{}", "neither hourly figures nor a series"),
        (sample("open_meteo_error"), "the service refuses: Cannot initialize"),
        (changed("open_meteo_forecast", ("hourly", "time"), []), "1 to 480 times"),
        (changed("open_meteo_forecast", ("hourly", "time", 3), "noon"), "hourly.time[3]: 'noon'"),
        (
            changed("open_meteo_forecast", ("hourly", "time", 3), "2026-05-16T00:00"),
            "not in order",
        ),
        (changed("open_meteo_forecast", ("timezone",), "Mars/Base"), "no time zone"),
        (changed("open_meteo_forecast", ("hourly_units",), None), "the units are missing"),
        (
            changed("open_meteo_forecast", ("hourly_units", "wind_speed_10m"), "furlong"),
            "hourly.wind_speed_10m: its unit 'furlong' is not known",
        ),
        (
            changed("open_meteo_forecast", ("hourly", "wind_speed_10m"), [1, 2]),
            "hourly.wind_speed_10m: it must be a list of 24",
        ),
        (
            changed("open_meteo_forecast", ("hourly", "wind_speed_10m", 7), "breezy"),
            "hourly.wind_speed_10m[7]: 'breezy' is not a number",
        ),
        (
            changed("open_meteo_forecast", ("hourly", "wind_speed_10m", 7), True),
            "'True' is not a number",
        ),
        (
            changed("open_meteo_forecast", ("hourly", "wind_speed_10m", 7), 9999),
            "hourly.wind_speed_10m[7]: 2777.5 is not between 0 and 90",
        ),
        (changed("met_norway", ("properties", "meta"), None), "meta or timeseries is missing"),
        (changed("met_norway", ("properties", "timeseries"), []), "1 to 480 entries"),
        (changed("met_norway", (*_SERIES, 2), None), "timeseries[2]: data.instant.details"),
        (changed("met_norway", (*_SERIES, 2, "time"), "2026-05-16T06:00:00"), "no offset"),
        (changed("met_norway", (*_SERIES, 2, "time"), "2026-05-16T04:00:00Z"), "not in order"),
        (
            changed("met_norway", (*_SERIES, 2, "data", "instant", "details", "wind_speed"), "x"),
            "timeseries[2].wind_speed: 'x' is not a number",
        ),
        (changed("met_norway", ("properties", "meta", "updated_at"), "now"), "meta.updated_at"),
    ],
)
def test_nonsense_is_named_by_its_place_and_nothing_is_kept(text: str, message: str) -> None:
    found = read_service_answer(text)
    assert found.hours == ()
    assert message in str(found.problems[0])


def test_the_fields_that_are_read_are_those_of_the_documentation() -> None:
    documented = {
        name.strip()
        for row in published.rows("forecast_fields")
        for name in row["field"].split(",")
    }
    from guiding.days.rules.forecasts import answers

    assert set(answers._ARRAYS) <= documented
    # the period of the sea's spectrum peak is in the service's full answer only
    assert set(answers._SERIES) - documented == {
        "sea_surface_wave_period_at_variance_spectral_density_maximum"
    }
