"""Today says what stops the drops of the next trip; a craft leads to what its log taught."""

from __future__ import annotations

from typing import Any

from django.test import Client
from django.urls import reverse

from bookings.queries.trips import next_trips
from equipment.models import Craft
from guiding.days.models import DayPlan
from tests.factories import NOON


def test_today_lists_what_stops_the_drops_of_the_next_trip(season_desk: Client) -> None:
    first = next_trips(at=NOON).filter(plan__craft__isnull=False)[0]
    page = season_desk.get(reverse("today"))
    assert page.context["drop_stops"] == []  # the demo's next day is a good one
    DayPlan.objects.filter(trip=first).update(drop_m=700)
    again = season_desk.get(reverse("today"))
    [row] = again.context["drop_stops"]
    assert row.trip == first
    assert "spool" in {one.check for one in row.stops}
    html = again.content.decode()
    assert f"{reverse('trip', args=[first.pk])}#drops" in html
    assert "Not worked out" not in html


def test_the_craft_page_leads_to_its_learned_figures(season_desk: Client, season: Any) -> None:
    craft = Craft.objects.all()[0]
    html = season_desk.get(reverse("craft", args=[craft.pk])).content.decode()
    where = reverse("craft_drops", args=[craft.pk])
    assert where in html
    assert season_desk.get(where).status_code == 200
