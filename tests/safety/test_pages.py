"""Pages of safety, as the guide and a helper meet them."""

from __future__ import annotations

import datetime
import io
from typing import Any

import pytest
from django.contrib.auth.models import Group, User
from django.test import Client
from django.urls import reverse
from pypdf import PdfReader

from bookings.actions.health import HealthAnswers, declare_health
from bookings.models import HealthLog
from bookings.queries.trips import next_trips
from guiding.days.models import Spot
from guiding.safety.actions.watch import set_watch
from guiding.safety.models import (
    Hazard,
    HazardChoice,
    Heard,
    HeldPaper,
    Incident,
    PaperKind,
    SignedAssessment,
    SpotSafety,
    Watch,
)
from tests.factories import NOON


@pytest.fixture
def trip(season: Any) -> Any:
    return next_trips(at=NOON).filter(status="confirmed", plan__isnull=False).first()


@pytest.fixture
def helper(season: Any) -> Client:
    user = User.objects.create_user("helper@marramhead.example", password="sand and spike 26")
    user.groups.add(Group.objects.get(name="helper"))
    client = Client()
    client.force_login(user, backend="allauth.account.auth_backends.AuthenticationBackend")
    return client


def read(client: Client, name: str, *args: Any) -> str:
    answer = client.get(reverse(name, args=args))
    assert answer.status_code == 200, name
    return answer.content.decode()


def test_every_page_of_safety_opens(season_desk: Client, trip: Any) -> None:
    spot = Spot.objects.first()
    assert spot is not None
    pages = [
        ("safety",),
        ("hazard_list",),
        ("hazard_new",),
        ("hazard", Hazard.objects.get(key="surge").pk),
        ("hazard_words", Hazard.objects.get(key="surge").pk),
        ("paper_list",),
        ("paper_new",),
        ("paper_kind_new",),
        ("incident_list",),
        ("incident_new",),
        ("spot_safety", spot.pk),
        ("trip_safety", trip.pk),
        ("trip_marks", trip.pk),
        ("trip_briefing", trip.pk),
        ("trip_child", trip.pk),
        ("trip_card", trip.pk),
        ("trip_watch", trip.pk),
        ("trip", trip.pk),
    ]
    for page in pages:
        html = read(season_desk, *page)
        assert "None" not in html.replace("None on the sand", ""), page
        assert html.count("<h1>") == 1, page


def test_the_assessment_is_changed_and_signed_on_its_page(season_desk: Client, trip: Any) -> None:
    assert "2 under 18" in read(season_desk, "trip_safety", trip.pk)
    hook = Hazard.objects.get(key="hook")
    where = reverse("trip_choice", args=[trip.pk])
    refused = season_desk.post(where, {"hazard": hook.pk, "take": "off", "reason": ""})
    assert refused.status_code == 422
    assert not HazardChoice.objects.exists()
    season_desk.post(where, {"hazard": hook.pk, "take": "off", "reason": "<b>no rods</b>"})
    assert "&lt;b&gt;no rods&lt;/b&gt;" in read(season_desk, "trip_safety", trip.pk)
    sign = reverse("trip_sign", args=[trip.pk])
    assert season_desk.post(sign, {"name": ""}).status_code == 422
    season_desk.post(sign, {"name": "Orla Tern"})
    assert SignedAssessment.objects.get().signed_name == "Orla Tern"
    season_desk.post(reverse("trip_marks", args=[trip.pk]), {"features": ["food"], "uv_index": "6"})
    changed = read(season_desk, "trip_safety", trip.pk)
    assert "on day: none when signed, food now" in changed
    assert "uv index: not known when signed, 6 now" in changed


def test_ticks_are_idempotent_and_only_for_who_comes(season_desk: Client, trip: Any) -> None:
    html = read(season_desk, "trip_briefing", trip.pk)
    assert "Stay behind the rods unless I walk with you." in html
    assert "min read aloud" in html.replace("\u00a0", " ")
    people = trip.bookings.get().party.participants.all()
    where = reverse("trip_heard", args=[trip.pk])
    for _ in range(2):
        season_desk.post(where, {"person": [people[0].pk, people[1].pk]})
    assert Heard.objects.count() == 2
    season_desk.post(where, {"person": ["999999", "<script>"]})
    assert Heard.objects.count() == 2


def test_the_childrens_page_speaks_to_them(season_desk: Client, trip: Any) -> None:
    assert "Lost? Sit down by the truck and wait." in read(season_desk, "trip_child", trip.pk)


def test_a_helper_ticks_and_enters_but_does_not_sign_or_see_incidents(
    helper: Client, trip: Any
) -> None:
    assert "Stay behind the rods" in read(helper, "trip_briefing", trip.pk)
    assert helper.post(reverse("trip_sign", args=[trip.pk]), {"name": "H"}).status_code == 403
    assert helper.get(reverse("incident_list")).status_code == 403
    assert helper.get(reverse("trip_watch", args=[trip.pk])).status_code == 403
    answer = helper.post(
        reverse("incident_new"),
        {"kind": "near miss", "happened_at": "2026-06-01T12:30", "what": "slip", "harm": "none"},
    )
    assert answer.status_code == 303
    assert Incident.objects.get(what="slip").entered_by == User.objects.get(
        username__startswith="helper"
    )
    assert "own copy" not in read(helper, "trip_card", trip.pk)


def test_the_own_copy_holds_medicines_and_the_look_is_written_down(
    season_desk: Client, helper: Client, trip: Any
) -> None:
    people = trip.bookings.get().party.participants.all()
    answers = HealthAnswers(
        allergy=True, medicine=False, swims=True, injector=True, allergy_note="wasp <b>stings</b>"
    )
    declare_health(participant=people[0], trip=trip, answers=answers, at=NOON)
    assert "There are notes on" in read(season_desk, "trip_card", trip.pk)
    where = reverse("trip_card_own", args=[trip.pk])
    assert helper.post(where).status_code == 403
    assert season_desk.get(where).status_code == 405
    assert not HealthLog.objects.filter(act="looked").exists()
    answer = season_desk.post(where)
    assert answer["Content-Type"] == "application/pdf"
    assert "no-store" in answer["Cache-Control"]
    pages = PdfReader(io.BytesIO(answer.content)).pages
    assert len(pages) == 1
    told = " ".join(pages[0].extract_text().split())
    assert f"{people[0]} allergy: wasp <b>stings</b>, carries an injector" in told
    look = HealthLog.objects.get(act="looked", participant=people[0])
    assert look.why == "the guide's own emergency card"


def test_home_is_one_button_and_counts_once(helper: Client, trip: Any) -> None:
    watch = set_watch(
        trip=trip,
        overdue_at=trip.ends_at + datetime.timedelta(hours=1),
        contact_name="Bríd",
        contact_mail="brid@marramhead.example",
        at=NOON,
    )
    for _ in range(2):
        helper.post(reverse("trip_home", args=[trip.pk]))
    watch.refresh_from_db()
    assert watch.home_at == NOON


def test_the_watch_is_set_and_stood_down_on_its_page(season_desk: Client, trip: Any) -> None:
    html = read(season_desk, "trip_watch", trip.pk)
    assert "This is no rescue service" in html
    where = reverse("trip_watch", args=[trip.pk])
    late = (trip.ends_at + datetime.timedelta(hours=3)).strftime("%Y-%m-%dT%H:%M")
    typed = {"overdue_at": late, "contact_name": "Bríd", "contact_mail": "no mail"}
    refused = season_desk.post(where, typed)
    assert refused.status_code == 422
    assert "no mail" in refused.content.decode()
    season_desk.post(where, typed | {"contact_mail": "brid@marramhead.example"})
    assert Watch.objects.get().contact_name == "Bríd"
    down = reverse("trip_stand_down", args=[trip.pk])
    season_desk.post(down, {"reason": ""})
    assert Watch.objects.get().stood_down_at is None
    season_desk.post(down, {"reason": "called off by mail"})
    assert Watch.objects.get().stood_down_reason == "called off by mail"


def test_an_incident_from_quick_entry_to_closed(season_desk: Client, trip: Any) -> None:
    typed = {
        "kind": "incident",
        "happened_at": "2026-06-01T10:15",
        "what": "A hook in a thumb.",
        "spot": Spot.objects.get(name="Wreck Bay").pk,
        "harm": "first aid",
    }
    season_desk.post(reverse("incident_new"), typed)
    row = Incident.objects.get(what="A hook in a thumb.")
    page = read(season_desk, "incident", row.pk)
    assert "Tell the insurer" in page
    assert "Wreck Bay" in page
    season_desk.post(
        reverse("incident", args=[row.pk]), {"harm": "first aid", "lessons": "Gloves."}
    )
    season_desk.post(
        reverse("incident_witness", args=[row.pk]), {"name": "B", "statement": "I saw"}
    )
    for item in row.follow_ups.all():
        season_desk.post(reverse("follow_up_done", args=[item.pk]), {"note": "told by telephone"})
    season_desk.post(reverse("incident_close", args=[row.pk, "close"]))
    row.refresh_from_db()
    assert row.closed_at is not None
    assert "told by telephone" in read(season_desk, "incident", row.pk)


@pytest.mark.parametrize(
    "typed",
    [
        {},
        {"what": "x" * 2001, "kind": "near miss", "harm": "none"},
        {
            "what": "<script>",
            "kind": "near miss",
            "harm": "none",
            "happened_at": "1890-01-01T10:00",
        },
        {"what": "a", "kind": "party", "harm": "none", "happened_at": "2026-06-01T10:00"},
    ],
)
def test_a_bad_entry_comes_back_with_what_was_typed(
    season_desk: Client, typed: dict[str, str]
) -> None:
    before = Incident.objects.count()
    answer = season_desk.post(reverse("incident_new"), typed)
    assert answer.status_code == 422
    assert Incident.objects.count() == before
    assert "<script>alert" not in answer.content.decode()


def test_papers_are_entered_withdrawn_and_their_kinds_asked_for(season_desk: Client) -> None:
    kind = PaperKind.objects.get(name="Adventure activity registration")
    fields = {
        "name": kind.name,
        "scope": kind.scope,
        "activity": kind.activity,
        "hard": "on",
        "lead_days": "60",
        "in_force": "on",
    }
    season_desk.post(reverse("paper_kind", args=[kind.pk]), fields)
    assert "no paper is on record" in read(season_desk, "paper_list")
    typed = {
        "kind": kind.pk,
        "number": "FA-1",
        "issuer": "Demo",
        "valid_from": "2026-01-01",
        "valid_until": "2025-01-01",
    }
    refused = season_desk.post(reverse("paper_new"), typed)
    assert refused.status_code == 422
    assert "lies before the first" in refused.content.decode()
    season_desk.post(reverse("paper_new"), typed | {"valid_until": "2027-01-01"})
    paper = HeldPaper.objects.get(number="FA-1")
    assert "FA-1, Demo, holds until 1 January 2027" in read(season_desk, "paper_list")
    read(season_desk, "paper", paper.pk)
    withdraw = reverse("paper_withdraw", args=[paper.pk])
    assert season_desk.post(withdraw, {"on": "2026-05-01", "reason": ""}).status_code == 422
    season_desk.post(withdraw, {"on": "2026-05-01", "reason": "course was void"})
    assert "held until 30 April 2026" in read(season_desk, "paper_list")
    assert season_desk.get(reverse("paper_file", args=[paper.pk])).status_code == 404


def test_the_library_is_edited_and_a_spot_described(season_desk: Client) -> None:
    surge, spot = Hazard.objects.get(key="surge"), Spot.objects.get(name="Wreck Bay")
    fields = {
        name: getattr(surge, name)
        for name in [field.name for field in Hazard._meta.fields]
        if name not in {"id", "in_force", "law_differs"}
    }
    refused = season_desk.post(reverse("hazard", args=[surge.pk]), fields | {"say": ""})
    assert refused.status_code == 422
    done = season_desk.post(
        reverse("hazard", args=[surge.pk]), fields | {"say": "Behind the rods.", "in_force": "on"}
    )
    assert done.status_code == 303
    surge.refresh_from_db()
    assert (surge.say, surge.history.count()) == ("Behind the rods.", 2)
    where = reverse("spot_safety", args=[spot.pk])
    season_desk.post(where, {"features": ["rip", "toothy fish"], "ledge_m": ""})
    assert SpotSafety.objects.get(spot=spot).features == ["rip", "toothy fish"]
    assert season_desk.post(where, {"features": ["sharks"]}).status_code == 422
