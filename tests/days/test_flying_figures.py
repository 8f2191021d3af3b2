"""The figures for flying in Setup: the house's until the guide chooses, and what they then do."""

from __future__ import annotations

from dataclasses import fields
from typing import Any

import pytest
from django.core.exceptions import ValidationError
from django.test import Client
from django.urls import reverse

from bookings.models import Business
from bookings.queries.trips import next_trips
from guiding.days.actions.flying import save_flying_choice
from guiding.days.forms.flying import GROUPS
from guiding.days.models import FlyingChoice
from guiding.days.queries.flying import flying_defaults
from guiding.desk.sheets.drops import trip_drops
from guiding.desk.sheets.gather import gather
from guiding.flying.defaults import HOUSE, FlyingDefaults
from tests.season import NOON


def test_every_figure_stands_on_the_form_once() -> None:
    shown = [figure.name for group in GROUPS.values() for figure in group]
    assert sorted(shown) == sorted(field.name for field in fields(FlyingDefaults))


def test_only_what_differs_is_kept_and_can_be_taken_back(db: None) -> None:
    assert flying_defaults() == HOUSE
    save_flying_choice(spare_packs=3, reserve_share=HOUSE.reserve_share, wind_class_ms=(2.0, 8.0))
    assert FlyingChoice.objects.get().figures == {"spare_packs": 3, "wind_class_ms": [2.0, 8.0]}
    assert (flying_defaults().spare_packs, flying_defaults().wind_class_ms) == (3, (2.0, 8.0))
    save_flying_choice()
    assert flying_defaults() == HOUSE
    assert FlyingChoice.history.count() == 2


@pytest.mark.parametrize(
    ("figures", "sentence"),
    [
        ({"reserve_share": 1.2}, "This is 1.2: a share lies between 0 and 1"),
        ({"turn_back_factor": 0.5}, "This is 0.5: a safety factor below 1 takes safety away"),
        ({"learn_after_drops": 2}, "This is 2: fewer than 3 drops"),
        ({"cool_c": 30.0}, "The temperatures must rise"),
        ({"wind_class_ms": (3.0, 3.0)}, "the borders of classes"),
        ({"courage": 1}, "no figure called courage"),
    ],
)
def test_what_cannot_be_is_refused(db: None, figures: dict[str, Any], sentence: str) -> None:
    with pytest.raises(ValidationError, match=sentence):
        save_flying_choice(**figures)
    assert not FlyingChoice.objects.exists()


def test_the_page_keeps_what_was_typed_and_says_what_is_wrong(season_desk: Client) -> None:
    where = reverse("flying_figures")
    assert "All are the house" in season_desk.get(where).content.decode()
    wrong = season_desk.post(where, {"reserve_share": "1.2", "distance_class_m": "far, farther"})
    assert wrong.status_code == 422
    told = wrong.content.decode()
    assert "are no borders: write them like 150, 250, 350." in told
    assert 'value="1.2"' in told
    assert season_desk.post(where, {"reserve_share": "1.2"}).status_code == 422
    assert (
        season_desk.post(where, {"reserve_share": "0.4", "bow_share": "0.06667"}).status_code == 302
    )
    assert FlyingChoice.objects.get().figures == {"reserve_share": 0.4}
    assert "1\u00a0figure is your own" in season_desk.get(where).content.decode()


def test_a_plan_of_drops_goes_by_them(season: Any) -> None:
    trip = next_trips(at=NOON).filter(plan__craft__isnull=False, status="confirmed").first()
    assert trip is not None

    def plan() -> Any:
        file = gather(trip.pk, business=Business.objects.get(), at=NOON)
        assert file is not None
        found = trip_drops(file, at=NOON)
        assert found is not None
        assert found.estimate is not None
        return found

    before = plan()
    save_flying_choice(spare_packs=0, zone_margin_m=60.0)
    after = plan()
    assert after.pack_plan.needed == before.pack_plan.needed - HOUSE.spare_packs
    assert after.zone_radius_m > before.zone_radius_m
    save_flying_choice(reserve_share=0.6)
    assert plan().estimate.drops < before.estimate.drops
