"""The assessment of a trip: chosen, signed, and asking for another look when a fact changes."""

from __future__ import annotations

import json
from typing import Any

import pytest
from django.core.exceptions import ValidationError
from django.core.management import CommandError, call_command

from bookings.models import Business
from bookings.queries.trips import next_trips
from guiding.desk.sheets.gather import TripFile, gather
from guiding.desk.sheets.risks import assessment
from guiding.safety.actions.assessment import (
    choose_hazard,
    save_day_marks,
    save_spot_safety,
    sign_assessment,
    tick_heard,
)
from guiding.safety.actions.library import load_library, save_hazard, save_words
from guiding.safety.models import Hazard, HazardChoice, Heard, SignedAssessment
from guiding.safety.queries.library import library
from guiding.safety.rules.matrix import risk_band, risk_bands
from tests.factories import NOON
from tests.reference import published


@pytest.fixture
def file(season: Any) -> TripFile:
    """The demo's next trip: a family's, with children."""
    trip = next_trips(at=NOON).filter(status="confirmed", plan__isnull=False).first()
    assert trip is not None
    return fresh(trip.pk)


def fresh(pk: int) -> TripFile:
    found = gather(pk, business=Business.objects.get())
    assert found is not None
    return found


def keys(file: TripFile) -> set[str]:
    return {one.key for one in assessment(file).fired}


def test_the_library_is_loaded_once_and_what_was_edited_stays(db: None) -> None:
    assert load_library() >= 40
    save_hazard(hazard=Hazard.objects.get(key="surge"), say="Behind the rods, always.")
    Hazard.objects.get(key="alcohol").delete()
    assert load_library() == 1
    surge = Hazard.objects.get(key="surge")
    assert surge.say == "Behind the rods, always."
    assert [row.say for row in surge.history.order_by("history_id")] == [
        "Stay behind the rods unless I walk with you.",
        "Behind the rods, always.",
    ]


def test_a_hazard_is_said_in_another_language_as_far_as_it_is_translated(db: None) -> None:
    load_library()
    save_words(hazard=Hazard.objects.get(key="hook"), language="de", say="Nie in die Schnur.")
    german = {one.key: one for one in library(language="de")}
    assert german["hook"].say == "Nie in die Schnur."
    assert german["hook"].name == "A hook in somebody"
    assert {one.key: one for one in library()}["hook"].say.startswith("Never")


@pytest.mark.parametrize(
    ("fields", "sentence"),
    [
        ({"trigger": "full moon"}, "fires nothing"),
        ({"mark": "s", "source": ""}, "Name the source"),
        ({"who": "CX"}, "letters C, M, G, P and W"),
        ({"likelihood_after": 5, "consequence_after": 5}, "cannot make it worse"),
        ({"likelihood_before": 6}, "less than or equal to 5"),
        ({"name": ""}, "cannot be blank"),
        ({"say": "x" * 300}, "at most 120"),
    ],
)
def test_a_hazard_that_makes_no_sense_is_refused(
    db: None, fields: dict[str, Any], sentence: str
) -> None:
    load_library()
    with pytest.raises(ValidationError, match=sentence):
        save_hazard(hazard=Hazard.objects.get(key="braid"), **fields)
    assert Hazard.objects.get(key="braid").history.count() == 1


def test_the_matrix_gives_the_published_bands(db: None) -> None:
    cells = published.rows("doc_risk_matrix")
    assert len(cells) >= 15
    for cell in cells:
        likelihood, consequence = int(cell["likelihood"]), int(cell["consequence"])
        assert risk_band(likelihood, consequence) == cell["three_band_published"]
    assert risk_bands()[4][4] == "high"
    with pytest.raises(ValueError, match="both run from 1 to 5"):
        risk_band(0, 3)


def test_the_words_of_the_matrix_are_the_published_ones() -> None:
    from guiding.safety.rules.matrix import CONSEQUENCES, LIKELIHOODS

    words = {
        (row["scale"], int(row["level"])): row["word"] for row in published.rows("doc_risk_scales")
    }
    assert tuple(words["likelihood", level] for level in range(1, 6)) == LIKELIHOODS
    assert tuple(words["consequence", level] for level in range(1, 6)) == CONSEQUENCES


def test_the_family_day_fires_what_belongs_to_it_and_nothing_else(file: TripFile) -> None:
    found = assessment(file)
    by_key = {one.fired.key: one.fired.trigger for one in found.hazards}
    assert by_key["child_lost"] == "2 under 18"
    assert by_key["rotor"] == f"{file.plan.drops} drops flown"
    assert not {"rock_set", "cut_off", "pier_edge", "crack_off", "lightning"} & set(by_key)
    assert 5 < len(by_key) < found.library_size / 2
    scores = [one.score_before for one in found.hazards]
    assert scores == sorted(scores, reverse=True)
    assert all(one.score_after <= one.score_before for one in found.hazards)


def test_the_guide_adds_and_drops_with_a_reason(file: TripFile) -> None:
    alcohol, hook = Hazard.objects.get(key="alcohol"), Hazard.objects.get(key="hook")
    with pytest.raises(ValidationError, match="Say why"):
        choose_hazard(trip=file.trip, hazard=hook, take=False, reason="  ")
    choose_hazard(trip=file.trip, hazard=alcohol, take=True, reason="a birthday party")
    choose_hazard(trip=file.trip, hazard=hook, take=False, reason="rods stay in the truck")
    found = assessment(file)
    assert "alcohol" in keys(file)
    assert "hook" not in keys(file)
    assert [one.choice.reason for one in found.dropped if one.choice] == ["rods stay in the truck"]
    choose_hazard(trip=file.trip, hazard=hook, take=True, reason="they fish after all")
    assert "hook" in keys(file)
    assert HazardChoice.objects.count() == 2


def test_a_signed_assessment_asks_for_another_look_when_a_fact_changes(file: TripFile) -> None:
    signed = sign_assessment(trip=file.trip, assessment=assessment(file), name="Orla Tern", at=NOON)
    assert assessment(file).in_order
    again = sign_assessment(trip=file.trip, assessment=assessment(file), name="Orla Tern", at=NOON)
    assert again == signed
    save_spot_safety(spot=file.plan.spot, features=["rip", "toothy fish"])
    changed = assessment(fresh(file.trip.pk)).changed
    assert "at spot: rip when signed, rip and toothy fish now" in changed
    assert "new: Teeth" in changed
    sign_assessment(trip=file.trip, assessment=assessment(fresh(file.trip.pk)), name="Orla Tern")
    assert assessment(fresh(file.trip.pk)).in_order
    assert SignedAssessment.objects.count() == 2
    signed.refresh_from_db()
    assert "Teeth" not in json.dumps(signed.lines)


def test_a_changed_measure_asks_for_another_look_too(file: TripFile) -> None:
    sign_assessment(trip=file.trip, assessment=assessment(file), name="Orla Tern", at=NOON)
    save_hazard(hazard=Hazard.objects.get(key="hook"), controls_during="Gloves for everybody.")
    assert assessment(file).changed == ("what we do changed: A hook in somebody",)


def test_signing_needs_a_name_and_features_come_from_the_list(file: TripFile) -> None:
    with pytest.raises(ValidationError, match="Sign with your name"):
        sign_assessment(trip=file.trip, assessment=assessment(file), name=" ")
    with pytest.raises(ValidationError, match="'sharks' is not on the list"):
        save_spot_safety(spot=file.plan.spot, features=["sharks"])
    with pytest.raises(ValidationError, match="less than or equal to 20"):
        save_day_marks(trip=file.trip, features=[], uv_index=30)


def test_a_tick_counts_once(file: TripFile) -> None:
    people = file.people
    assert tick_heard(trip=file.trip, people=people[:2]) == 2
    assert tick_heard(trip=file.trip, people=people[:3]) == 1
    assert Heard.objects.filter(trip=file.trip).count() == 3
    stranger = type(people[0]).objects.exclude(party=people[0].party).first()
    with pytest.raises(ValidationError, match="does not come along"):
        tick_heard(trip=file.trip, people=[stranger])


def test_the_command_tells_hazards_and_numbers(file: TripFile, capsys: Any) -> None:
    call_command("assess", str(file.trip.pk), "--json")
    told = json.loads(capsys.readouterr().out)
    assert {line["key"] for line in told["hazards"]} == keys(file)
    assert all(line["trigger"] for line in told["hazards"])
    assert told["facts"]["minors"] == 2
    call_command("assess", str(file.trip.pk))
    assert "2 under 18" in capsys.readouterr().out
    with pytest.raises(CommandError, match="There is no trip 999999"):
        call_command("assess", "999999")


def test_the_questions_do_not_grow_with_the_library(
    file: TripFile, django_assert_max_num_queries: Any
) -> None:
    with django_assert_max_num_queries(12):
        assessment(file)
