"""Ages on the day of the trip and what they ask for."""

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bookings.rules.ages import (
    CareRules,
    LeapBirthday,
    Participant,
    Weight,
    adults_for_children,
    age_on,
    care_findings,
    guides_needed,
    heads_by_age,
    is_minor,
)
from bookings.rules.prices import Heads

TRIP = date(2026, 5, 16)
GROWN = Participant("Aoife", date(1980, 1, 1))
days = st.dates(date(1925, 1, 1), date(2030, 12, 31))


def test_a_birthday_on_the_day_counts() -> None:
    assert age_on(date(2008, 5, 16), TRIP) == 18
    assert age_on(date(2008, 5, 17), TRIP) == 17
    assert is_minor(date(2008, 5, 17), TRIP)
    assert not is_minor(date(2008, 5, 16), TRIP)


@pytest.mark.parametrize(
    ("on", "march", "february"),
    [
        (date(2026, 2, 27), 17, 17),
        (date(2026, 2, 28), 17, 18),
        (date(2026, 3, 1), 18, 18),
        (date(2028, 2, 28), 19, 19),
        (date(2028, 2, 29), 20, 20),
    ],
)
def test_born_on_the_29th_of_february(on: date, march: int, february: int) -> None:
    born = date(2008, 2, 29)
    assert age_on(born, on) == march
    assert age_on(born, on, LeapBirthday.FEBRUARY_28) == february


def test_a_birth_after_the_trip_is_refused() -> None:
    with pytest.raises(ValueError, match="year of birth"):
        age_on(date(2061, 5, 16), TRIP)


@given(days, days, st.sampled_from(LeapBirthday))
def test_an_age_never_falls_and_steps_by_one(born: date, on: date, leap: LeapBirthday) -> None:
    if on <= born:
        return
    today, yesterday = age_on(born, on, leap), age_on(born, on - timedelta(days=1), leap)
    assert today - yesterday in (0, 1)
    assert abs((on - born).days / 365.2425 - today - 0.5) < 0.51


def test_a_party_as_the_price_counts_it() -> None:
    births = [date(1980, 1, 1), date(2012, 5, 16), date(2012, 5, 17)]
    assert heads_by_age(births, TRIP, 14) == Heads(adults=2, children=1)


@pytest.mark.parametrize(
    ("heads", "ratio", "guides"), [(0, 4, 0), (1, 4, 1), (4, 4, 1), (5, 4, 2), (3, 2, 2)]
)
def test_guides_are_rounded_up(heads: int, ratio: int, guides: int) -> None:
    assert guides_needed(heads, ratio) == guides


@pytest.mark.parametrize(
    ("ages", "adults"),
    [
        ([], 0),
        ([12], 2),  # NSPCC: never fewer than two adults
        ([5] * 12, 2),  # NSPCC: 1 to 6 from 4 to 8 years
        ([5] * 13, 3),
        ([9] * 17, 3),  # NSPCC: 1 to 8 from 9 to 12
        ([13] * 21, 3),  # NSPCC: 1 to 10 from 13 to 18
        ([8] * 6 + [12] * 8 + [18] * 10, 3),
    ],
)
def test_adults_for_a_group_of_children(ages: list[int], adults: int) -> None:
    assert adults_for_children(ages) == adults


@pytest.mark.parametrize("age", [3, 19])
def test_no_figure_is_made_up_outside_the_table(age: int) -> None:
    with pytest.raises(ValueError, match="no figure"):
        adults_for_children([age])


def test_a_grown_party_within_the_ratio_asks_for_nothing() -> None:
    assert care_findings([GROWN] * 4, TRIP, guides=1) == ()


def test_a_minor_alone_stops_the_trip_and_a_second_adult_lets_it_go() -> None:
    party = [GROWN, Participant("Finn", date(2010, 1, 1))]
    (found,) = care_findings(party, TRIP, guides=1)
    assert found.weight is Weight.STOP
    assert "Finn will be 16 and comes without a guardian" in found.sentence
    assert care_findings(party, TRIP, guides=1, other_adults=1) == ()
    with_parent = [GROWN, Participant("Finn", date(2010, 1, 1), guardian_comes=True)]
    assert care_findings(with_parent, TRIP, guides=1) == ()


def test_stops_come_before_cautions_each_with_its_number() -> None:
    party = [
        Participant("Nobody knows", None),
        Participant("Una", date(2019, 1, 1), guardian_comes=True),
        *[GROWN] * 3,
    ]
    found = care_findings(party, TRIP, guides=1)
    assert [(x.weight.value, x.sentence) for x in found] == [
        ("stop", "A party of 5 needs 2 guides at 4 to one, and 1 is planned."),
        ("stop", "Una will be 7; the least age is 8."),
        ("caution", "Nobody knows's date of birth is not known; ask before the trip."),
        ("caution", "Una will be 7: within hand's reach of an adult at the water."),
    ]


def test_the_guide_sets_the_figures() -> None:
    rocks = CareRules(heads_per_guide=2, least_age=16)
    party = [GROWN, GROWN, Participant("Finn", date(2011, 1, 1), guardian_comes=True)]
    assert [x.weight for x in care_findings(party, TRIP, guides=1, rules=rocks)] == [
        Weight.STOP,
        Weight.STOP,
    ]
