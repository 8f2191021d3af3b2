"""The gate: both permissions proven for the place and the day, or cast only."""

from dataclasses import replace
from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from guiding.flying.permission import FishingMode, drop_permission
from tests.flying.example import AVIATION, DAY, FISHERY, PLACE


def test_both_proven_opens_the_gate():
    gate = drop_permission((AVIATION, FISHERY), PLACE, DAY)
    assert gate.may_drop
    assert gate.mode is FishingMode.DROP
    assert gate.reasons == ()
    assert gate.papers == (
        "aviation: Aviation authority, A-17",
        "fishery: Fisheries board, F-3",
    )
    assert (gate.height_limit_m, gate.people_distance_m) == (50, 40)


def test_nothing_proven_is_cast_only_with_both_reasons():
    gate = drop_permission((), PLACE, DAY)
    assert gate.mode == "cast only"
    assert len(gate.reasons) == 2
    for kind, reason in zip(("aviation", "fishery"), gate.reasons, strict=True):
        assert kind in reason
        assert reason.startswith("Cast only")
        assert reason.endswith("Check with your own authority.")


def test_one_sentence_says_all_that_is_missing_once():
    sentence = drop_permission((replace(AVIATION, on_file=False),), PLACE, DAY).sentence
    assert sentence == (
        "Cast only: the aviation permission (Aviation authority A-17) has no copy on file; no "
        "fishery permission is on record for Marram Head. Check with your own authority."
    )
    assert drop_permission((AVIATION, FISHERY), PLACE, DAY).sentence == ""


@pytest.mark.parametrize("missing", [AVIATION, FISHERY])
def test_one_alone_does_not_open_the_gate(missing):
    held = tuple(p for p in (AVIATION, FISHERY) if p is not missing)
    gate = drop_permission(held, PLACE, DAY)
    assert not gate.may_drop
    assert [str(missing.kind) in reason for reason in gate.reasons] == [True]


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"covers_dropping": False}, "does not cover dropping bait"),
        ({"on_file": False}, "has no copy on file"),
        ({"number": " "}, "has no number"),
        ({"places": ("Long Strand",)}, "does not name this place"),
        ({"places": ()}, "does not name this place"),
        ({"valid_to": DAY - timedelta(days=1)}, "was valid to 13 May 2027"),
        ({"valid_from": DAY + timedelta(days=1)}, "is only valid from 15 May 2027"),
    ],
)
@pytest.mark.parametrize("paper", [AVIATION, FISHERY])
def test_a_paper_that_falls_short_proves_nothing(paper, change, words):
    other = FISHERY if paper is AVIATION else AVIATION
    gate = drop_permission((replace(paper, **change), other), PLACE, DAY)
    assert gate.mode is FishingMode.CAST_ONLY
    assert words in gate.reasons[0]


def test_the_first_and_the_last_day_count():
    for on in (AVIATION.valid_from, AVIATION.valid_to):
        assert drop_permission((AVIATION, FISHERY), PLACE, on).may_drop


def test_an_old_paper_beside_a_good_one_does_no_harm():
    old = replace(AVIATION, number="A-16", valid_to=date(2026, 12, 31))
    assert drop_permission((old, AVIATION, FISHERY), PLACE, DAY).may_drop


def test_the_reason_speaks_of_the_paper_that_comes_nearest():
    hopeless = replace(AVIATION, number="A-1", places=(), on_file=False, covers_dropping=False)
    nearly = replace(AVIATION, number="A-16", valid_to=DAY - timedelta(days=3))
    gate = drop_permission((hopeless, nearly, FISHERY), PLACE, DAY)
    assert "A-16" in gate.reasons[0]


def test_a_place_is_known_by_its_name_however_it_is_typed():
    assert drop_permission((AVIATION, FISHERY), "  marram   HEAD ", DAY).may_drop


def test_the_tightest_limits_hold():
    low = replace(FISHERY, height_limit_m=30, people_distance_m=100)
    gate = drop_permission((AVIATION, low), PLACE, DAY)
    assert (gate.height_limit_m, gate.people_distance_m) == (30, 100)


@given(st.lists(st.sampled_from([AVIATION, replace(AVIATION, on_file=False)]), max_size=5))
def test_no_pile_of_one_kind_replaces_the_other(papers):
    assert not drop_permission(tuple(papers), PLACE, DAY).may_drop
