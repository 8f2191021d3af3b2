"""Signing on a phone: a finger draws at 360 px, nothing is lost, nothing is in anybody's way."""

from __future__ import annotations

import datetime
import json
from typing import Any

import pytest
from django.utils import timezone
from playwright.sync_api import Browser, BrowserContext, Page

from bookings.actions.signing_links import make_link
from bookings.models import HealthLog, Participant, Signature, Trip
from bookings.queries.records import signed_record
from bookings.queries.signatures import outstanding
from bookings.queries.signers import of_person
from tests.browser.sizes import DESK, PHONE, complaints, findings, follow, sideways, sign_in
from tests.factories import UserFactory
from tests.factories_signing import (
    ALLERGIC,
    CHILD,
    SECRET_WORDS,
    booked_trip,
    form_of,
    on_board,
    published,
    signed,
)

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
GUIDE = "orla@marramhead.example"


@pytest.fixture
def trip() -> Trip:
    """A trip three days from now, with Maeve and her son Finn."""
    now = timezone.now()
    published(now - datetime.timedelta(days=1))
    starts = now + datetime.timedelta(days=3)
    made = booked_trip(starts_at=starts, ends_at=starts + datetime.timedelta(hours=9))
    maeve = on_board(made, "Maeve", family_name="Skerry", email="maeve@example.org")
    on_board(made, "Finn", born_on=CHILD, guardian=maeve)
    return made


def door(trip: Trip, name: str = "Maeve") -> str:
    person = Participant.objects.get(given_name=name)
    return f"/sign/{make_link(signer=of_person(person), trip=trip)[1]}/"


def draw_with_a_finger(page: Page, strokes: list[list[tuple[float, float]]]) -> None:
    """Real touches at shares of the field, as a finger makes them."""
    page.locator("[data-sign-pad] svg").scroll_into_view_if_needed()
    box = page.locator("[data-sign-pad] svg").bounding_box()
    assert box is not None
    session = page.context.new_cdp_session(page)
    for stroke in strokes:
        points = [(box["x"] + x * box["width"], box["y"] + y * box["height"]) for x, y in stroke]
        for kind, (x, y) in zip(
            ["touchStart"] + ["touchMove"] * (len(points) - 1), points, strict=True
        ):
            session.send(
                "Input.dispatchTouchEvent", {"type": kind, "touchPoints": [{"x": x, "y": y}]}
            )
        session.send("Input.dispatchTouchEvent", {"type": "touchEnd", "touchPoints": []})


def scribble_at_once(page: Page, points: list[tuple[float, float]]) -> None:
    """The events that a pen sends, without the way through the browser for each of thousands."""
    page.locator("[data-sign-pad] svg").evaluate(
        """(pad, points) => {
            const box = pad.getBoundingClientRect();
            const send = (kind, [x, y]) => pad.dispatchEvent(new PointerEvent(kind, {
                pointerId: 1, pointerType: "pen", isPrimary: true, bubbles: true, cancelable: true,
                clientX: box.left + x * box.width, clientY: box.top + y * box.height,
            }));
            // Only a pen that really is there can be captured.
            pad.setPointerCapture = () => {};
            pad.hasPointerCapture = () => true;
            send("pointerdown", points[0]);
            points.slice(1).forEach((point) => send("pointermove", point));
            send("pointerup", points.at(-1));
        }""",
        points,
    )


def answer_questions(page: Page) -> None:
    page.locator("#id_swims_0").check()
    page.locator("#id_allergy_1").check()
    page.locator("#id_medicine_1").check()
    page.locator("#id_photos_1").check()
    page.locator("#id_agrees").check()


def test_a_finger_signs_at_360_pixels(phone: BrowserContext, live_server: Any, trip: Trip) -> None:
    page = phone.new_page()
    heard = complaints(page)
    page.goto(live_server.url + door(trip))
    assert sideways(page) <= 0
    follow(page, page.get_by_role("link", name="Read and sign").first)
    assert sideways(page) <= 0
    answer_questions(page)
    top = page.evaluate("scrollY")
    zigzag = [(0.1 + n * 0.04, 0.3 if n % 2 else 0.7) for n in range(20)]
    line = [(0.1, 0.85), (0.5, 0.86), (0.9, 0.84)]
    draw_with_a_finger(page, [zigzag, line])
    assert page.evaluate("scrollY") >= top, "the finger drew and did not pull the page down"
    assert page.locator("[data-told]").inner_text() == "Signature drawn."
    assert page.locator("[data-sign-pad] polyline").count() == 2
    page.get_by_role("button", name="Sign", exact=True).click()
    page.wait_for_selector("text=Signed.")
    assert heard == []

    records = Signature.objects.filter(by_guardian=False).order_by("record")
    assert [each.text.kind for each in records.select_related("text")] == [
        "risks",
        "terms",
        "health",
        "photos",
    ]
    record = signed_record(records[0].pk)
    assert record is not None
    assert record.facts["mark_kind"] == "drawn"
    first, second = record.strokes
    assert first[0] == pytest.approx((1000, 7000), abs=60)
    assert first[-1] == pytest.approx((8600, 3000), abs=60)
    assert second[-1] == pytest.approx((9000, 8400), abs=60)
    assert len(first) == 20


def test_a_stroke_taken_back_a_field_cleared_and_a_refusal_lose_nothing(
    phone: BrowserContext, live_server: Any, trip: Trip
) -> None:
    page = phone.new_page()
    page.goto(live_server.url + door(trip))
    follow(page, page.get_by_role("link", name="Read and sign").first)
    stroke = [(0.1 + n * 0.05, 0.5) for n in range(10)]
    other = [(0.1 + n * 0.05, 0.8) for n in range(10)]
    draw_with_a_finger(page, [stroke, other])
    field = page.locator("input[name=drawn]")
    assert len(json.loads(field.input_value())) == 2
    page.get_by_role("button", name="Take back the last line").click()
    assert len(json.loads(field.input_value())) == 1
    page.get_by_role("button", name="Clear").click()
    assert field.input_value() == ""
    assert page.locator("[data-sign-pad] polyline").count() == 0

    draw_with_a_finger(page, [stroke])
    drawn = field.input_value()
    page.locator("#id_kin_name").fill("Orla")
    page.get_by_role("button", name="Sign", exact=True).click()
    page.wait_for_selector(".problems")
    assert not Signature.objects.exists()
    assert page.locator("#id_kin_name").input_value() == "Orla"
    assert page.locator("input[name=drawn]").input_value() == drawn
    assert page.locator("[data-sign-pad] polyline").count() == 1, "the drawing is still there"
    answer_questions(page)
    page.get_by_role("button", name="Sign", exact=True).click()
    page.wait_for_selector("text=Signed.")
    assert Signature.objects.count() == 4


def test_a_very_long_scribble_is_thinned_and_taken(
    phone: BrowserContext, live_server: Any, trip: Trip
) -> None:
    page = phone.new_page()
    page.goto(live_server.url + door(trip))
    follow(page, page.get_by_role("link", name="Read and sign").first)
    scribble = [((n * 7 % 97) / 100 + 0.01, (n * 13 % 89) / 100 + 0.05) for n in range(2300)]
    scribble_at_once(page, scribble)
    strokes = json.loads(page.locator("input[name=drawn]").input_value())
    assert 500 < sum(map(len, strokes)) <= 1900
    answer_questions(page)
    page.get_by_role("button", name="Sign", exact=True).click()
    page.wait_for_selector("text=Signed.")


def test_the_family_is_done_at_the_meeting_point(
    phone: BrowserContext, live_server: Any, trip: Trip
) -> None:
    """The guide hands the phone over twice; then the trip is ready."""
    UserFactory(is_superuser=True, email=GUIDE, username="orla")
    page = phone.new_page()
    sign_in(page, live_server.url, GUIDE)
    page.goto(f"{live_server.url}/trips/{trip.pk}/meeting/")
    follow(page, page.get_by_role("button", name="Hand the phone to Maeve Skerry").first)
    for name in ("Maeve Skerry", "Finn"):
        form = page.locator(".todo li", has_text=name).get_by_role("link", name="Read and sign")
        follow(page, form)
        answer_questions(page)
        if name == "Finn":
            page.locator("#id_relation").fill("mother")
            page.locator("#id_contact_phone").fill("+353 1 555 0123")
            assert page.locator("#id_responsible_0").is_checked(), "she comes along herself"
        draw_with_a_finger(page, [[(0.1 + n * 0.05, 0.3 + 0.3 * (n % 2)) for n in range(15)]])
        page.get_by_role("button", name="Sign", exact=True).click()
        page.wait_for_selector("text=Signed.")
    page.get_by_role("link", name="Back to the meeting point").click()
    page.wait_for_selector("text=Everybody has signed.")
    assert outstanding(trip, at=timezone.now()).ready
    assert set(Signature.objects.values_list("method", flat=True)) == {"phone"}


def test_the_notes_are_opened_by_a_press(
    phone: BrowserContext, live_server: Any, trip: Trip
) -> None:
    UserFactory(is_superuser=True, email=GUIDE, username="orla")
    maeve = Participant.objects.get(given_name="Maeve")
    signed(trip, maeve, form=form_of(maeve, health=ALLERGIC), at=timezone.now())
    page = phone.new_page()
    sign_in(page, live_server.url, GUIDE)
    page.goto(f"{live_server.url}/trips/{trip.pk}/health/")
    assert SECRET_WORDS not in page.content()
    page.get_by_role("button", name="Open the notes").click()
    page.wait_for_selector(f"text={SECRET_WORDS}")
    assert HealthLog.objects.get().by == "orla"


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("size", [PHONE, DESK], ids=["phone", "desk"])
def test_no_serious_finding_on_any_page(
    chrome: Browser,
    live_server: Any,
    trip: Trip,
    scheme: Any,
    size: Any,
) -> None:
    UserFactory(is_superuser=True, email=GUIDE, username="orla")
    maeve = Participant.objects.get(given_name="Maeve")
    finn = Participant.objects.get(given_name="Finn")
    signed(trip, maeve, at=timezone.now() - datetime.timedelta(minutes=1))
    record = Signature.objects.select_related("record").earliest("record")
    own, shut = door(trip), "/sign/nothing/"
    context = chrome.new_context(viewport=size, color_scheme=scheme)
    context.set_default_timeout(30_000)
    page = context.new_page()
    sign_in(page, live_server.url, GUIDE)
    wrong = {}
    for path in (
        own,
        f"{own}{maeve.pk}/?again=health",
        f"{own}{finn.pk}/?lang=de",
        shut,
        f"/proof/{'0' * 64}/",
        f"/proof/{record.record.own_hash}/",
        f"/signed/{record.pk}/",
        f"/trips/{trip.pk}/signing/",
        f"/trips/{trip.pk}/meeting/",
        f"/trips/{trip.pk}/signing/sheets/",
        f"/trips/{trip.pk}/signing/{finn.pk}/paper/",
        f"/trips/{trip.pk}/signing/{finn.pk}/guardian/",
        f"/trips/{trip.pk}/health/",
        "/signed/check/",
        "/setup/texts/",
        "/setup/texts/risks/en/",
        "/setup/texts/risks/en/draft/",
        "/setup/texts/risks/en/1/",
        "/setup/signing/",
        "/setup/rights/",
        "/setup/retention/",
    ):
        page.goto(live_server.url + path)
        wrongs = findings(page)
        if sideways(page) > 0:
            wrongs.append(f"pushed {sideways(page)} px to the side")
        if wrongs:
            wrong[path] = wrongs
    context.close()
    assert not wrong, json.dumps(wrong, indent=1)
