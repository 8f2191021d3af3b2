"""Gates that refuse with a reason, and a score whose parts add up."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, time
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from guiding.days.rules.score import (
    DayMerits,
    DayScore,
    Gate,
    GateFacts,
    ScoreWeights,
    day_refusal,
    moon_share,
    ranked,
    score_day,
)

OPEN = GateFacts(day=date(2026, 6, 13), today=date(2026, 6, 1), heads=3)  # a Saturday


def test_a_day_with_nothing_against_it_is_let_through() -> None:
    assert day_refusal(OPEN) is None


@pytest.mark.parametrize(
    ("against", "gate", "words"),
    [
        ({"today": date(2026, 6, 14)}, Gate.PAST, "has passed"),
        ({"weekdays": "01234"}, Gate.WEEKDAY, "Saturday is not among"),
        ({"away": "away: at a wedding"}, Gate.AWAY, "wedding"),
        ({"taken": "out with another party"}, Gate.TAKEN, "another party"),
        ({"offer_from": date(2026, 7, 1)}, Gate.OFFER, "sold from 1 July 2026"),
        ({"offer_until": date(2026, 6, 12)}, Gate.OFFER, "sold to 12 June 2026"),
        ({"heads": 5}, Gate.PLACES, "the offer takes 4, the party is 5"),
        ({"places_left": 2}, Gate.PLACES, "2 places are left on it, 3 are asked for"),
        ({"spot_places": 2}, Gate.PLACES, "the spot takes 2"),
        ({"minors": 1, "minors_welcome": False}, Gate.AGES, "nobody under 18"),
        ({"youngest": 9, "minimum_age": 12}, Gate.AGES, "from the age of 12, the youngest is 9"),
        ({"closed": "birds nest"}, Gate.CLOSED, "birds nest"),
        ({"no_session": "no light"}, Gate.SESSION, "no light"),
        ({"pick_up": time(4, 30), "earliest": time(6)}, Gate.HOURS, "04:30, wished from 06:00"),
        ({"drop_off": time(21), "latest": time(20)}, Gate.HOURS, "21:00, wished by 20:00"),
        ({"drop_off": time(1), "latest": time(20), "next_day": True}, Gate.HOURS, "01:00"),
        ({"duty_h": 14.5}, Gate.DUTY, "14.5 h, your limit is 14 h"),
        ({"rest_h": 8.25}, Gate.REST, "8.2 h of rest"),
        ({"flown": True, "cast_only": "no paper"}, Gate.DROP, "no paper"),
        ({"flown": True, "grounded": "Gannet: defect"}, Gate.GEAR, "defect"),
        ({"forecast_stop": "waves 3 m"}, Gate.FORECAST, "waves 3 m"),
    ],
)
def test_each_gate_refuses_with_its_reason(against: dict[str, Any], gate: Gate, words: str) -> None:
    found = day_refusal(replace(OPEN, **against))
    assert found is not None
    assert found.gate is gate
    assert words in found.why


@pytest.mark.parametrize(
    "on_the_edge",
    [
        {"today": OPEN.day},
        {"weekdays": "5"},
        {"offer_from": OPEN.day, "offer_until": OPEN.day},
        {"heads": 4, "places_left": 4, "spot_places": 4},
        {"youngest": 12, "minimum_age": 12},
        {"minors": 1},
        {"pick_up": time(6), "earliest": time(6), "drop_off": time(20), "latest": time(20)},
        {"duty_h": 14.0, "rest_h": 10.0},
        {"cast_only": "no paper", "grounded": "defect"},
    ],
)
def test_a_limit_that_is_just_kept_lets_through(on_the_edge: dict[str, Any]) -> None:
    assert day_refusal(replace(OPEN, **on_the_edge)) is None


SHARE = st.floats(0, 1)
MERITS = st.builds(
    lambda tide, moon, results, drive, rest, asked, met: DayMerits(
        tide, moon, results, drive, rest, min(met, asked), asked
    ),
    SHARE,
    SHARE,
    st.one_of(st.none(), SHARE),
    st.floats(0, 600),
    st.one_of(st.none(), st.floats(0, 400)),
    st.integers(0, 4),
    st.integers(0, 4),
)
WEIGHT = st.floats(0, 100)
WEIGHTS = st.builds(ScoreWeights, WEIGHT, WEIGHT, WEIGHT, WEIGHT, WEIGHT, WEIGHT)


@given(MERITS, WEIGHTS)
def test_the_parts_add_up_to_the_score(merits: DayMerits, weights: ScoreWeights) -> None:
    found = score_day(merits, weights)
    assert round(sum(part.points for part in found.parts), 1) == found.points
    assert all(0 <= part.points <= part.most + 0.05 for part in found.parts)
    assert len(found.parts) == 6


@given(MERITS, WEIGHTS, st.data())
def test_a_worse_input_never_ranks_higher(
    merits: DayMerits, weights: ScoreWeights, data: st.DataObject
) -> None:
    name = data.draw(st.sampled_from(["tide", "moon", "results", "drive", "rest", "wishes"]))
    worse: dict[str, Any] = {}
    if name in {"tide", "moon"}:
        worse = {f"{name}_share": data.draw(st.floats(0, getattr(merits, f"{name}_share")))}
    elif name == "results":
        known = 0.5 if merits.results_share is None else merits.results_share
        worse = {"results_share": data.draw(st.floats(0, known))}
    elif name == "drive":
        worse = {"drive_min": data.draw(st.floats(merits.drive_min, 1000))}
    elif name == "rest":
        most = 400.0 if merits.rest_days is None else merits.rest_days
        worse = {"rest_days": data.draw(st.floats(0, most))}
    else:
        worse = {"wishes_met": data.draw(st.integers(0, merits.wishes_met))}
    better = score_day(merits, weights)
    lesser = score_day(replace(merits, **worse), weights)
    assert lesser.points <= better.points
    # asked first, the better day stays first: equal scores keep their order
    assert ranked([better, lesser])[0] == 0
    if lesser.points < better.points:
        assert ranked([lesser, better])[0] == 1


def test_the_best_day_there_is_has_a_hundred_points() -> None:
    assert score_day(DayMerits(1, 1, 1)).points == 100.0
    assert score_day(DayMerits(0, 0, 0, 999, 0, 0, 1)).points == 0.0


def test_what_is_not_on_record_counts_half_and_says_so() -> None:
    part = score_day(DayMerits(1, 1)).parts[2]
    assert (part.points, part.why) == (7.5, "nothing on record")


@pytest.mark.parametrize(
    "wrong",
    [
        {"tide_share": 1.01},
        {"moon_share": -0.1},
        {"results_share": float("nan")},
        {"drive_min": -1.0},
        {"rest_days": -1.0},
        {"wishes_met": 2, "wishes_asked": 1},
    ],
)
def test_merits_that_cannot_be_are_refused(wrong: dict[str, Any]) -> None:
    with pytest.raises(ValueError, match=r"check|cannot be met"):
        DayMerits(**{"tide_share": 1.0, "moon_share": 1.0} | wrong)


def test_a_weight_below_nothing_is_refused() -> None:
    with pytest.raises(ValueError, match="weight of rest"):
        ScoreWeights(rest=-1)


@pytest.mark.parametrize(
    ("lit", "wanted", "share"),
    [(0, "any", 1), (1, "any", 1), (0.5, "springs", 0), (0, "dark", 1), (1, "dark", 0)],
)
def test_the_moon_that_is_wanted(lit: float, wanted: str, share: float) -> None:
    assert moon_share(lit, wanted) == share


def test_a_moon_that_is_none_is_refused() -> None:
    with pytest.raises(ValueError, match="not from 0 to 1"):
        moon_share(1.2, "any")
    with pytest.raises(ValueError, match="no wish"):
        moon_share(0.2, "blue")


def test_equal_scores_keep_their_order() -> None:
    scores = [DayScore(points, ()) for points in (3, 9, 3, 9)]
    assert ranked(scores) == (1, 3, 0, 2)
