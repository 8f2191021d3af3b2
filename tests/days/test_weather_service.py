"""The fetcher against a service on this machine that speaks the documented shapes, or does not."""

from __future__ import annotations

import datetime
import gzip
import json
import socket
from collections.abc import Iterator
from dataclasses import replace
from typing import Any

import pytest
from django.core.exceptions import ValidationError

from guiding.days.actions.forecasts import fetch_forecasts
from guiding.days.models import Forecast, ForecastFetch, Spot
from guiding.days.queries.forecasts import last_fetches, weather_of
from guiding.days.queries.weather_service import MOST_BYTES, Service, services
from tests.days.weather_server import Reply, WeatherServer, weather_server
from tests.factories_days import SpotFactory
from tests.reference import published

NOW = datetime.datetime(2026, 5, 16, 4, 30, tzinfo=datetime.UTC)
HOUR = datetime.timedelta(hours=1)
CREDIT = "Weather figures by the Demo Weather Office, CC BY 4.0"


def sample(name: str) -> bytes:
    return (published.FOLDER / f"sample_{name}_made.json").read_bytes()


@pytest.fixture
def server() -> Iterator[WeatherServer]:
    with weather_server() as found:
        yield found


@pytest.fixture
def spot(db: None) -> Spot:
    return SpotFactory(latitude=44.90337777, longitude=-66.98171111)


@pytest.fixture
def asked(server: WeatherServer) -> tuple[Service, Service]:
    return tuple(  # type: ignore[return-value]
        Service(part, server.url(f"/{part}"), CREDIT, "desk@marramhead.example", 0.5, 1.0)
        for part in ("weather", "sea")
    )


def fetch(spot: Spot, service: Service, at: datetime.datetime = NOW) -> ForecastFetch:
    return fetch_forecasts(spot=spot, at=at, named=[service])[0]


def test_it_is_off_until_an_address_is_set(spot: Spot, settings: Any) -> None:
    assert services() == ()
    with pytest.raises(ValidationError, match="No service is set up"):
        fetch_forecasts(spot=spot, at=NOW)
    settings.FORECAST_SEA_URL = "https://sea.example.org/?{latitude}{longitude}"
    assert [service.part for service in services()] == ["sea"]


def test_weather_and_sea_are_read_and_stand_together(
    server: WeatherServer, spot: Spot, asked: tuple[Service, Service]
) -> None:
    server.replies = {
        "/weather": Reply(sample("open_meteo_forecast")),
        "/sea": Reply(sample("open_meteo_marine")),
    }
    ended = fetch_forecasts(spot=spot, at=NOW, named=asked)
    assert [(each.ok, each.message) for each in ended] == [(True, "Read: 24 hours.")] * 2
    found = weather_of(spot, start=NOW, end=NOW + 3 * HOUR, at=NOW)
    assert (found.hours[0].wind_ms, found.hours[0].wave_m) == (5.0, 0.8)
    assert found.credit == CREDIT
    assert found.issued_at == NOW


def test_the_question_names_us_and_rounds_the_place(
    server: WeatherServer, spot: Spot, asked: tuple[Service, Service]
) -> None:
    """Identification and four decimals: terms of the services, in forecast_terms of the sources."""
    server.replies = {"/weather": Reply(sample("met_norway"))}
    fetch(spot, asked[0])
    path, headers = server.asked[0]
    assert path == "/weather?lat=44.9034&lon=-66.9817"
    assert headers["User-Agent"].startswith("Sandspike/")
    assert "desk@marramhead.example" in headers["User-Agent"]


def test_a_series_brings_its_own_time_of_issue(
    server: WeatherServer, spot: Spot, asked: tuple[Service, Service]
) -> None:
    server.replies = {"/weather": Reply(sample("met_norway"))}
    row = fetch(spot, asked[0]).forecast
    assert row is not None
    assert row.issued_at == datetime.datetime(2026, 5, 16, 4, tzinfo=datetime.UTC)


def test_a_packed_answer_is_unpacked(
    server: WeatherServer, spot: Spot, asked: tuple[Service, Service]
) -> None:
    server.replies = {
        "/weather": Reply(gzip.compress(sample("met_norway")), headers={"Content-Encoding": "gzip"})
    }
    assert fetch(spot, asked[0]).ok


# ------------------------------------------------------------------ caching


def test_it_does_not_ask_again_before_the_answer_runs_out(
    server: WeatherServer, spot: Spot, asked: tuple[Service, Service]
) -> None:
    expires = "Sat, 16 May 2026 06:30:00 GMT"
    server.replies = {"/weather": Reply(sample("met_norway"), headers={"Expires": expires})}
    first = fetch(spot, asked[0])
    assert first.not_before == NOW + 2 * HOUR
    assert fetch(spot, asked[0], NOW + 1.9 * HOUR) == first
    assert len(server.asked) == 1
    fetch(spot, asked[0], NOW + 2 * HOUR)
    assert len(server.asked) == 2


def test_without_a_word_it_waits_half_an_hour_and_never_longer_than_half_a_day(
    server: WeatherServer, spot: Spot, asked: tuple[Service, Service]
) -> None:
    server.replies = {"/weather": Reply(sample("met_norway"))}
    assert fetch(spot, asked[0]).not_before == NOW + HOUR / 2
    far = {"Expires": "Sat, 16 May 2036 06:30:00 GMT"}
    server.replies = {"/sea": Reply(sample("open_meteo_marine"), headers=far)}
    assert fetch(spot, asked[1]).not_before == NOW + 12 * HOUR


def test_what_has_not_changed_is_not_sent_twice(
    server: WeatherServer, spot: Spot, asked: tuple[Service, Service]
) -> None:
    stamp = "Sat, 16 May 2026 04:00:00 GMT"
    server.replies = {
        "/weather": Reply(sample("met_norway"), headers={"Last-Modified": stamp, "ETag": '"a"'})
    }
    first = fetch(spot, asked[0])
    server.replies = {"/weather": Reply(status=304)}
    again = fetch(spot, asked[0], NOW + HOUR)
    headers = server.asked[1][1]
    assert (headers["If-Modified-Since"], headers["If-None-Match"]) == (stamp, '"a"')
    assert (again.ok, again.forecast) == (True, first.forecast)
    assert "Nothing new" in again.message
    # and the stamp is said again the next time
    fetch(spot, asked[0], NOW + 2 * HOUR)
    assert server.asked[2][1]["If-Modified-Since"] == stamp


def test_the_same_figures_without_a_time_of_issue_are_kept_once(
    server: WeatherServer, spot: Spot, asked: tuple[Service, Service]
) -> None:
    server.replies = {"/weather": Reply(sample("open_meteo_forecast"))}
    first, again = fetch(spot, asked[0]), fetch(spot, asked[0], NOW + HOUR)
    assert first.forecast == again.forecast
    assert Forecast.objects.count() == 1


def test_each_new_issue_is_kept_beside_the_old_one(
    server: WeatherServer, spot: Spot, asked: tuple[Service, Service]
) -> None:
    server.replies = {"/weather": Reply(sample("met_norway"))}
    fetch(spot, asked[0])
    later = json.loads(sample("met_norway"))
    later["properties"]["meta"]["updated_at"] = "2026-05-16T05:00:00Z"
    details = later["properties"]["timeseries"][3]["data"]["instant"]["details"]
    details["wind_speed"] = 15.0
    server.replies = {"/weather": Reply(json.dumps(later).encode())}
    fetch(spot, asked[0], NOW + HOUR)
    at = datetime.datetime(2026, 5, 16, 7, tzinfo=datetime.UTC)
    now = weather_of(spot, start=at, end=at + HOUR, at=NOW + HOUR)
    then = weather_of(spot, start=at, end=at + HOUR, at=NOW)
    assert now.hours[0].wind_ms == 15.0
    assert then.hours[0].wind_ms == 6.4  # as it was known before: nothing was written over
    assert Forecast.objects.count() == 2


# ------------------------------------------------------------------ trouble

BOMB = gzip.compress(b" " * (MOST_BYTES * 4))
TROUBLES = {
    "a time-out": (Reply(wait_s=1.5), "No answer within 0.5 s."),
    "a slow drip": (Reply(b" " * 60, drip_s=0.05), "The answer took longer than 1 s."),
    "500": (Reply(status=500), "The service answered 500."),
    "503": (Reply(status=503), "The service answered 503."),
    "403": (Reply(status=403), "The service refuses us (403)"),
    "404": (Reply(status=404), "There is nothing at this address (404)"),
    "429": (Reply(status=429), "asked too often (429)"),
    "a new address": (
        Reply(status=302, headers={"Location": "http://127.0.0.1:1/"}),
        "The address has moved (302)",
    ),
    "nonsense": (Reply(b"<html>Have a nice day</html>"), "it is no JSON"),
    "no text": (Reply(b"\xff\xfe\x00\x80"), "The answer is no text."),
    "an empty answer": (Reply(b""), "it is no JSON"),
    "figures of another year": (
        Reply(sample("open_meteo_forecast").replace(b"2026-", b"2024-")),
        "lies 730 days before the day on which this was issued",
    ),
    "a refusal in words": (Reply(sample("open_meteo_error")), "the service refuses"),
    "10 MB": (Reply(b'{"a": "' + b"x" * 10_000_000 + b'"}'), "larger than 3 MB"),
    "a packed bomb": (Reply(BOMB, headers={"Content-Encoding": "gzip"}), "larger than 3 MB"),
    "packed nonsense": (Reply(b"abc", headers={"Content-Encoding": "gzip"}), "cannot be unpacked"),
    "half an answer": (Reply(sample("met_norway")[:500], length=9999), "The answer broke off."),
}


@pytest.mark.parametrize("name", TROUBLES)
def test_trouble_is_one_sentence_and_the_last_good_figures_stay(
    server: WeatherServer, spot: Spot, asked: tuple[Service, Service], name: str
) -> None:
    server.replies = {"/weather": Reply(sample("open_meteo_forecast"))}
    good = fetch(spot, asked[0])
    reply, sentence = TROUBLES[name]
    server.replies = {"/weather": reply}
    bad = fetch(spot, asked[0], NOW + HOUR)
    assert not bad.ok
    assert sentence in bad.message
    assert bad.not_before > NOW + HOUR
    assert Forecast.objects.get() == good.forecast
    found = weather_of(spot, start=NOW, end=NOW + 2 * HOUR, at=NOW + HOUR)
    assert found.hours[0].wind_ms == 5.0
    assert found.oldest_issued_at == NOW  # its age is known
    assert [(each.ok, each.at) for each in last_fetches(spot)] == [(False, NOW + HOUR)]


def test_nobody_there_is_one_sentence(spot: Spot) -> None:
    with socket.create_server(("127.0.0.1", 0)) as taken:
        port = taken.getsockname()[1]
    service = Service("sea", f"http://127.0.0.1:{port}/{{latitude}}{{longitude}}", CREDIT, "us")
    assert fetch(spot, service).message == "The service cannot be reached."


@pytest.mark.parametrize(
    ("stated", "wait"),
    [("7200", 2 * HOUR), ("Sat, 16 May 2026 07:30:00 GMT", 3 * HOUR), ("soon", HOUR / 4),
     ("1", HOUR / 4), ("999999999", 12 * HOUR)],
)  # fmt: skip
def test_it_waits_as_long_as_it_is_told(
    server: WeatherServer,
    spot: Spot,
    asked: tuple[Service, Service],
    stated: str,
    wait: datetime.timedelta,
) -> None:
    server.replies = {"/weather": Reply(status=429, headers={"Retry-After": stated})}
    assert fetch(spot, asked[0]).not_before == NOW + wait


def test_after_trouble_the_whole_answer_is_asked_for(
    server: WeatherServer, spot: Spot, asked: tuple[Service, Service]
) -> None:
    server.replies = {"/weather": Reply(b"nonsense", headers={"ETag": '"bad"'})}
    fetch(spot, asked[0])
    fetch(spot, asked[0], NOW + HOUR)
    assert "If-None-Match" not in server.asked[1][1]


def test_an_address_that_is_given_up_is_told(
    server: WeatherServer, spot: Spot, asked: tuple[Service, Service]
) -> None:
    server.replies = {"/weather": Reply(sample("met_norway"), status=203)}
    assert "will be given up" in fetch(spot, asked[0]).message


def test_one_service_in_trouble_does_not_hold_up_the_other(
    server: WeatherServer, spot: Spot, asked: tuple[Service, Service]
) -> None:
    server.replies = {"/weather": Reply(status=500), "/sea": Reply(sample("open_meteo_marine"))}
    assert [each.ok for each in fetch_forecasts(spot=spot, at=NOW, named=asked)] == [False, True]


def test_a_proxy_in_the_environment_is_not_asked(
    server: WeatherServer,
    spot: Spot,
    asked: tuple[Service, Service],
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setenv("http_proxy", "http://127.0.0.1:1/")
    server.replies = {"/weather": Reply(sample("met_norway"))}
    assert fetch(spot, asked[0]).ok


def test_no_other_kind_of_address_is_opened(spot: Spot, tmp_path: Any) -> None:
    (tmp_path / "w.json").write_bytes(sample("met_norway"))
    service = Service("weather", f"file://{tmp_path}/w.json", CREDIT, "us")
    ended = fetch(spot, replace(service))
    assert (ended.ok, ended.message) == (False, "The service cannot be reached.")
