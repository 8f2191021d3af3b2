"""A client's own page in a browser: it tells nobody its address, and a press of a button counts."""

from __future__ import annotations

import datetime
from typing import Any

import pytest
from django.core.cache import cache
from django.utils import timezone
from playwright.sync_api import BrowserContext, Request

from bookings.actions.party_links import make_party_link
from bookings.models import Booking, MoneyEntry, Quote
from tests.browser.sizes import complaints
from tests.factories import BusinessFactory
from tests.factories_bookings import sent

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
DAY = datetime.timedelta(days=1)


@pytest.fixture(autouse=True)
def nobody_tried_before() -> None:
    cache.clear()


@pytest.fixture
def quote() -> Quote:
    """A price that waits for an answer, for a day two months away."""
    BusinessFactory()
    now = timezone.now()
    return sent(at=now, starts_at=now + 60 * DAY, ends_at=now + 60.4 * DAY)


def test_yes_is_taken_although_the_page_tells_nobody_where_it_comes_from(
    phone: BrowserContext, live_server: Any, quote: Quote
) -> None:
    """The page is shown under `no-referrer`, so a browser sends `Origin: null` with its form.

    The secret in the address is the only key; no cookie is, so a forged form has nothing to use.
    """
    page = phone.new_page()
    asked: list[Request] = []
    page.on("request", lambda each: asked.append(each))
    heard = complaints(page)
    token = make_party_link(party=quote.party)
    page.goto(f"{live_server.url}/my/{token}/")
    assert phone.cookies() == []
    page.get_by_label("I have read the terms above").check()
    page.get_by_role("button", name="Yes, we take it").click()
    page.wait_for_selector("text=To pay now")

    [sending] = [each for each in asked if each.method == "POST"]
    headers = sending.all_headers()
    assert headers["origin"] == "null"
    for each in asked:
        assert token not in each.all_headers().get("referer", ""), each.url
        assert each.url.startswith(live_server.url)
    quote.refresh_from_db()
    assert quote.status == "accepted"
    assert heard == []


def test_a_second_press_and_the_back_button_agree_to_nothing_twice(
    phone: BrowserContext, live_server: Any, quote: Quote
) -> None:
    page = phone.new_page()
    page.goto(f"{live_server.url}/my/{make_party_link(party=quote.party)}/")
    page.get_by_label("I have read the terms above").check()
    page.get_by_role("button", name="Yes, we take it").dblclick()
    page.wait_for_selector("text=To pay now")
    assert MoneyEntry.objects.count() == 1
    page.reload()
    page.go_back()
    page.wait_for_selector("text=To pay now")
    assert page.get_by_role("button", name="Yes, we take it").count() == 0, "nothing is stored"
    assert (MoneyEntry.objects.count(), Booking.objects.count()) == (1, 1)


def test_two_tabs_the_second_is_told_that_it_is_agreed(
    phone: BrowserContext, live_server: Any, quote: Quote
) -> None:
    address = f"{live_server.url}/my/{make_party_link(party=quote.party)}/"
    first, second = phone.new_page(), phone.new_page()
    for tab in (first, second):
        tab.goto(address)
        tab.get_by_label("I have read the terms above").check()
    for tab in (first, second):
        tab.get_by_role("button", name="Yes, we take it").click()
        tab.wait_for_selector("text=To pay now")
    assert second.locator("text=You have said yes to this price already").count() == 1
    assert (MoneyEntry.objects.count(), Booking.objects.count()) == (1, 1)
