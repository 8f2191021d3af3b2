"""The almanac of a spot as a paper: what the page says, to hang on the wall."""

from __future__ import annotations

import datetime

import pytest
from django.test import Client

from bookings.models import Business
from guiding.days.models import Spot
from guiding.days.sheets.nature import spot_days
from tests.papers import reading
from tests.visit import Visitor

pytestmark = pytest.mark.once

JUNE = (datetime.date(2026, 6, 1), datetime.date(2026, 6, 30))


@pytest.fixture
def spot(season: object) -> Spot:
    return Spot.objects.filter(tide_source__isnull=False).earliest("pk")


def paper(desk: Client, spot: Spot, asked: str = "month=2026-06") -> bytes:
    answer = desk.get(f"/spots/{spot.pk}/almanac/almanac.pdf?{asked}")
    assert answer.status_code == 200
    assert answer.headers["Content-Type"] == "application/pdf"
    return bytes(answer.content)


def test_the_page_offers_the_same_days_as_a_pdf(season_desk: Client, spot: Spot) -> None:
    visitor = Visitor(season_desk)
    for asked in ("month=2026-06", "year=2027"):
        page = visitor.go(f"/spots/{spot.pk}/almanac/?{asked}")
        assert page.links["PDF"] == f"/spots/{spot.pk}/almanac/almanac.pdf?{asked}"


def test_a_month_holds_the_light_and_the_tide_of_every_day(season_desk: Client, spot: Spot) -> None:
    content = paper(season_desk, spot)
    told = reading.text(content)
    zone = Business.objects.get().tz
    days = spot_days(spot=spot, first=JUNE[0], last=JUNE[1], zone=str(zone))
    assert len(days) == 30
    assert len(reading.pages(content)) == 1
    assert "June 2026" in told
    at = told.index("Moon down")
    for day in days:
        # In the order of the days, so that no day borrows the times of another.
        at = told.index(f"{day.light.day:%a} {day.light.day.day} ", at)
        for instant in (day.light.sunrise, day.light.sunset, *(turn.at for turn in day.turns)):
            assert instant is not None
            assert f"{instant.astimezone(zone):%H:%M}" in told[at : at + 160]
        for turn in day.turns:
            assert f"{turn.height_m:.1f}" in told[at : at + 160]
    assert str(spot) in told
    assert "springs" in told
    assert "neaps" in told
    assert days[0].tide is not None
    assert days[0].tide.datum in told


def test_a_year_is_whole(season_desk: Client, spot: Spot) -> None:
    content = paper(season_desk, spot, "year=2028")  # a leap year
    told = reading.pages(content)
    assert len(told) == 12
    assert "February 2028" in told[1]
    assert "Tue 29 " in told[1]
    assert "December 2028" in told[11]
    assert "Sun 31 " in told[11]
    assert all("Sun up" in page for page in told), "every page says what its columns are"


def test_the_paper_follows_language_units_and_zone_of_the_business(
    season_desk: Client, spot: Spot
) -> None:
    Business.objects.update(locale="de_DE", units="imperial")
    told = reading.text(paper(season_desk, spot))
    assert "Juni 2026" in told
    assert "Vorhersagen, nicht zur Navigation" in told
    assert ", ft" in told


def test_a_spot_without_a_tide_says_why(season_desk: Client, spot: Spot) -> None:
    Spot.objects.filter(pk=spot.pk).update(tide_source=None, sill_m=None)
    spot.refresh_from_db()
    (day,) = spot_days(spot=spot, first=JUNE[0], last=JUNE[0], zone="Europe/Dublin")
    told = reading.text(paper(season_desk, spot))
    assert day.tide_why
    assert " ".join(day.tide_why.split()) in told


def test_a_spot_that_is_not_there_has_no_almanac(season_desk: Client) -> None:
    assert season_desk.get("/spots/424242/almanac/almanac.pdf").status_code == 404
