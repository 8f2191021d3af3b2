"""What to take on a trip: advised with reasons, overruled with a reason, put on the plan."""

from __future__ import annotations

import datetime

import pytest
from django.contrib.auth.models import User
from django.test import Client
from django.urls import reverse

from bookings.models import Trip
from equipment.actions.defects import ground
from equipment.models import Craft, FlightPack, Overrule, Reel, Thing
from guiding.days.models import DayPlan
from tests.season import NOON
from tests.visit import Page, Visitor

pytestmark = pytest.mark.django_db


@pytest.fixture
def plan(season: object) -> DayPlan:
    """The next trip of the season at a place where bait may be flown out, nothing chosen yet."""
    found = (
        DayPlan.objects.filter(trip__starts_at__gt=NOON, trip__status=Trip.Status.CONFIRMED)
        .exclude(craft=None)
        .order_by("session_start")[0]
    )
    found.planned_packs.all().delete()
    found.planned_reels.all().delete()
    found.drops, found.pack_cycles, found.rods = 9, 3, 2
    found.save()
    return found


def look(visitor: Visitor, plan: DayPlan) -> Page:
    return visitor.go(reverse("trip_gear", args=[plan.trip_id]))


def row_of(page: Page, thing: Thing) -> str:
    """The words in the row of a thing."""
    start = page.html.index(f'<tr id="thing-{thing.pk}"')
    return " ".join(page.html[start : page.html.index("</tr>", start)].split())


def goes(page: Page, thing: Thing) -> bool:
    row = row_of(page, thing)
    assert ("goes</span>" in row) is not ("stays</span>" in row)
    return "goes</span>" in row


def packs_that_go(page: Page) -> set[FlightPack]:
    return {pack for pack in FlightPack.objects.all() if goes(page, pack)}


def test_the_trip_leads_to_what_to_take_and_the_plan_takes_it_over(
    season_desk: Client, plan: DayPlan
) -> None:
    visitor = Visitor(season_desk)
    visitor.go(reverse("trip", args=[plan.trip_id]))
    page = visitor.follow("What to take")
    assert "4 needed: 3 cycles on the plan, and a spare" in page.text
    advised = packs_that_go(page)
    assert len(advised) == 4
    assert all("% of rated," in row_of(page, pack) for pack in advised)
    swollen = FlightPack.objects.get(label="P7")
    assert "Stays: Quarantine: swollen" in row_of(page, swollen)
    page = visitor.send("Put this on the plan")
    assert "The plan has it so." in page.told
    assert set(plan.packs.all()) == packs_that_go(page)
    assert plan.reels.count() == 2
    assert "Put this on the plan" not in page.text, "plan and advice agree"
    # The order of the advice is the order of use.
    positions = [row.pack.label for row in plan.planned_packs.select_related("pack")]
    assert positions == sorted(positions, key=lambda label: page.html.index(f">{label}</a>"))


def test_a_pack_of_another_craft_stays_with_it(season_desk: Client, plan: DayPlan) -> None:
    plan.craft = Craft.objects.get(label="Gannet")
    plan.save()
    visitor = Visitor(season_desk)
    page = look(visitor, plan)
    other = FlightPack.objects.get(label="P8")
    assert "Stays: it fits Tern, which does not go along." in row_of(page, other)
    plan.craft = Craft.objects.get(label="Tern")
    plan.save()
    page = look(visitor, plan)
    assert goes(page, other)
    assert "flight packs needed, 1 may go along." in page.text


def test_the_guide_overrules_with_a_reason_and_takes_it_back(
    season_desk: Client, plan: DayPlan
) -> None:
    visitor = Visitor(season_desk)
    page = look(visitor, plan)
    advised = packs_that_go(page)
    first = min(advised, key=lambda pack: pack.label)
    choice = reverse("gear_choice", args=[first.pk])
    sent = {
        "trip": str(plan.trip.uid), "on": "2026-06-06", "drop_m": str(plan.drop_m),
        "word": "leave", "reason": "", "next": page.address,
    }  # fmt: skip
    assert "Say why" in visitor._arrived(season_desk.post(choice, sent, follow=True)).told
    assert not Overrule.objects.exists()
    page = visitor._arrived(
        season_desk.post(choice, sent | {"reason": "wrap is torn"}, follow=True)
    )
    assert page.address == reverse("trip_gear", args=[plan.trip_id])
    assert not goes(page, first)
    assert "Your own word: wrap is torn" in row_of(page, first)
    assert len(packs_that_go(page)) == len(advised), "the advice fills the gap"
    assert "Follow the advice again" in row_of(page, first)
    page = visitor._arrived(season_desk.post(choice, sent | {"word": "follow"}, follow=True))
    assert packs_that_go(page) == advised


def test_what_is_grounded_or_too_short_for_this_trip_cannot_be_taken(
    season_desk: Client, plan: DayPlan
) -> None:
    plan.drop_m = 600
    plan.save()
    visitor = Visitor(season_desk)
    page = look(visitor, plan)
    reel = Reel.objects.get(label="Reel 6")
    assert "Stays:" in row_of(page, reel)
    assert "2 reels needed," in page.text
    sent = {
        "trip": str(plan.trip.uid), "on": "2026-06-06", "drop_m": "600", "word": "take",
        "reason": "it will do",
    }  # fmt: skip
    answer = season_desk.post(reverse("gear_choice", args=[reel.pk]), sent, follow=True)
    assert "is grounded and cannot go along" in visitor._arrived(answer).told
    for wrong in ("nan", "-1", "far"):
        answer = season_desk.post(
            reverse("gear_choice", args=[reel.pk]), sent | {"drop_m": wrong}, follow=True
        )
        assert "Open the trip again" in visitor._arrived(answer).told
    craft = plan.craft
    assert craft is not None
    ground(thing=craft, what="arm cracked", found_at=NOON - datetime.timedelta(hours=1))
    page = look(visitor, plan)
    assert "Stays: Defect not signed off: arm cracked" in row_of(page, craft)
    assert not Overrule.objects.exists()


def test_where_nothing_may_be_flown_no_craft_and_no_pack_goes(
    season_desk: Client, plan: DayPlan
) -> None:
    plan.spot.permits.all().delete()
    visitor = Visitor(season_desk)
    page = look(visitor, plan)
    assert "none needed" in page.text
    assert not any(goes(page, thing) for thing in (*Craft.objects.all(), *FlightPack.objects.all()))
    visitor.send("Put this on the plan")
    plan.refresh_from_db()
    assert plan.craft is None
    assert plan.packs.count() == 0
    assert plan.reels.count() == 2


def test_a_helper_looks_but_does_not_change_the_plan(client: Client, plan: DayPlan) -> None:
    from django.contrib.auth.models import Group

    helper = User.objects.create(username="helper", email="helper@marramhead.example")
    helper.groups.add(Group.objects.get(name__iexact="helper"))
    client.force_login(helper, backend="allauth.account.auth_backends.AuthenticationBackend")
    assert "Put this on the plan" not in look(Visitor(client), plan).text
    assert client.post(reverse("trip_gear_take", args=[plan.trip_id])).status_code == 403
