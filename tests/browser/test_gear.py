"""Gear on a phone and at the desk: nothing runs off the side, everything is reached by keyboard."""

from __future__ import annotations

import json
from typing import Any

import pytest
from playwright.sync_api import Browser, Page

from equipment.actions.service import adopt_default_rules
from equipment.models import Defect, Thing, UseEntry
from tests.browser.sizes import DESK, PHONE, findings, sideways, sign_in
from tests.factories import BusinessFactory, UserFactory
from tests.factories_equipment import (
    CraftFactory,
    FlightPackFactory,
    PackCheckFactory,
    SpoolingFactory,
    ThingFactory,
)

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


@pytest.fixture
def kit() -> dict[str, Thing]:
    """One of each kind that has a page of its own, with what its page can show."""
    BusinessFactory()
    UserFactory(is_superuser=True, email="orla@marramhead.example", username="orla")
    craft = CraftFactory(label="Gannet")
    pack = FlightPackFactory(label="P1", fits=craft)
    for cycles, share in ((10, 0.99), (40, 0.96), (70, 0.93), (100, 0.9)):
        PackCheckFactory(pack=pack, cycles=cycles, capacity_ah=pack.rated_ah * share)
    reel = SpoolingFactory(reel__label="Reel 1").reel
    rod = ThingFactory(label="Rod 1")
    for kind in ("craft", "pack", "reel", "rod"):
        adopt_default_rules(kind=kind)
    return {"craft": craft, "pack": pack, "reel": reel, "rod": rod}


def signed_in(chrome: Browser, url: str, size: Any, scheme: Any = "light") -> Page:
    context = chrome.new_context(viewport=size, color_scheme=scheme)
    context.set_default_timeout(30_000)
    page = context.new_page()
    sign_in(page, url, "orla@marramhead.example")
    return page


def tab_to(page: Page, words: str) -> None:
    """Press Tab until what has the focus reads these words, and see that the focus shows."""
    for _ in range(80):
        page.keyboard.press("Tab")
        focused = page.evaluate(
            "(() => { const e = document.activeElement; const s = getComputedStyle(e);"
            "return [(e.labels?.[0]?.innerText || e.innerText || e.name || '').trim(),"
            "s.outlineStyle !== 'none' && parseFloat(s.outlineWidth) > 0] })()"
        )
        if focused[0].startswith(words):
            assert focused[1], f"the focus on {words!r} does not show"
            return
    pytest.fail(f"Tab does not reach {words!r}")


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("size", [PHONE, DESK], ids=["phone", "desk"])
def test_no_serious_finding_and_nothing_off_the_side(
    chrome: Browser, live_server: Any, kit: dict[str, Thing], scheme: Any, size: Any
) -> None:
    page = signed_in(chrome, live_server.url, size, scheme)
    own = [thing.get_absolute_url() for thing in kit.values()]
    lists = ("", "due/", "packs/", "packs/checks/", "use/day/", "wear/", "books/", "rules/",
             "labels/", "use/import/", "reels/fill/", "packs/limits/")  # fmt: skip
    forms = [f"/gear/things/{kit['pack'].pk}/{name}/" for name in ("use/new", "service", "defect")]
    wrong = {}
    for path in (*(f"/gear/{name}" for name in lists), *own, *forms):
        answer = page.goto(live_server.url + path)
        assert answer is not None
        assert answer.status == 200, path
        found = findings(page)
        if sideways(page) > 0:
            found.append(f"pushed {sideways(page)} px to the side")
        if found:
            wrong[path] = found
    page.context.close()
    assert not wrong, json.dumps(wrong, indent=1)


@pytest.mark.parametrize("size", [PHONE, DESK], ids=["phone", "desk"])
def test_a_defect_and_a_use_by_keyboard_alone(
    chrome: Browser, live_server: Any, kit: dict[str, Thing], size: Any
) -> None:
    page = signed_in(chrome, live_server.url, size)
    page.goto(f"{live_server.url}/gear/")
    tab_to(page, "Rod 1")
    page.keyboard.press("Enter")
    page.wait_for_url(f"**{kit['rod'].get_absolute_url()}")
    tab_to(page, "More")
    page.keyboard.press("Enter")
    tab_to(page, "Report a defect")
    page.keyboard.press("Enter")
    page.wait_for_url("**/defect/")
    page.locator("#id_what").focus()
    page.keyboard.type("ring cracked")
    page.keyboard.press("Enter")
    page.wait_for_url(f"**{kit['rod'].get_absolute_url()}")
    assert Defect.objects.get().what == "ring cracked"

    page.goto(f"{live_server.url}{kit['pack'].get_absolute_url()}")
    tab_to(page, "Log a use")
    page.keyboard.press("Enter")
    page.wait_for_url("**/use/new/")
    page.locator("#id_amount").focus()
    page.keyboard.press("Control+a")
    page.keyboard.type("2")
    page.keyboard.press("Enter")
    page.wait_for_url(f"**{kit['pack'].get_absolute_url()}")
    assert UseEntry.objects.get().amount == 2
    page.context.close()
