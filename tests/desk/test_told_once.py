"""One message a decision: who presses 'We go' a second time reads that it has been sent."""

from __future__ import annotations

import datetime
from typing import Any

import pytest
import time_machine
from django.test import Client as Browser

from bookings.models import Message
from guiding.days.models import DayPlan
from tests.factories import BookingFactory, PartyFactory, TripFactory
from tests.factories_days import DayPlanFactory
from tests.visit import Page, Visitor

EVENING = datetime.datetime(2026, 6, 12, 18, 0, tzinfo=datetime.UTC)
MINUTE = datetime.timedelta(minutes=1)


@pytest.fixture
def plan(business: Any) -> DayPlan:
    plan = DayPlanFactory(trip=TripFactory(status="confirmed", places=8, places_taken=4))
    BookingFactory(trip=plan.trip, party=PartyFactory(client__email="anna@example.org"))
    return plan


@pytest.fixture
def visitor(desk: Browser) -> Visitor:
    return Visitor(desk)


def _by_hand(visitor: Visitor, plan: DayPlan, at: datetime.datetime) -> Page:
    with time_machine.travel(at, tick=False):
        page = visitor.go(f"/trips/{plan.trip_id}/messages/go/")
        form = page.form("subject")
        return visitor._arrived(
            visitor.client.post(page.address, form.values | {"send": ""}, follow=True)
        )


def _decide(visitor: Visitor, plan: DayPlan, at: datetime.datetime, reason: str) -> Page:
    with time_machine.travel(at, tick=False):
        page = visitor.go("/diary/decide/", trip=str(plan.trip_id))
        values = page.form("seen").values | {"reason": reason, "call": "go"}
        address = f"/trips/{plan.trip_id}/decide/"
        return visitor._arrived(visitor.client.post(address, values, follow=True))


def _told() -> list[str]:
    return list(Message.objects.filter(kind="go").order_by("pk").values_list("to_mail", flat=True))


def test_we_go_by_hand_goes_out_once_and_then_says_so(visitor: Visitor, plan: DayPlan) -> None:
    assert "1 on the way." in _by_hand(visitor, plan, EVENING).told
    again = _by_hand(visitor, plan, EVENING + 5 * MINUTE)
    assert again.status == 422
    assert "'Go' has been sent already" in again.text
    assert _told() == ["anna@example.org"]


def test_who_booked_after_it_is_told_alone(visitor: Visitor, plan: DayPlan) -> None:
    _by_hand(visitor, plan, EVENING)
    BookingFactory(trip=plan.trip, party=PartyFactory(client__email="late@example.org"))
    assert "1 on the way." in _by_hand(visitor, plan, EVENING + 5 * MINUTE).told
    assert _told() == ["anna@example.org", "late@example.org"]


def test_a_decision_tells_it_and_the_button_beside_it_does_not_tell_it_again(
    visitor: Visitor, plan: DayPlan
) -> None:
    assert "has been sent before" not in _decide(visitor, plan, EVENING, "Light wind.").told
    again = _decide(visitor, plan, EVENING + MINUTE, "Light wind.")
    assert "has been sent before, 12 June, 19:00" in again.told
    assert "has been sent already" in _by_hand(visitor, plan, EVENING + 2 * MINUTE).text
    assert _told() == ["anna@example.org"]


def test_a_new_decision_is_told_anew(visitor: Visitor, plan: DayPlan) -> None:
    _decide(visitor, plan, EVENING, "Light wind.")
    _decide(visitor, plan, EVENING + MINUTE, "The wind has turned, and we still go.")
    assert _told() == ["anna@example.org"] * 2
