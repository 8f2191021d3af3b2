"""What hangs on a spot as a person uses it: forecasts, closures, pictures, waypoints, the year."""

from __future__ import annotations

import datetime
import io
from pathlib import Path
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import connection
from django.test import Client as Browser
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone
from PIL import Image

from bookings.models import Business
from guiding.days.models import Closure, Forecast, Spot, SpotPhoto
from tests.factories_days import SpotFactory
from tests.season import row_counts
from tests.visit import Page, Visitor


@pytest.fixture
def visitor(desk: Browser) -> Visitor:
    return Visitor(desk)


@pytest.fixture
def spot(business: object) -> Spot:
    return SpotFactory(name="North Strand")


def send_file(visitor: Visitor, name: str, pk: int | None, **typed: Any) -> Page:
    address = reverse(name, args=[pk] if pk else None)
    return visitor._arrived(visitor.client.post(address, typed, follow=True))


def test_a_forecast_is_typed_in_any_unit(visitor: Visitor, spot: Spot) -> None:
    visitor.go(reverse("forecast_type", args=[spot.pk]))
    page = visitor.send(
        source="radio, 18:00", wind_9="15 kn", gust_9="40 km/h", wave_9="6 ft", wave_12="1.2",
    )  # fmt: skip
    assert "Forecast kept." in page.told, page.problems
    nine, noon = Forecast.objects.get().hours.filter(wave_m__isnull=False)
    # The knot and the foot by their definitions, 1852 m an hour and 0.3048 m.
    assert nine.wind_ms == pytest.approx(15 * 1852 / 3600, abs=0.01)
    assert nine.gust_ms == pytest.approx(40 / 3.6, abs=0.01)
    assert nine.wave_m == pytest.approx(6 * 0.3048, abs=0.01)
    assert (noon.wave_m, noon.wind_ms) == (1.2, None)


@pytest.mark.parametrize(
    ("typed", "says"),
    [
        ({}, "Give the wind or the waves of one hour at least."),
        ({"wind_9": "breezy"}, "breezy"),
        ({"wave_9": "90 m"}, "30"),
        ({"wind_9": "5", "day": "2020-06-01"}, "check the year"),
        ({"wind_9": "5", "source": ""}, "required"),
    ],
)
def test_a_forecast_that_cannot_be_is_refused_and_kept_in_the_form(
    visitor: Visitor, spot: Spot, typed: dict[str, str], says: str
) -> None:
    visitor.go(reverse("forecast_type", args=[spot.pk]))
    page = visitor.send(**({"source": "radio", "gust_12": ""} | typed))
    assert page.status == 422
    assert says in page.text
    assert page.form("wind_9").values["wind_9"] == typed.get("wind_9", "")
    assert not Forecast.objects.exists()


TYPED = {
    "sill_m": "10 ft",
    "wave_stop_m": "8 ft",
    "wave_caution_m": "4 ft 6 in",
    "wind_stop_ms": "27 kn",
    "surge_m": "1 ft",
    "drive_km": "10 mi",
    "sand_km": "0 km",
    "drop_m": "250 yd",
    "hook_inside_limit_mm": "1.5 in",
}
# The foot, yard, inch and mile by their definitions of 1959, the knot as 1852 m an hour.
KEPT = {
    "sill_m": 3.048,
    "wave_stop_m": 2.4384,
    "wave_caution_m": 1.3716,
    "wind_stop_ms": 13.89,
    "surge_m": 0.3048,
    "drive_km": 16.09344,
    "sand_km": 0,
    "drop_m": 228.6,
    "hook_inside_limit_mm": 38.1,
}


@pytest.mark.parametrize("units", ["metric", "imperial"])
def test_limits_and_distances_are_typed_in_any_unit(
    visitor: Visitor, spot: Spot, units: str
) -> None:
    Business.objects.update(units=units)
    visitor.go(reverse("spot_edit", args=[spot.pk]))
    page = visitor.send(**TYPED)
    assert "saved" in page.told, page.problems
    spot.refresh_from_db()
    assert {name: getattr(spot, name) for name in KEPT} == pytest.approx(KEPT, abs=0.005)
    # What the form shows is sent back as it is: nothing moves.
    before = Spot.objects.values().get()
    visitor.go(reverse("spot_edit", args=[spot.pk]))
    assert "saved" in visitor.send().told
    assert Spot.objects.values().get() == before


@pytest.mark.parametrize("name", sorted(TYPED))
def test_a_number_without_a_unit_is_not_guessed_where_feet_are_meant(
    visitor: Visitor, spot: Spot, name: str
) -> None:
    visitor.go(reverse("spot_edit", args=[spot.pk]))
    assert "saved" in visitor.send(**{name: "2"}).told, "metric: the unit stands in the label"
    Business.objects.update(units="imperial")
    kept = getattr(Spot.objects.get(), name)
    visitor.go(reverse("spot_edit", args=[spot.pk]))
    page = visitor.send(**{name: "5"})
    assert page.status == 422
    assert "Write the unit with the number: 5 " in page.problems
    assert getattr(Spot.objects.get(), name) == kept


@pytest.mark.parametrize(
    ("typed", "says"),
    [
        ({"wind_stop_ms": "27 ft"}, "The unit 'ft' does not fit here"),
        ({"drop_m": "far"}, "'far' is no number"),
        ({"drop_m": "3 km"}, "Give 2000 m at most."),
        ({"drive_km": "-4"}, "Give 0 km or more."),
        ({"wave_stop_m": "1,500"}, "can be read in two ways"),
    ],
)
def test_a_limit_in_a_wrong_unit_is_refused_in_a_sentence(
    visitor: Visitor, spot: Spot, typed: dict[str, str], says: str
) -> None:
    visitor.go(reverse("spot_edit", args=[spot.pk]))
    page = visitor.send(**typed)
    assert page.status == 422
    assert says in page.problems


def test_a_forecast_is_read_from_a_file(visitor: Visitor, spot: Spot) -> None:
    now = timezone.localtime().replace(microsecond=0)
    soon = (now + datetime.timedelta(days=1)).strftime("%Y-%m-%d")
    visitor.go(reverse("forecast_file", args=[spot.pk]))
    assert visitor.page
    given = dict(visitor.page.form("speed").values) | {"source": "Demo Weather Office"}
    for text, kept in (
        (f"time,wind,wave\n{soon} 09:00,4,0.5\n{soon} 08:00,4,0.5\n", False),
        (f"time,wind,wave\n{soon} 09:00,4,0.5\n{soon} 12:00,5,0.6\n", True),
    ):
        file = SimpleUploadedFile("friday.csv", text.encode())
        page = send_file(visitor, "forecast_file", spot.pk, **given | {"file": file})
        assert (page.status == 200) is kept, page.problems
        assert ("put them in order" in page.text) is not kept
    assert Forecast.objects.get().hours.count() == 2


def test_a_spot_is_shut_for_a_season_and_opened_again(visitor: Visitor, spot: Spot) -> None:
    visitor.go(reverse("closure_new", args=[spot.pk]))
    page = visitor.send(
        first_day="2026-10-01", last_day="2026-03-31", yearly="on", reason="birds rest here"
    )
    assert "is shut on these dates" in page.told, page.problems
    row = Closure.objects.get()
    page = visitor.go(reverse("almanac", args=[spot.pk]), month="2026-12")
    assert page.text.count("birds rest here") == 31
    visitor.client.post(reverse("closure_remove", args=[row.pk]))
    page = visitor.go(reverse("almanac", args=[spot.pk]), month="2026-12")
    assert "birds rest here" not in page.text


def picture(**more: Any) -> bytes:
    out = io.BytesIO()
    Image.new("RGB", (40, 30), "olive").save(out, "JPEG", **more)
    return out.getvalue()


def test_a_picture_is_drawn_anew_shown_and_taken_off(
    visitor: Visitor, spot: Spot, settings: Any, tmp_path: Path
) -> None:
    settings.MEDIA_ROOT = tmp_path
    exif = Image.Exif()
    exif[0x010F] = "Invented camera"
    sent = SimpleUploadedFile("gutter.jpg", picture(exif=exif.tobytes()))
    page = send_file(visitor, "photo_new", spot.pk, file=sent, title="The gutter")
    assert "The picture is kept" in page.told, page.problems
    row = SpotPhoto.objects.get()
    answer = visitor.client.get(reverse("spot_photo", args=[row.pk]))
    content = b"".join(answer.streaming_content)  # type: ignore[attr-defined]
    assert answer["Content-Type"] == "image/jpeg"
    assert b"Invented camera" not in content
    visitor.client.post(reverse("photo_off", args=[row.pk]))
    assert visitor.client.get(reverse("spot_photo", args=[row.pk])).status_code == 404


@pytest.mark.parametrize("content", [b"%PDF-1.7 x", b"GIF89a", b"no picture", b"\xff\xd8\xff"])
def test_what_is_no_picture_is_refused(visitor: Visitor, spot: Spot, content: bytes) -> None:
    page = send_file(visitor, "photo_new", spot.pk, file=SimpleUploadedFile("a.jpg", content))
    assert page.status == 422
    assert "picture" in page.problems
    assert not SpotPhoto.objects.exists()


def test_spots_go_out_as_gpx_and_come_back_moved(visitor: Visitor, spot: Spot) -> None:
    answer = visitor.client.get(reverse("spots_gpx"))
    assert answer["Content-Type"] == "application/gpx+xml"
    text = answer.content.decode()
    assert "North Strand" in text
    moved = text.replace('lat="53.42', 'lat="53.43')
    assert moved != text
    page = send_file(visitor, "gpx_import", None, file=SimpleUploadedFile("s.gpx", moved.encode()))
    assert "Move the spot here" in page.text, page.problems
    before = row_counts()
    number = next(iter(page.form("gpx").choices["move"]))
    page = visitor.send("gpx", move=number)
    assert "North Strand moved." in page.told
    spot.refresh_from_db()
    assert spot.latitude == pytest.approx(53.43, abs=1e-4)
    assert row_counts()["days.Spot"] == before["days.Spot"]


@pytest.mark.parametrize("text", ["", "no xml", "<gpx><wpt/></gpx>", "<html></html>"])
def test_a_file_that_is_no_gpx_is_told(visitor: Visitor, spot: Spot, text: str) -> None:
    page = send_file(visitor, "gpx_import", None, file=SimpleUploadedFile("s.gpx", text.encode()))
    assert page.status == 422
    assert page.problems


def test_a_year_has_a_row_a_day_and_takes_a_fixed_number_of_queries(
    visitor: Visitor, spot: Spot
) -> None:
    address, before = reverse("almanac", args=[spot.pk]), row_counts()
    counts = []
    for query in ({"month": "2026-02"}, {"year": "2026"}, {"year": "2028"}):
        with CaptureQueriesContext(
            connection,
        ) as seen:
            page = visitor.go(address, **query)
        counts.append(len(seen))
    assert page.html.count('data-label="Sun"') == 366, "2028 has a leap day"
    assert counts[0] == counts[1] == counts[2], counts
    assert row_counts() == before
