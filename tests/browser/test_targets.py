"""Every link and button of the main pages is 24 px high on a phone: WCAG 2.2, 2.5.8."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pytest
from django.db import transaction
from django.urls import reverse
from playwright.sync_api import BrowserContext, Page

from bookings.models import Party, Trip
from equipment.models import Craft, FlightPack, Reel
from guiding.days.models import Rig, Spot
from tests.browser.sizes import sideways, sign_in
from tests.season import pour_season

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

# Each box of a link counts by itself, so one that wraps is as high on each of its lines.
LOW = """() => [...document.querySelectorAll('a[href], button, summary, input[type=submit]')]
  .filter(e => !e.closest('svg, .skip, .visually-hidden') && e.checkVisibility())
  .map(e => [e.tagName, e.innerText.trim().slice(0, 40),
             Math.min(...[...e.getClientRects()].filter(r => r.width > 1).map(r => r.height))])
  .filter(([, words, height]) => height < 23.95)
"""


def main_pages() -> Iterator[str]:
    for name in ("today", "party_list", "gear", "gear_due", "pack_list", "rig_list", "spot_list",
                 "tide_list", "money", "safety", "setup", "message_list", "find_days"):  # fmt: skip
        yield reverse(name)
    yield f"{reverse('diary')}?month=2026-06"
    trip = Trip.objects.filter(status="confirmed", plan__isnull=False).latest("starts_at")
    for name in ("trip", "prep", "trip_gear", "trip_signing", "trip_safety"):
        yield reverse(name, args=[trip.pk])
    yield reverse("party", args=[Party.objects.filter(bookings__trip=trip)[0].pk])
    yield reverse("spot", args=[Spot.objects.all()[0].pk])
    yield reverse("rig", args=[Rig.objects.all()[0].pk])
    for model in (Craft, FlightPack, Reel):
        yield model.objects.all()[0].get_absolute_url()


def low(page: Page) -> list[Any]:
    return list(page.evaluate(LOW))


def test_no_link_or_button_is_lower_than_a_finger_needs(
    phone: BrowserContext, live_server: Any
) -> None:
    with transaction.atomic():  # the rows of a season lean on each other
        loaded = pour_season()
    page = phone.new_page()
    sign_in(page, live_server.url, loaded.email, loaded.password)
    found = {}
    for path in main_pages():
        answer = page.goto(live_server.url + path)
        assert answer is not None
        assert answer.status == 200, path
        if wrong := low(page):
            found[path] = wrong
        assert sideways(page) <= 0, path
    assert found == {}
