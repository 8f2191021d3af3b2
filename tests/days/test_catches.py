"""The log of the catch: what is written once, refused, struck out, returned and forgotten."""

from __future__ import annotations

import csv
import datetime
import io
import uuid
from pathlib import Path
from typing import Any

import pytest
from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction

from bookings.actions.rights import erase_person
from bookings.models import Participant, Trip
from bookings.queries.rights import person_file
from guiding.days.actions.catches import (
    correct_catch,
    landed_at,
    log_catch,
    save_species,
    species_named,
    strike_catch,
)
from guiding.days.models import Catch, SpeciesRule
from guiding.days.queries.catches import species_lately
from tests.commands import manage
from tests.factories import BookingFactory, ParticipantFactory, PartyFactory, TripFactory
from tests.factories_days import CatchFactory, DayPlanFactory, SpeciesRuleFactory

pytestmark = pytest.mark.django_db

AT = datetime.datetime(2026, 6, 13, 8, 0, tzinfo=datetime.UTC)
EVENING = datetime.datetime(2026, 6, 13, 20, 0, tzinfo=datetime.UTC)
HOUR = datetime.timedelta(hours=1)


@pytest.fixture
def trip(business: Any) -> Trip:
    return TripFactory(status="confirmed")


def log(trip: Trip, **facts: Any) -> Catch:
    told: dict[str, Any] = {"at": AT, "now": EVENING} | facts
    if "species" not in told:
        told["species"] = SpeciesRule.objects.first() or SpeciesRuleFactory()
    return log_catch(trip=trip, **told)


def on_trip(trip: Trip, **person: Any) -> Participant:
    party = PartyFactory()
    BookingFactory(trip=trip, party=party)
    return ParticipantFactory(party=party, **person)


# ---------------------------------------------------------------- writing


def test_the_same_press_is_one_entry_and_released_unless_said(trip: Trip) -> None:
    key = uuid.uuid4()
    first = log(trip, key=key)
    again = log(trip, key=key, at=AT + datetime.timedelta(seconds=2))
    assert again.pk == first.pk
    assert (first.count, first.kept, first.length_mm) == (1, False, None)
    assert Catch.objects.count() == 1
    assert log(trip).pk != first.pk


def test_a_key_with_other_fish_or_one_taken_back_is_refused(trip: Trip) -> None:
    first = log(trip, key=uuid.uuid4())
    with pytest.raises(ValidationError, match="sent before"):
        log(trip, key=first.key, kept=True)
    strike_catch(catch=first)
    with pytest.raises(ValidationError, match="sent before"):
        log(trip, key=first.key)


@pytest.mark.parametrize(
    ("facts", "says"),
    [
        ({"count": 0}, "greater than or equal to 1"),
        ({"count": 2, "length_mm": 400}, "one by one"),
        ({"length_mm": 9}, "greater than or equal to 10"),
        ({"at": EVENING + HOUR}, "still to come"),
        ({"at": AT - datetime.timedelta(days=2)}, "not on the day"),
        ({"at": AT.replace(tzinfo=None)}, "no zone"),
        ({"species": "  "}, "cannot be blank"),
    ],
)
def test_what_cannot_be_is_refused_and_nothing_is_written(
    trip: Trip, facts: dict[str, Any], says: str
) -> None:
    with pytest.raises(ValidationError, match=says):
        log(trip, **facts)
    assert not Catch.objects.exists()


def test_no_fish_on_a_trip_called_off_or_of_somebody_who_was_not_there(trip: Trip) -> None:
    with pytest.raises(ValidationError, match="not on the trip"):
        log(trip, person=ParticipantFactory())
    there = on_trip(trip)
    assert log(trip, person=there).person == there
    Trip.objects.filter(pk=trip.pk).update(status="cancelled")
    trip.refresh_from_db()
    with pytest.raises(ValidationError, match="called off"):
        log(trip)


@pytest.mark.parametrize(
    "row",
    [
        {"count": 0},
        {"count": 2, "length_mm": 300},
        {"length_mm": 5},
        {"mass_g": 0},
        {"struck_out_reason": "wrong"},
        {"struck_out_at": AT},
        {"at": AT.replace(year=1999)},
    ],
)
def test_the_database_keeps_what_the_action_keeps(trip: Trip, row: dict[str, Any]) -> None:
    with pytest.raises(IntegrityError), transaction.atomic():
        CatchFactory(trip=trip, **row)
    taken = CatchFactory(trip=trip)
    with pytest.raises(IntegrityError), transaction.atomic():
        CatchFactory(trip=trip, key=taken.key)


@pytest.mark.parametrize(
    "row",
    [
        {"name_en": ""},
        {"name_en": "BASS"},
        {"least_mm": 500, "most_mm": 400},
        {"closed_from": AT.date()},
        {"bag_limit": 2, "source": ""},
        {"protected": True, "checked_on": None},
    ],
)
def test_the_database_keeps_rules_in_order(db: None, row: dict[str, Any]) -> None:
    SpeciesRuleFactory(name_en="Bass")
    with pytest.raises(IntegrityError), transaction.atomic():
        SpeciesRuleFactory(**row)


def test_a_correction_strikes_out_and_takes_the_place(trip: Trip) -> None:
    wrong = log(trip, length_mm=380, kept=True, bait="crab")
    key = uuid.uuid4()
    right = correct_catch(catch=wrong, key=key, now=EVENING, kept=False)
    wrong.refresh_from_db()
    assert (wrong.struck_out_reason, wrong.struck_out_at) == ("corrected", EVENING)
    assert (right.corrects, right.kept, right.length_mm, right.bait) == (wrong, False, 380, "crab")
    assert correct_catch(catch=wrong, key=key, now=EVENING, kept=False) == right
    with pytest.raises(ValidationError, match="struck out before"):
        correct_catch(catch=wrong, now=EVENING, kept=True)
    with pytest.raises(ValidationError):
        correct_catch(catch=right, now=EVENING, count=0)
    right.refresh_from_db()
    assert right.struck_out_at is None  # refused, the old one stands


def test_struck_out_twice_is_struck_out_once(trip: Trip) -> None:
    row = strike_catch(catch=log(trip), at=EVENING)
    assert strike_catch(catch=row, at=EVENING + HOUR, reason="again").struck_out_at == EVENING
    with pytest.raises(ValidationError, match="why"):
        strike_catch(catch=log(trip), reason=" ")


def test_fish_logged_days_later_lie_on_the_day(trip: Trip) -> None:
    assert landed_at(trip, AT) == AT
    assert landed_at(trip, AT + datetime.timedelta(days=20)) == trip.ends_at
    early = trip.starts_at - datetime.timedelta(days=3)
    with pytest.raises(ValidationError, match="still to come"):
        log(trip, at=landed_at(trip, early), now=early)


def test_a_species_is_found_by_either_name_and_made_without_a_rule(db: None) -> None:
    bass = SpeciesRuleFactory(name_en="Bass", name_de="Wolfsbarsch", in_use=False)
    assert species_named(name=" wolfsbarsch ") == bass
    bass.refresh_from_db()
    assert bass.in_use
    new = species_named(name="Three-bearded  rockling")
    assert (new.name_en, new.source, new.checked_on) == ("Three-bearded rockling", "", None)


def test_a_rule_says_who_says_so(db: None) -> None:
    with pytest.raises(ValidationError, match="who set the limits"):
        save_species(name_en="Bass", bag_limit=2)
    with pytest.raises(ValidationError, match="still to come"):
        save_species(name_en="Bass", checked_on=datetime.date(2100, 1, 1), source="us")


def test_species_caught_lately_come_first(trip: Trip) -> None:
    for name in ("Bass", "Dab", "Eel"):
        SpeciesRuleFactory(name_en=name)
    SpeciesRuleFactory(name_en="Gone", in_use=False)
    eel, dab = (SpeciesRule.objects.get(name_en=name) for name in ("Eel", "Dab"))
    for _ in range(2):
        log(trip, species=eel)
    strike_catch(catch=log(trip, species=dab))
    assert [str(one) for one in species_lately()] == ["Eel", "Bass", "Dab"]


# ---------------------------------------------------------------- the return


def _table(text: str) -> list[list[str]]:
    return list(csv.reader(io.StringIO(text.removeprefix("\ufeff"))))


def test_the_return_has_a_row_a_day_and_species_and_one_for_nothing(
    trip: Trip, tmp_path: Path
) -> None:
    DayPlanFactory(trip=trip, rods=3, spot__name="=HYPERLINK(1)")
    BookingFactory(trip=trip, heads=2)
    BookingFactory(trip=trip, heads=1, status="cancelled", cancelled_at=AT)
    bass, ray = SpeciesRuleFactory(name_en="Bass"), SpeciesRuleFactory(name_en="-Ray")
    log(trip, species=bass, length_mm=505, kept=True)
    log(trip, species=bass, length_mm=620)
    log(trip, species=ray, count=3)
    strike_catch(catch=log(trip, species=ray, count=40))
    empty = TripFactory(status="fished", starts_at=AT.replace(day=20), ends_at=AT.replace(day=21))
    TripFactory(starts_at=AT.replace(day=22), ends_at=AT.replace(day=23))  # not fished: no row
    other_year = TripFactory(
        status="fished", starts_at=AT.replace(year=2025), ends_at=AT.replace(year=2025, hour=9)
    )
    done = manage("catch_return", "--year", "2026", "--out", str(tmp_path / "out"))
    assert done.code == 0, done.err
    assert "5 fish on 2 days" in done.out
    head, *rows = _table((tmp_path / "out" / "catch-2026.csv").read_text(encoding="utf-8"))
    assert head[:5] == ["date", "spot", "hours", "rods", "clients"]
    day = ["2026-06-13", "'=HYPERLINK(1)", "6.0", "3", "2"]
    assert rows == [
        [*day, "'-Ray", "3", "0", "3", ""],
        [*day, "Bass", "2", "1", "1", "62 50.5"],
        ["2026-06-20", empty.meeting_place, "", "", "0", "", "0", "0", "0", ""],
    ]
    printed = manage("catch_return", "--year", "2025")
    assert _table(printed.out)[1][1] == other_year.meeting_place
    facts = manage("catch_return", "--year", "2026", "--json").facts
    assert (facts["days"], facts["hours"]) == (2, 6.0)
    assert facts["species"][1]["lengths_mm"] == [620, 505]


def test_the_return_refuses_in_one_sentence(business: Any, tmp_path: Path) -> None:
    for words in (("--year", "1890"), ("--year", "2026", "--out", "/dev/null/out"), ()):
        done = manage("catch_return", *words)
        assert done.refused, words
        assert done.out == ""


# ---------------------------------------------------------------- a person


def test_forgotten_the_name_goes_and_the_fish_stay(trip: Trip) -> None:
    anna = on_trip(trip, given_name="Anna", family_name="Reed", email="anna@example.org")
    mine = log(trip, person=anna, rod="anna's rod", note="Tag 41; Anna Reed held it. Annabel too.")
    loose = log(trip, rod="Anna", length_mm=500)
    elsewhere = log_catch(
        trip=TripFactory(), species=mine.species, at=AT, now=EVENING, rod="Anna of another day"
    )
    assert len(person_file("anna@example.org", at=EVENING).tables["catch"]) == 1
    done = erase_person(email="anna@example.org", by="the guide", at=EVENING)
    assert "Fish (1): records of the fishery; the name is off them." in done.kept
    for row in (mine, loose, elsewhere):
        row.refresh_from_db()
    assert mine.person is None
    assert mine.rod == "somebody's rod"
    assert mine.note == "Tag 41; somebody held it. Annabel too."
    assert (loose.rod, loose.length_mm) == ("somebody", 500)
    assert elsewhere.rod == "Anna of another day"
    assert Catch.objects.count() == 3
