"""Incidents and near misses: quickly entered, frozen, followed up, kept for their time."""

from __future__ import annotations

import datetime
from typing import Any

import pytest
from django.core.exceptions import ValidationError
from django.db import DatabaseError, transaction

from bookings.models import Hold
from guiding.days.models import DayPlan, Forecast
from guiding.papers.incident_report import incident_report_pdf
from guiding.safety.actions.incidents import (
    add_follow_up,
    add_witness,
    close_incident,
    detail_incident,
    enter_incident,
    erase_past_keeping,
    finish_follow_up,
    reopen_incident,
)
from guiding.safety.models import FollowUp, Incident, IncidentEntry
from guiding.safety.queries.incidents import incidents, open_follow_ups, past_keeping
from guiding.safety.rules.reporting import IncidentFacts, incident_kept_until, report_deadlines
from guiding.safety.sheets.incident import condition_facts, incident_report
from tests.factories import BookingFactory
from tests.factories_days import DayPlanFactory
from tests.papers import reading

AT = datetime.datetime(2026, 6, 13, 9, 0, tzinfo=datetime.UTC)
ENTERED = AT + datetime.timedelta(minutes=20)
DAY = datetime.date(2026, 6, 13)


@pytest.fixture
def plan(business: Any) -> DayPlan:
    plan = DayPlanFactory()
    BookingFactory(trip=plan.trip, heads=3)
    return plan


def enter(plan: DayPlan, business: Any, **fields: Any) -> Incident:
    given = {
        "kind": "near miss",
        "happened_at": AT,
        "what": "A set ran up to the second rod; nobody was near it.",
        "trip": plan.trip,
    }
    return enter_incident(business=business, at=ENTERED, **(given | fields))


def test_a_near_miss_is_one_sentence_and_the_rest_is_frozen_with_it(
    plan: DayPlan, business: Any
) -> None:
    forecast = Forecast.objects.create(
        spot=plan.spot,
        kind="typed",
        source="Demo forecast",
        issued_at=AT - datetime.timedelta(hours=6),
        entered_at=AT - datetime.timedelta(hours=5),
        first_at=AT,
        last_at=AT + datetime.timedelta(hours=3),
        digest="d" * 64,
    )
    forecast.hours.create(at=AT, wind_ms=7.5, wave_m=1.4)
    found = enter(plan, business)
    frozen = found.conditions
    assert frozen["spot"] == plan.spot.name
    assert (frozen["wind_ms"], frozen["wave_m"], frozen["people"]) == (7.5, 1.4, 3)
    assert -1 < frozen["tide_m"] < 6
    assert 35 < frozen["sun_altitude_deg"] < 45
    forecast.hours.update(wind_ms=12)
    plan.rods = 9
    plan.save()
    found = detail_incident(incident=found, business=business, causes="Long period swell.")
    assert found.conditions == frozen
    assert found.follow_ups.count() == 0
    assert found.history.count() == 2


def test_what_an_injury_asks_for_becomes_reminders_once(plan: DayPlan, business: Any) -> None:
    found = enter(plan, business, kind="incident", harm="serious", flying=True)
    dues = [(row.due_on, row.what[:20]) for row in found.follow_ups.all()]
    assert dues == [
        (DAY + datetime.timedelta(days=1), "Ask police, coastgua"),
        (DAY + datetime.timedelta(days=1), "Ask the aviation aut"),
        (DAY + datetime.timedelta(days=2), "Tell the insurer; ad"),
    ]
    detail_incident(incident=found, business=business, people="the guide")
    assert FollowUp.objects.count() == 3
    assert incidents().get().open_items == 3


def test_the_ten_days_of_the_us_rule() -> None:
    facts = IncidentFacts("US", DAY, hurt=False, serious=False, flying=True, damage_to_others=True)
    due = {one.source: one.due_on for one in report_deadlines(facts)}
    assert due["14 CFR 107.9"] == datetime.date(2026, 6, 23)
    elsewhere = IncidentFacts("IE", DAY, False, False, True, True)
    assert "14 CFR 107.9" not in {one.source for one in report_deadlines(elsewhere)}
    near = IncidentFacts("US", DAY, False, False, False, False)
    assert report_deadlines(near) == ()


def test_how_long_a_record_is_kept() -> None:
    def kept(**changes: Any) -> datetime.date:
        plain = {"country": "IE", "day": DAY, "hurt": True, "serious": False, "flying": False}
        return incident_kept_until(IncidentFacts(damage_to_others=False, **(plain | changes)))

    assert kept() == datetime.date(2029, 6, 13)
    assert kept(minor_hurt=True, youngest_born_on=datetime.date(2016, 2, 29)) == datetime.date(
        2037, 3, 1
    )
    assert kept(minor_hurt=True) == datetime.date(2047, 6, 13)
    assert kept(minor_hurt=True, youngest_born_on=datetime.date(2008, 7, 1)) == datetime.date(
        2029, 7, 1
    )


def test_it_is_closed_when_all_is_done_and_the_hold_goes_with_it(
    plan: DayPlan, business: Any
) -> None:
    found = enter(plan, business)
    assert Hold.objects.filter(trip=plan.trip, released_at=None).count() == 1
    item = add_follow_up(incident=found, what="Move the rod line up", due_on=DAY)
    assert list(open_follow_ups()) == [item]
    with pytest.raises(ValidationError, match="still to be done"):
        close_incident(incident=found)
    with pytest.raises(ValidationError, match="Say how"):
        finish_follow_up(follow_up=item, on=DAY, note=" ")
    finish_follow_up(follow_up=item, on=DAY, note="moved by ten metres")
    with pytest.raises(ValidationError, match="done already"):
        finish_follow_up(follow_up=item, on=DAY, note="again")
    with pytest.raises(ValidationError, match="what changes because of it"):
        close_incident(incident=found)
    detail_incident(incident=found, business=business, lessons="Rod line ten metres higher.")
    close_incident(incident=found, at=ENTERED)
    assert not Hold.objects.filter(trip=plan.trip, released_at=None).exists()
    with pytest.raises(ValidationError, match="This is closed"):
        detail_incident(incident=found, business=business, causes="x")
    assert list(past_keeping(on=datetime.date(2029, 6, 13))) == []
    assert len(past_keeping(on=datetime.date(2029, 6, 14))) == 1


def test_witnesses_say_it_in_their_words(plan: DayPlan, business: Any) -> None:
    found = enter(plan, business)
    add_witness(incident=found, name="Bríd", contact="", statement="<script>It was fast.</script>")
    assert found.witnesses.get().statement.startswith("<script>")
    with pytest.raises(ValidationError, match="cannot be blank"):
        add_witness(incident=found, name="")


def test_the_record_is_only_added_to(plan: DayPlan, business: Any) -> None:
    found = enter(plan, business, kind="incident", harm="first aid")
    detail_incident(incident=found, business=business, harm="doctor", people="Ciara")
    detail_incident(incident=found, business=business, people="")
    told = list(found.entries.values_list("about", "words"))
    assert ("harm", "first aid on the spot") in told
    assert told[-3:] == [
        ("harm", "seen by a doctor"),
        ("who was hurt or had part in it", "Ciara"),
        ("who was hurt or had part in it", "taken back"),
    ]
    line = found.entries.first()
    assert line is not None
    with pytest.raises(DatabaseError, match="never changed"), transaction.atomic():
        IncidentEntry.objects.filter(pk=line.pk).update(words="nothing happened")
    assert IncidentEntry.objects.get(pk=line.pk).words == line.words


def test_opened_again_it_holds_its_day_back_again(plan: DayPlan, business: Any) -> None:
    found = enter(plan, business, lessons="Rod line higher.")
    with pytest.raises(ValidationError, match="open already"):
        reopen_incident(incident=found)
    close_incident(incident=found, at=ENTERED)
    with pytest.raises(ValidationError, match="closed already"):
        close_incident(incident=found, at=ENTERED)
    reopen_incident(incident=found, at=ENTERED)
    assert Hold.objects.filter(trip=plan.trip, released_at=None).count() == 1
    close_incident(incident=found, at=ENTERED)
    assert not Hold.objects.filter(trip=plan.trip, released_at=None).exists()


def test_after_its_time_a_closed_record_goes_whole_and_an_open_one_stays(
    plan: DayPlan, business: Any
) -> None:
    closed = enter(plan, business, lessons="Rod line higher.")
    opened = enter(plan, business)
    add_witness(incident=closed, name="Bríd", statement="It was fast.")
    close_incident(incident=closed, at=ENTERED)
    last = closed.keep_until
    assert erase_past_keeping(on=last) == 0
    assert erase_past_keeping(on=last + datetime.timedelta(days=1)) == 1
    assert list(Incident.objects.all()) == [opened]
    assert not IncidentEntry.objects.exclude(incident=opened).exists()
    assert not Incident.history.filter(id=closed.pk).exists()


def test_the_report_holds_all_of_it(plan: DayPlan, business: Any) -> None:
    found = enter(
        plan, business, kind="incident", harm="doctor", first_aid="Cleaned <b>and</b> bound."
    )
    add_witness(incident=found, name="Bríd Tern", contact="brid@marramhead.example", statement="A")
    finish_follow_up(follow_up=found.follow_ups.all()[0], on=DAY, note="rang them")
    found.refresh_from_db()
    report = incident_report(found, business=business, printed_at=ENTERED)
    text = reading.text(incident_report_pdf(report)).replace("\u00a0", " ")
    for words in (
        f"Incident, {plan.spot.name}",
        "A set ran up to the second rod",
        "Harm: seen by a doctor",
        "Cleaned <b>and</b> bound.",
        "Bríd Tern brid@marramhead.example",
        "Tell the insurer; admit nothing before",
        "rang them",
        "Sun above the horizon: 3",
        "The record, only ever added to",
        "Kept until Wednesday 13 June 2029",
        "check with your own authority",
    ):
        assert words in text, words
    labels = [fact.label for fact in condition_facts(found, business)]
    assert labels[:2] == ["Spot", "Tide"]
    assert not [label for label in labels if "_" in label]


@pytest.mark.parametrize(
    ("fields", "sentence"),
    [
        ({"harm": "first aid"}, "it is an incident"),
        ({"what": ""}, "cannot be blank"),
        ({"happened_at": ENTERED + datetime.timedelta(hours=1)}, "still to come"),
        ({"happened_at": datetime.datetime(1890, 1, 1, tzinfo=datetime.UTC)}, "long past"),
        ({"happened_at": None}, "Say when"),
    ],
)
def test_an_entry_that_makes_no_sense_is_refused(
    plan: DayPlan, business: Any, fields: dict[str, Any], sentence: str
) -> None:
    with pytest.raises(ValidationError, match=sentence):
        enter(plan, business, **fields)
    assert not Incident.objects.exists()
    assert not Hold.objects.exists()
