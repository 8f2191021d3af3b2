"""What fires a hazard, and with which number."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from guiding.safety.rules.facts import LibraryHazard, Part
from guiding.safety.rules.hazards import fired_hazards, spoken_order
from guiding.safety.rules.triggers import TRIGGERS
from tests.factories_safety import shipped_library
from tests.safety.made_trips import TRIPS, facts_of


def fired(changes: dict[str, Any]) -> dict[str, str]:
    return {one.key: one.trigger for one in fired_hazards(facts_of(changes), shipped_library())}


@pytest.mark.parametrize(("changes", "expected"), [t[1:] for t in TRIPS], ids=[t[0] for t in TRIPS])
def test_a_made_trip_fires_exactly_its_hazards(
    changes: dict[str, Any], expected: dict[str, str]
) -> None:
    assert fired(changes) == expected


def test_no_made_trip_fires_all_and_none_fires_none() -> None:
    assert len(TRIPS) == 30
    counts = [len(fired(changes)) for _, changes, _ in TRIPS]
    assert min(counts) > 0
    assert max(counts) < len(shipped_library())


def test_every_hazard_but_those_added_by_hand_is_fired_by_some_trip() -> None:
    seen = {key for _, changes, _ in TRIPS for key in fired(changes)}
    by_hand = {one.key for one in shipped_library() if one.trigger == "by hand"}
    assert {one.key for one in shipped_library()} - seen == by_hand == {"alcohol"}


def test_the_library_is_of_the_size_and_the_kind_that_was_asked_for() -> None:
    library = shipped_library()
    assert len(library) >= 40
    assert len({one.key for one in library}) == len(library)
    for one in library:
        assert one.trigger in TRIGGERS, one.key
        words = (one.name, one.say, one.emergency, one.source)
        assert all((*words, one.controls_before, one.controls_during)), one.key
        assert one.likelihood_after * one.consequence_after < 12, f"{one.key} stays high"
    assert set(TRIGGERS) == {one.trigger for one in library}


def test_the_gravest_come_first_and_the_briefing_goes_by_parts() -> None:
    found = fired_hazards(facts_of({"flying": True, "rock": True, "minors": 1}), shipped_library())
    weights = [one.weight for one in found]
    assert weights == sorted(weights, reverse=True)
    assert weights[0] == 20
    order = [one.hazard.part for one in spoken_order(found)]
    assert order == sorted(order, key=list(Part).index)
    assert order[0] is Part.ARRIVAL


def test_a_hazard_that_hangs_on_nothing_known_is_refused() -> None:
    broken: LibraryHazard = replace(shipped_library()[0], trigger="full moon")
    with pytest.raises(ValueError, match="'full moon', which is no trigger"):
        fired_hazards(facts_of({}), (broken,))
