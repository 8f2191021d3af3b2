"""The night before: every limit of the next days on a page, and the decision taken from it."""

from __future__ import annotations

import re
from typing import Any

import pytest
from django.test import Client as Browser
from django.urls import reverse

from bookings.models import Business, Message, Trip
from bookings.queries.trips import next_trips
from guiding.days.models import Closure, Decision, Forecast
from tests.season import NOON, row_counts
from tests.visit import Page, Visitor


@pytest.fixture
def visitor(season_desk: Browser) -> Visitor:
    return Visitor(season_desk)


@pytest.fixture
def trip(season: Any) -> Trip:
    return next_trips(at=NOON).filter(plan__isnull=False)[0]


def page_of(visitor: Visitor, trip: Trip) -> Page:
    return visitor.go(reverse("night_before"), trip=str(trip.pk))


def test_the_page_tells_what_decides_and_writes_nothing(visitor: Visitor, trip: Trip) -> None:
    before = row_counts()
    page = page_of(visitor, trip)
    for words in ("Wreck Bay", "Leave by", "May fly", "Forecast", "Proposed:", "Instead:"):
        assert words in page.text, words
    assert "limits are kept" in page.text
    assert " AM" not in page.text, "the clock of the business holds in every finding"
    assert set(page.form("seen").buttons) == {"Go", "Hold", "Call off"}
    assert row_counts() == before


def test_a_go_is_kept_with_who_when_and_the_forecast(visitor: Visitor, trip: Trip) -> None:
    page_of(visitor, trip)
    page = decide(visitor, trip, call="go", reason="calm until noon")
    assert "Decided: go" in page.told
    row = Decision.objects.get(plan=trip.plan)
    assert (row.verdict, row.taken_at, row.taken_by_name) == ("go", NOON, "Orla Tern")
    assert row.reason == "calm until noon"
    assert row.forecast_issued_at == NOON.replace(hour=6)
    assert row.frozen["findings"]


def decide(visitor: Visitor, trip: Trip, **typed: str) -> Page:
    """Press one of the three buttons of the card."""
    form = visitor.page.form("seen") if visitor.page else None
    assert form is not None
    answer = visitor.client.post(
        reverse("trip_decide", args=[trip.pk]),
        {"seen": form.values["seen"], "reason": "", **typed},
        follow=True,
    )
    return visitor._arrived(answer)


def test_over_a_stop_the_page_asks_why_and_loses_nothing(visitor: Visitor, trip: Trip) -> None:
    day = trip.plan.session_start.date()
    Closure.objects.create(spot=trip.plan.spot, first_day=day, last_day=day, reason="seals pup")
    page = page_of(visitor, trip)
    assert "seals pup" in page.text
    page = decide(visitor, trip, call="go")
    assert "To go all the same, say why." in page.told
    assert not Decision.objects.filter(plan=trip.plan).exists()
    decide(visitor, trip, call="go", reason="the warden let us in by letter")
    row = Decision.objects.get(plan=trip.plan)
    assert (row.verdict, row.stops) == ("go", 1)
    assert row.reason == "the warden let us in by letter"


def test_numbers_that_changed_meanwhile_are_looked_at_again(visitor: Visitor, trip: Trip) -> None:
    page_of(visitor, trip)
    Forecast.objects.all().delete()
    page = decide(visitor, trip, call="go", reason="it looked fine")
    assert "The numbers have changed since you looked." in page.told
    assert "You wrote: it looked fine" in page.told
    assert not Decision.objects.filter(plan=trip.plan).exists()


def test_a_hold_keeps_the_day_and_is_decided_again_later(visitor: Visitor, trip: Trip) -> None:
    before = (trip.status, trip.cancelled_reason)
    page_of(visitor, trip)
    page = decide(visitor, trip, call="hold", reason="look again at five")
    assert "Decided: hold" in page.told
    assert "look again at five" in page.text
    row = Decision.objects.get(plan=trip.plan)
    assert (row.verdict, row.taken_by_name) == ("hold", "Orla Tern")
    trip.refresh_from_db()
    assert (trip.status, trip.cancelled_reason) == before
    assert set(page.form("seen").buttons) == {"Go", "Hold", "Call off"}
    decide(visitor, trip, call="go")
    verdicts = list(Decision.objects.filter(plan=trip.plan).values_list("verdict", flat=True))
    assert sorted(verdicts) == ["go", "hold"]


def test_the_numbers_read_in_the_units_of_the_business(visitor: Visitor, trip: Trip) -> None:
    metric = page_of(visitor, trip).text
    waves = re.search(r"Waves? ([\d.]+) m", metric)
    assert waves, metric
    Business.objects.update(units="imperial", locale="en_US")
    imperial = page_of(visitor, trip).text
    feet = re.search(r"Waves? ([\d.]+) ft", imperial)
    assert feet, imperial
    assert float(feet[1]) == pytest.approx(float(waves[1]) / 0.3048, abs=0.5)
    assert "mph" in imperial
    assert not re.search(r"\d (m|km|km/h|m/s)\b", imperial), imperial


def test_calling_off_asks_why_cancels_and_tells_the_parties(visitor: Visitor, trip: Trip) -> None:
    page_of(visitor, trip)
    page = decide(visitor, trip, call="call off")
    assert "Say why the day is called off" in page.told
    before = Message.objects.count()
    page_of(visitor, trip)
    page = decide(visitor, trip, call="call off", reason="swell over the bar")
    trip.refresh_from_db()
    assert (trip.status, trip.cancelled_reason) == ("cancelled", "swell over the bar")
    assert Message.objects.count() > before
    assert page.address == reverse("trip", args=[trip.pk])


@pytest.mark.parametrize("call", ["", "perhaps", "GO"])
def test_a_call_that_is_none_is_refused(visitor: Visitor, trip: Trip, call: str) -> None:
    page_of(visitor, trip)
    page = decide(visitor, trip, call=call)
    assert "Choose go, hold or call off" in page.told
    assert not Decision.objects.filter(plan=trip.plan).exists()


def test_a_decision_can_be_looked_at_with_its_numbers(visitor: Visitor, trip: Trip) -> None:
    row = Decision.objects.get(verdict="call off")
    page = visitor.go(reverse("decision", args=[row.pk]))
    assert "Swell over the stop limit" in page.text
    assert "Waves" in page.text


def test_trips_that_are_not_there_are_not_found(visitor: Visitor) -> None:
    assert visitor.client.get(reverse("night_before") + "?trip=x").status_code == 404
    assert visitor.client.post(reverse("trip_decide", args=[424242])).status_code == 404
