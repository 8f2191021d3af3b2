"""Service due by counts and dates, before which booked trip, and what grounds a thing."""

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from equipment.rules.service import (
    BookedTrip,
    GearKind,
    Mark,
    ServiceFacts,
    ServiceRule,
    ServiceState,
    UseCounts,
    default_service_rules,
    service_due,
    service_state,
)

_ON = date(2031, 6, 1)
_SERVED = date(2031, 1, 1)
_PROPS = ServiceRule("Props", every_flights=50)


def _facts(printed_on=None, counted_from=_SERVED, **since):
    return ServiceFacts(counted_from, UseCounts(**since), printed_on)


def _trip(day, **expected):
    return BookedTrip(date(2031, 6, day), UseCounts(trips=1, **expected))


@pytest.mark.parametrize(
    ("flights", "state"),
    [
        (0, ServiceState.FIT),
        (44, ServiceState.FIT),
        (45, ServiceState.DUE),  # 10 % lead
        (50, ServiceState.DUE),
        (51, ServiceState.GROUNDED),
    ],
)
def test_a_count_warns_is_due_and_grounds(flights, state):
    due = service_due(rule=_PROPS, facts=_facts(flights=flights), on=_ON)
    assert due.state is state
    assert f"{flights} of 50 flights" in due.reason


def test_due_before_the_trip_that_would_pass_the_limit():
    booked = (_trip(21, flights=12), _trip(7, flights=12), _trip(14, flights=12))
    due = service_due(rule=_PROPS, facts=_facts(flights=20), on=_ON, booked=booked)
    # 20 + 12 + 12 = 44, the third trip would take it to 56.
    assert due.before_trip_on == date(2031, 6, 21)
    due = service_due(rule=_PROPS, facts=_facts(flights=27), on=_ON, booked=booked)
    assert due.before_trip_on == date(2031, 6, 14)
    assert "due before the trip of 14 June" in due.reason


def test_a_trip_that_lands_exactly_on_the_limit_may_still_be_fished():
    booked = (_trip(7, flights=10), _trip(14, flights=1))
    due = service_due(rule=_PROPS, facts=_facts(flights=40), on=_ON, booked=booked)
    assert due.before_trip_on == date(2031, 6, 14)


def test_past_trips_are_not_counted_again():
    booked = (BookedTrip(date(2031, 5, 20), UseCounts(flights=40)), _trip(14, flights=5))
    due = service_due(rule=_PROPS, facts=_facts(flights=20), on=_ON, booked=booked)
    assert due.before_trip_on is None


@pytest.mark.parametrize(
    ("printed_on", "state", "before"),
    [
        (date(2031, 9, 1), ServiceState.FIT, None),
        (date(2031, 6, 15), ServiceState.DUE, None),
        (date(2031, 6, 14), ServiceState.DUE, None),  # good on its last day
        (date(2031, 6, 13), ServiceState.DUE, date(2031, 6, 14)),
        (_ON, ServiceState.DUE, date(2031, 6, 14)),
        (date(2031, 5, 31), ServiceState.GROUNDED, date(2031, 6, 14)),
    ],
)
def test_a_printed_date(printed_on, state, before):
    due = service_due(
        rule=ServiceRule("Flares", by_printed_date=True),
        facts=_facts(printed_on=printed_on),
        on=_ON,
        booked=(_trip(14),),
    )
    assert (due.state, due.before_trip_on) == (state, before)
    assert due.due_on == printed_on


def test_days_run_from_the_last_service():
    rule = ServiceRule("Strip and grease", every_days=365, grounds=False)
    due = service_due(rule=rule, facts=_facts(counted_from=date(2030, 6, 10)), on=_ON)
    assert due.due_on == date(2031, 6, 10)
    assert due.state is ServiceState.DUE
    late = service_due(rule=rule, facts=_facts(counted_from=date(2029, 6, 10)), on=_ON)
    assert late.state is ServiceState.DUE  # overdue, but this rule does not ground
    assert "overdue" in late.reason


def test_the_limit_reached_first_decides():
    rule = ServiceRule("Motors", every_flights=100, every_hours=20, every_days=400)
    by_hours = service_due(rule=rule, facts=_facts(flights=80, hours=19), on=_ON)
    assert by_hours.measure == "hours"
    by_flights = service_due(rule=rule, facts=_facts(flights=101, hours=19), on=_ON)
    assert by_flights.measure == "flights"
    by_days = service_due(
        rule=rule, facts=_facts(counted_from=date(2030, 5, 1), flights=10, hours=3), on=_ON
    )
    assert by_days.measure == "days"
    sooner_trip = service_due(
        rule=rule,
        facts=_facts(flights=60, hours=12),
        on=_ON,
        booked=(_trip(7, flights=5, hours=9), _trip(14, flights=40)),
    )
    assert (sooner_trip.measure, sooner_trip.before_trip_on) == ("hours", date(2031, 6, 7))


@given(
    flights=st.integers(0, 120),
    more=st.integers(0, 40),
    days=st.integers(0, 400),
    later=st.integers(0, 60),
)
def test_more_use_or_a_later_day_never_makes_a_thing_fitter(flights, more, days, later):
    rule = ServiceRule("Airframe", every_flights=80, every_days=300)
    order = [ServiceState.FIT, ServiceState.DUE, ServiceState.GROUNDED]
    start = date(2031, 1, 1)

    def rank(used, after):
        on = start + timedelta(days=after)
        facts = ServiceFacts(start, UseCounts(flights=used))
        return order.index(service_due(rule=rule, facts=facts, on=on).state)

    assert rank(flights + more, days + later) >= rank(flights, days)


def test_a_defect_grounds_until_it_is_signed_off():
    grounded = service_state(
        rules=(_PROPS,),
        facts=(_facts(),),
        on=_ON,
        open_defects=("motor 3 rough", "leg cracked"),
    )
    assert grounded.state is ServiceState.GROUNDED
    assert "motor 3 rough and 1 more" in grounded.reason
    signed_off = service_state(rules=(_PROPS,), facts=(_facts(),), on=_ON)
    assert signed_off.state is ServiceState.FIT


def test_the_worst_rule_speaks_for_the_thing():
    rules = (_PROPS, ServiceRule("Motors", every_flights=100), ServiceRule("Body", every_days=90))
    verdict = service_state(
        rules=rules,
        facts=(_facts(flights=46), _facts(flights=101), _facts(counted_from=_ON)),
        on=_ON,
    )
    assert verdict.state is ServiceState.GROUNDED
    assert verdict.reason.startswith("Motors: 101 of 100 flights")
    assert [due.rule for due in verdict.due] == ["Motors", "Props", "Body"]


def test_retired_from_its_day_on():
    facts = (_facts(flights=60),)
    retired = service_state(rules=(_PROPS,), facts=facts, on=_ON, retired_on=_ON)
    assert retired.state is ServiceState.RETIRED
    before = service_state(rules=(_PROPS,), facts=facts, on=_ON, retired_on=_ON + timedelta(days=1))
    assert before.state is ServiceState.GROUNDED


@pytest.mark.parametrize("kind", list(GearKind))
def test_default_rules_stand_and_carry_their_mark(kind):
    for rule in default_service_rules(kind=kind, has_printed_date=True):
        due = service_due(rule=rule, facts=_facts(_ON + timedelta(days=900), _ON), on=_ON)
        assert due.state is ServiceState.FIT
        assert rule.mark in Mark


def test_salt_halves_the_maker_schedule_and_says_it_is_ours():
    def motors(salt):
        rules = default_service_rules(kind=GearKind.CRAFT, salt=salt)
        return next(rule for rule in rules if rule.name.startswith("Motors"))

    # One small-aircraft maker's schedule: motors at 100 flights.
    assert (motors(False).every_flights, motors(False).mark) == (100, Mark.PUBLISHED)
    assert (motors(True).every_flights, motors(True).mark) == (50, Mark.HOUSE)


@pytest.mark.parametrize(
    ("rule", "facts", "words"),
    [
        (ServiceRule("Look"), _facts(), "sets no limit"),
        (ServiceRule("Look", every_days=0), _facts(), "above zero"),
        (ServiceRule("Look", every_flights=-3), _facts(), "above zero"),
        (ServiceRule("Look", every_days=9, lead_days=-1), _facts(), "warning lead"),
        (ServiceRule("Look", every_days=9), _facts(flights=-1), "0 or more"),
        (ServiceRule("Look", by_printed_date=True), _facts(), "no printed date"),
    ],
)
def test_a_rule_that_cannot_work_is_refused_in_words(rule, facts, words):
    with pytest.raises(ValueError, match=words):
        service_due(rule=rule, facts=facts, on=_ON)


def test_rules_and_facts_must_match():
    with pytest.raises(ValueError, match="one entry of facts a rule"):
        service_state(rules=(_PROPS,), facts=(), on=_ON)
