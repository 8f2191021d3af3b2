"""The prep lists on a phone: a tick is saved where one stands, with a script and without."""

from __future__ import annotations

from typing import Any

import pytest
from playwright.sync_api import Browser, BrowserContext, expect

from guiding.days.models import PrepMark
from tests import factories_flights as flights
from tests.bookings.test_collisions import ended
from tests.browser.sizes import PHONE, complaints, follow, sign_in
from tests.factories import BookingFactory, UserFactory

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


@pytest.fixture
def prep(business: Any, live_server: Any) -> str:
    """The address of the prep of a flown day."""
    UserFactory(email="orla@marramhead.example", is_superuser=True)
    plan = flights.flown_plan()
    BookingFactory(trip=plan.trip)
    return f"{live_server.url}/trips/{plan.trip_id}/prep/"


def test_a_tick_keeps_the_place_and_the_focus(
    phone: BrowserContext, live_server: Any, prep: str
) -> None:
    page = phone.new_page()
    heard = complaints(page)
    sign_in(page, live_server.url, "orla@marramhead.example")
    page.goto(prep)
    button = page.locator("button[value^='done yes']").nth(5)
    where, line = button.get_attribute("id"), str(button.get_attribute("value"))
    button.scroll_into_view_if_needed()
    height = page.evaluate("scrollY")
    assert height > 0
    button.click()
    taken = page.locator(f"#{where}")
    page.wait_for_selector(f"#{where}[value='{line.replace('yes', 'no', 1)}']")
    assert page.evaluate("scrollY") == pytest.approx(height, abs=2)
    assert page.evaluate("document.activeElement.id") == where
    assert PrepMark.objects.get().item == line.removeprefix("done yes ")
    taken.click()
    page.wait_for_selector(f"#{where}[value='{line}']")
    assert PrepMark.objects.get().done_at is None
    assert heard == []


def test_a_tick_that_was_ended_says_so_where_one_stands(
    phone: BrowserContext, live_server: Any, prep: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    def fail(**_: object) -> None:
        raise ended(5)

    page = phone.new_page()
    sign_in(page, live_server.url, "orla@marramhead.example")
    page.goto(prep)
    with monkeypatch.context() as patch:
        patch.setattr("guiding.desk.views.prep.mark_prep", fail)
        page.locator("button[value^='done yes']").first.click()
        expect(page.locator("main")).to_contain_text("Nothing was saved; press again.")
    page.get_by_role("link", name="Back to the page").click()
    page.wait_for_selector("button[value^='done yes']")
    assert not PrepMark.objects.exists()


def test_a_tick_is_saved_without_a_script(chrome: Browser, live_server: Any, prep: str) -> None:
    context = chrome.new_context(viewport=PHONE, java_script_enabled=False)
    page = context.new_page()
    sign_in(page, live_server.url, "orla@marramhead.example")
    page.goto(prep)
    button = page.locator("button[value^='done yes']").first
    line = str(button.get_attribute("value"))
    follow(page, button)
    assert page.locator(f"button[value='{line.replace('yes', 'no', 1)}']").count() == 1
    assert PrepMark.objects.get().item == line.removeprefix("done yes ")
    context.close()
