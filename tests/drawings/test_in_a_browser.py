"""The drawings in a real browser, with its own letters, under the page's strict policy."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, timedelta

import pytest
from playwright.sync_api import Page, sync_playwright

from guiding.drawings.bars import bar_svg
from guiding.drawings.drop_plan import drop_plan_svg
from guiding.drawings.palette import DARK, LIGHT, palette_rules, palette_variables
from guiding.drawings.rig import rig_svg
from guiding.drawings.strip import StripDetail, strip_svg
from guiding.drawings.trend import trend_svg
from tests.drawings.made_days import full_day, midnight
from tests.drawings.test_rig_and_drop_plan import PLAN, RIG
from tests.drawings.test_trend_and_bars import COSTS, pack

pytestmark = pytest.mark.browser

POLICY = "default-src 'none'; style-src http://drawings.example"
SHEET = (
    palette_rules()
    + f":root {{ {palette_variables(LIGHT)} }}"
    + f"@media (prefers-color-scheme: dark) {{ :root {{ {palette_variables(DARK)} }} }}"
    + "svg { width: 100%; } body { margin: 0; font-family: sans-serif; }"
)
TOUCHING = """() => [...document.querySelectorAll("svg")].flatMap((svg) => {
  const sheet = svg.getBoundingClientRect();
  const texts = [...svg.querySelectorAll("text")].map((one) => {
    const box = one.getBoundingClientRect();
    // The letters themselves: a line box is higher than they are.
    const spare = box.height * 0.2;
    return { text: one.textContent, left: box.left, right: box.right,
             top: box.top + spare, bottom: box.bottom - spare };
  });
  return texts.flatMap((one, n) => [
    ...(one.left < sheet.left - 1 || one.right > sheet.right + 1 ? [[one.text, "the edge"]] : []),
    ...texts.slice(n + 1)
      .filter((two) => one.left < two.right - 0.5 && two.left < one.right - 0.5
        && one.top < two.bottom && two.top < one.bottom)
      .map((two) => [one.text, two.text]),
  ]);
})"""


@pytest.fixture(scope="module")
def page() -> Iterator[Page]:
    """A page that takes its stylesheet and nothing else."""
    with sync_playwright() as start:
        browser = start.chromium.launch(
            executable_path="/usr/bin/chromium",
            args=["--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run"],
        )
        yield browser.new_page()
        browser.close()


def shown(page: Page, svg: str, width: int, dark: bool = False) -> list[str]:
    """Put a drawing on a strict page of a width; what the browser complains of comes back."""
    said: list[str] = []
    page.set_viewport_size({"width": width, "height": 700})
    page.emulate_media(color_scheme="dark" if dark else "light")
    page.on("console", lambda message: said.append(message.text))
    body = f'<!doctype html><link rel="stylesheet" href="/s.css"><main>{svg}</main>'
    page.unroute_all()
    page.route(
        "**/*",
        lambda route: (
            route.fulfill(body=SHEET, content_type="text/css")
            if route.request.url.endswith(".css")
            else route.fulfill(
                body=body,
                content_type="text/html; charset=utf-8",
                headers={"Content-Security-Policy": POLICY},
            )
        ),
    )
    page.goto("http://drawings.example/")
    return [one for one in said if "favicon" not in one]


NOW = midnight(date(2026, 7, 18)) + timedelta(hours=13.4)
DRAWINGS = {
    "strip": (strip_svg(full_day(now=NOW)), 1000),
    "strip on a laptop": (strip_svg(full_day(now=NOW)), 1280),
    "narrow strip": (strip_svg(full_day(now=NOW), StripDetail.NARROW), 360),
    "twelve hours": (strip_svg(full_day(halves=("am", "pm"), now=NOW), StripDetail.NARROW), 360),
    "trend": (trend_svg(pack()), 600),
    "trend on a phone": (trend_svg(pack(), 360), 360),
    "bars": (bar_svg(COSTS), 600),
    "rig": (rig_svg(RIG), 600),
    "rig on a phone": (rig_svg(RIG, 360), 360),
    "drop plan": (drop_plan_svg(PLAN), 700),
    "drop plan on a phone": (drop_plan_svg(PLAN, 360), 360),
}


@pytest.mark.parametrize("name", DRAWINGS)
def test_labels_stay_apart_in_the_letters_of_the_browser(page: Page, name: str) -> None:
    svg, width = DRAWINGS[name]
    assert shown(page, svg, width) == [], "nothing in the drawing breaks the policy"
    assert page.evaluate(TOUCHING) == []


def test_the_measure_sees_labels_that_touch_and_a_style_that_is_refused(page: Page) -> None:
    wrong = (
        '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 300 40">'
        '<text x="10" y="20">one</text><text x="12" y="22" style="fill: red">two</text>'
        '<text x="290" y="20">three</text></svg>'
    )
    assert [one for one in shown(page, wrong, 600) if "Content Security Policy" in one]
    assert page.evaluate(TOUCHING) == [["one", "two"], ["three", "the edge"]]


@pytest.mark.parametrize("dark", [False, True], ids=["light", "dark"])
def test_the_colours_are_those_of_the_scheme(page: Page, dark: bool) -> None:
    shown(page, strip_svg(full_day()), 1000, dark)
    wanted = (DARK if dark else LIGHT).night
    found = page.evaluate("() => getComputedStyle(document.querySelector('.draw-fill-night')).fill")
    red, green, blue = (int(wanted[i : i + 2], 16) for i in (1, 3, 5))
    assert found == f"rgb({red}, {green}, {blue})"


def test_a_drawing_is_one_picture_with_a_name_for_who_cannot_see_it(page: Page) -> None:
    shown(page, strip_svg(full_day()), 1000)
    seen = page.get_by_role("img", name="The day at a glance: Sat 18 Jul 2026 · Marram Head")
    assert seen.count() == 1
    assert page.get_by_text("high water").count() == 1  # in the description, not drawn
