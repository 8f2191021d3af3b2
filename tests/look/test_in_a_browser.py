"""The look in a browser: both schemes, phone and desk, by keyboard, with script and without."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe
from crispy_forms.bootstrap import AppendedText, InlineCheckboxes
from crispy_forms.helper import FormHelper
from crispy_forms.layout import Fieldset, Layout, Row
from django import forms
from django.contrib.messages import ERROR
from django.contrib.messages.storage.base import Message
from django.template import Context, Template
from django.utils.safestring import mark_safe
from playwright.sync_api import Browser, Page, Request, Route, sync_playwright

from guiding.drawings.strip import StripDetail, strip_rows, strip_svg
from tests.drawings.made_days import full_day
from tests.look.stylesheet import SHEET

pytestmark = pytest.mark.browser

HOME = "http://127.0.0.1/"
POLICY = "default-src 'self'; img-src 'self' data:; base-uri 'none'; object-src 'none'"
_STATES = """
    tentative confirmed cancelled fished open closed fit watch due grounded retired go hold
    call_off draft sent accepted lapsed
"""
STATES = _STATES.split()
NAV = [(word, f"/{word}/", word == "Parties") for word in
       ("Today", "Diary", "Parties", "Spots", "Gear", "Money", "Safety", "Setup")]  # fmt: skip


class Offer(forms.Form):
    """A form with one of each group, refused when it is bound."""

    name = forms.CharField(label="Name", help_text="As clients read it.")
    reach = forms.CharField(label="Reach")
    day = forms.DateField(label="First day", widget=forms.DateInput(attrs={"type": "date"}))
    priced = forms.ChoiceField(
        choices=[("head", "by the head"), ("day", "by the day")], widget=forms.RadioSelect
    )
    brings = forms.MultipleChoiceField(
        choices=[("r", "rods"), ("w", "waders")], widget=forms.CheckboxSelectMultiple
    )
    notes = forms.CharField(label="Notes", widget=forms.Textarea, required=False)
    shown = forms.BooleanField(label="Show it to everybody")

    @property
    def helper(self) -> FormHelper:
        helper = FormHelper()
        helper.form_tag = False
        helper.disable_csrf = True
        helper.layout = Layout(
            Fieldset("What is sold", "name", Row(AppendedText("reach", "m"), "day"), "priced"),
            InlineCheckboxes("brings"),
            "notes",
            "shown",
        )
        return helper


def sample(refused: bool = True, **context: object) -> str:
    facts = full_day()
    start = facts.day_start
    strip = {
        "svg": mark_safe(strip_svg(facts)),  # noqa: S308 - drawn by us
        "narrow": mark_safe(strip_svg(facts, StripDetail.NARROW)),  # noqa: S308
        "caption": "Marram Head, north side",
        "rows": strip_rows(facts),
        "start": start.timestamp(),
        "end": facts.day_end.timestamp(),
    }
    page = SimpleNamespace(
        number=2, has_previous=True, has_next=True, previous_page_number=1, next_page_number=3
    )
    business = SimpleNamespace(
        name="Marram Head Shore Days", is_demo=True, locale="en_IE", currency="EUR",
        zone="Europe/Dublin", units="metric",
    )  # fmt: skip
    source = Path(__file__).with_name("sample.html").read_text(encoding="utf-8")
    return Template(source).render(
        Context({
            "title": "Marram Head", "business": business, "nav": NAV, "search_url": "/search/",
            "strip": strip, "start": start, "states": STATES, "page": page, "csrf_token": "T0KEN",
            "form": Offer({"name": "Dawn tide"}) if refused else Offer(),
            "names": ["Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun"],
            "facts": [("Guide", "Orla Tern"), ("Vehicle", None), ("Pick-up", "05:00 lay-by")],
            "messages": [Message(ERROR, "The message was not sent.")], **context,
        })
    )  # fmt: skip


class Shore:
    """A page whose every request is answered from here; nothing leaves the machine."""

    def __init__(self, page: Page, html: str) -> None:
        self.page, self.html = page, html
        self.sent: list[Request] = []
        self.complaints: list[str] = []
        page.on("console", lambda line: self.complaints.append(line.text))
        page.on("pageerror", lambda error: self.complaints.append(str(error)))
        page.route("**/*", self.answer)
        page.goto(HOME)

    def answer(self, route: Route) -> None:
        request = route.request
        name = request.url.rsplit("/", 1)[-1]
        if "/static/sandspike/" in request.url:
            kind = {"css": "text/css", "js": "text/javascript", "svg": "image/svg+xml"}
            route.fulfill(path=SHEET.with_name(name), content_type=kind[name.rsplit(".")[-1]])
        elif request.method == "POST":
            self.sent.append(request)
            route.fulfill(status=204)  # leaves the page as it stands, as a slow answer would
        else:
            route.fulfill(
                body=self.html,
                content_type="text/html; charset=utf-8",
                headers={"Content-Security-Policy": POLICY},
            )


@pytest.fixture(scope="module")
def chromium() -> Iterator[Browser]:
    found = shutil.which("chromium") or shutil.which("chromium-browser")
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(
            executable_path=found, args=["--no-sandbox", "--disable-gpu", "--disable-quic"]
        )
        yield browser
        browser.close()


@pytest.fixture
def open_page(chromium: Browser) -> Iterator[Any]:
    contexts = []

    def open_(html: str, width: int = 1280, **options: object) -> Shore:
        context = chromium.new_context(viewport={"width": width, "height": 740}, **options)
        contexts.append(context)
        return Shore(context.new_page(), html)

    yield open_
    for context in contexts:
        context.close()


SIZES = pytest.mark.parametrize("width", [360, 1280])
SCHEMES = pytest.mark.parametrize("scheme", ["light", "dark"])


@SIZES
@SCHEMES
def test_nothing_serious_is_found_by_the_accessibility_rules(
    open_page: Any, width: int, scheme: str
) -> None:
    shore = open_page(sample(), width, color_scheme=scheme)
    found = Axe().run(shore.page).response["violations"]
    grave = [
        (one["id"], one["nodes"][0]["html"][:120])
        for one in found
        if one["impact"] in {"serious", "critical"}
    ]
    assert not grave


@SIZES
@pytest.mark.parametrize("refused", [True, False])
def test_the_page_never_scrolls_sideways(open_page: Any, width: int, refused: bool) -> None:
    page = open_page(sample(refused), width).page
    page.evaluate("document.querySelectorAll('details').forEach((fold) => fold.open = true)")
    assert page.evaluate("document.documentElement.scrollWidth") == width


# Where the words of names end and the values beside them begin, in CSS pixels.
_NAMES_AND_VALUES = """() => [...document.querySelectorAll('.facts dt')].map((name) => {
    const words = document.createRange();
    words.selectNodeContents(name);
    return [name.textContent, words.getBoundingClientRect().right,
            name.nextElementSibling.getBoundingClientRect().left];
})"""


@pytest.mark.parametrize("width", [320, 360])
def test_a_long_german_name_never_stands_over_its_value(open_page: Any, width: int) -> None:
    facts = [
        ("Verwendungszweck", "RF18 5390 0754 7034"),
        ("Haftpflichtversicherung", "Muster-Versicherung, 5 Mio. €"),
        ("Erziehungsberechtigte", "Anna Sandgrube"),
    ]
    page = open_page(sample(facts=facts), width, locale="de-DE").page
    page.evaluate("document.documentElement.lang = 'de'")
    found = page.evaluate(_NAMES_AND_VALUES)
    assert {name for name, _right, _left in found} >= {name for name, _value in facts}
    assert [one for one in found if one[1] > one[2]] == []


@SIZES
def test_what_a_thumb_must_meet_is_large_enough(open_page: Any, width: int) -> None:
    # WCAG 2.2, 2.5.8: 24 by 24 CSS pixels; a link within a sentence is exempt.
    page = open_page(sample(), width).page
    small = page.evaluate(
        """() => [...document.querySelectorAll('a, button, input, select, textarea, summary')]
        .filter((one) => !one.closest('p') && one.type !== 'hidden')
        .map((one) => [one.outerHTML.slice(0, 80), one.getBoundingClientRect()])
        .filter(([, box]) => box.width && (box.width < 24 || box.height < 24))
        .map(([html, box]) => `${html} ${box.width} x ${box.height}`)"""
    )
    assert not small


def test_the_first_tab_shows_the_way_past_the_head(open_page: Any) -> None:
    page = open_page(sample(refused=False)).page
    page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.textContent") == "Skip to the page"
    assert page.evaluate("document.activeElement.getBoundingClientRect().top") >= 0
    page.keyboard.press("Enter")
    page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.closest('main') !== null")


def test_focus_is_seen_on_everything_that_takes_it(open_page: Any) -> None:
    page = open_page(sample(refused=False)).page
    seen = set()
    for _ in range(60):
        page.keyboard.press("Tab")
        tag, outline = page.evaluate(
            """() => [document.activeElement.tagName,
            getComputedStyle(document.activeElement).outlineWidth]"""
        )
        if tag == "BODY":
            break
        seen.add(tag)
        assert outline == "3px", tag
    assert {"A", "BUTTON", "INPUT", "SELECT", "SUMMARY", "TEXTAREA"} <= seen


@SIZES
def test_focus_is_not_hidden_by_the_tray(open_page: Any, width: int) -> None:
    page = open_page(sample(refused=False), width).page
    for _ in range(60):
        page.keyboard.press("Tab")
        covered = page.evaluate(
            """() => {
              const one = document.activeElement, box = one.getBoundingClientRect();
              if (one === document.body || one.closest('.tray')) return '';
              const top = document.elementFromPoint(box.left + box.width / 2, box.top + 3);
              return top && top.closest('.tray') ? one.outerHTML.slice(0, 80) : '';
            }"""
        )
        assert not covered


def test_after_a_refusal_reading_goes_on_at_the_list(open_page: Any) -> None:
    page = open_page(sample()).page
    assert page.evaluate("document.activeElement.className") == "problems"
    page.get_by_role("link", name="First day").click()
    assert page.evaluate("document.activeElement.id") == "id_day"


def test_a_form_is_sent_once_however_often_it_is_pressed(open_page: Any) -> None:
    shore = open_page(sample(refused=False))
    button = shore.page.get_by_role("button", name="Keep the offer")
    for _ in range(3):
        button.click(force=True)
    shore.page.wait_for_timeout(200)
    assert len(shore.sent) == 1
    assert "T0KEN" in shore.sent[0].post_data
    assert button.get_attribute("aria-disabled") == "true"


def test_the_lock_of_a_sent_form_opens_again(open_page: Any) -> None:
    shore = open_page(sample(refused=False))
    button = shore.page.get_by_role("button", name="Keep the offer")
    shore.page.clock.install()
    button.click()
    shore.page.clock.fast_forward(10_001)
    assert button.get_attribute("aria-disabled") is None


def test_what_was_typed_outlives_a_reload_but_not_its_arrival(open_page: Any) -> None:
    shore = open_page(sample(refused=False))
    page = shore.page
    page.get_by_label("Name").fill("Dawn & <tide>")
    page.get_by_label("by the day").check()
    page.reload()
    assert page.get_by_label("Name").input_value() == "Dawn & <tide>"
    assert page.get_by_label("by the day").is_checked()
    page.get_by_role("button", name="Keep the offer").click()
    page.goto(HOME + "parties/")
    page.goto(HOME)
    assert page.get_by_label("Name").input_value() == ""


def test_what_the_desk_sent_back_is_not_overwritten(open_page: Any) -> None:
    shore = open_page(sample(refused=False))
    shore.page.get_by_label("Name").fill("Dusk")
    shore.html = sample(refused=True)
    shore.page.reload()
    assert shore.page.get_by_label("Name", exact=False).input_value() == "Dawn tide"


@pytest.mark.parametrize(("width", "shown"), [(1280, ".strip-wide"), (360, ".strip-narrow")])
def test_now_stands_at_its_hour_on_the_strip_of_today(
    open_page: Any, width: int, shown: str
) -> None:
    facts = full_day()
    shore = open_page(sample(refused=False), width)
    page = shore.page

    def offset(at: datetime) -> float | None:
        page.clock.install(time=at)
        page.reload()
        return page.evaluate(
            """(shown) => {
              const strip = document.querySelector(shown), line = strip.querySelector('.strip-now');
              if (!line) return null;
              const boxes = [...strip.querySelectorAll('rect.draw-line-ink')]
                .map((one) => one.getBoundingClientRect()).sort((a, b) => b.width - a.width);
              return (line.getBoundingClientRect().left - boxes[0].left) / boxes[0].width;
            }""",
            shown,
        )

    noon = facts.day_start + (facts.day_end - facts.day_start) / 2
    assert offset(noon) == pytest.approx(0.5, abs=0.004)
    assert offset(facts.day_start + timedelta(hours=6)) == pytest.approx(0.25, abs=0.004)
    assert offset(datetime(2030, 1, 1, tzinfo=UTC)) is None


def test_the_page_keeps_to_the_security_policy(open_page: Any) -> None:
    shore = open_page(sample())
    shore.page.get_by_text("More").click()
    assert shore.complaints == []


def test_menus_and_questions_open_without_script(open_page: Any) -> None:
    page = open_page(sample(), java_script_enabled=False).page
    page.get_by_text("More").click()
    assert page.get_by_role("link", name="Copy the trip").is_visible()
    page.locator(".ask > summary").click()
    assert page.get_by_role("button", name="Call it off").is_visible()


def test_a_menu_closes_on_escape_and_gives_the_focus_back(open_page: Any) -> None:
    page = open_page(sample(refused=False)).page
    page.get_by_text("More").click()
    page.keyboard.press("Escape")
    assert not page.get_by_role("link", name="Copy the trip").is_visible()
    assert page.evaluate("document.activeElement.tagName") == "SUMMARY"


@SCHEMES
def test_a_scheme_chosen_in_setup_beats_that_of_the_device(open_page: Any, scheme: str) -> None:
    other = {"light": "dark", "dark": "light"}[scheme]
    ground = "getComputedStyle(document.documentElement).backgroundColor"
    chosen = open_page(sample(scheme=scheme), color_scheme=other).page.evaluate(ground)
    by_device = open_page(sample(), color_scheme=scheme).page.evaluate(ground)
    assert chosen == by_device
    assert chosen != open_page(sample(), color_scheme=other).page.evaluate(ground)


def test_paper_gets_the_light_page_without_its_buttons(open_page: Any) -> None:
    page = open_page(sample(scheme="dark"), color_scheme="dark").page
    page.emulate_media(media="print")
    ground = page.evaluate("getComputedStyle(document.documentElement).backgroundColor")
    assert ground == "rgb(255, 255, 255)"
    for selector in (".tray", ".btn", ".demo", ".search", ".strip-now"):
        assert not any(one.is_visible() for one in page.locator(selector).all()), selector
    assert page.get_by_role("heading", name="Marram Head").is_visible()
    assert page.locator(".strip svg").first.is_visible()


def test_a_table_on_a_phone_names_each_value(open_page: Any) -> None:
    page = open_page(sample(), 360).page
    label = page.evaluate(
        "getComputedStyle(document.querySelector('td[data-label=Due]'), '::before').content"
    )
    assert label.startswith('"Due')
    wide = open_page(sample(), 1280).page
    label = wide.evaluate(
        "getComputedStyle(document.querySelector('td[data-label=Due]'), '::before').content"
    )
    assert label == "none"
