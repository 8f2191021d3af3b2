"""What a guide was told of somebody outside the form: sealed, logged and erased as notes are."""

from __future__ import annotations

import datetime

import pytest
from django.apps import apps
from django.db import connection
from django.test import Client as Browser

from bookings.actions.health import keep_told
from bookings.actions.keys import rotate_keys
from bookings.actions.retention import carry_out, hold_trip, release_hold
from bookings.actions.rights import erase_person, give_person_file
from bookings.models import EncryptedJSONField, HealthLog, Participant, ToldNote, Trip
from bookings.queries.health import kept_of, opened_people
from tests.factories import NOON
from tests.factories_signing import SECRET_WORDS, booked_trip, on_board

pytestmark = pytest.mark.django_db


def told(words: str = SECRET_WORDS) -> tuple[Trip, Participant]:
    """Somebody told the guide on the telephone."""
    trip = booked_trip()
    maeve = on_board(trip, "Maeve", email="maeve@example.org")
    keep_told(participant=maeve, words=words, by="orla", at=NOON)
    return trip, maeve


def raw_told() -> str:
    with connection.cursor() as cursor:
        cursor.execute("SELECT words FROM bookings_toldnote")
        return str(cursor.fetchone()[0])


def test_what_was_told_is_sealed_and_its_key_changes_too() -> None:
    trip, _maeve = told()
    before = raw_told()
    assert SECRET_WORDS not in before
    assert rotate_keys(drop_old=True).notes == 1
    assert raw_told() != before
    (state,) = opened_people(trip, kept_of(trip))
    assert state.told == SECRET_WORDS


def test_what_was_told_is_shown_to_the_guides_once_it_is_asked_for(desk: Browser) -> None:
    trip, maeve = told()
    page = desk.get(f"/trips/{trip.pk}/health/").content.decode()
    assert "told us something" in page
    assert SECRET_WORDS not in page
    assert not HealthLog.objects.exists()
    page = desk.post(f"/trips/{trip.pk}/health/open/").content.decode()
    assert SECRET_WORDS in page
    look = HealthLog.objects.get()
    assert (look.act, look.participant, look.trip) == ("looked", maeve, trip)


def test_the_form_of_a_person_takes_words_and_never_shows_them(desk: Browser) -> None:
    _trip, maeve = told()
    address = f"/parties/{maeve.party_id}/people/{maeve.pk}/"
    page = desk.get(address).content.decode()
    assert "Something is kept already" in page
    assert SECRET_WORDS not in page
    sent = {"given_name": "Maeve", "swims": "yes", "email": "maeve@example.org"}
    assert desk.post(address, sent).status_code == 302
    assert ToldNote.objects.get().words == {"told": SECRET_WORDS}, "left empty, it stays"
    assert desk.post(address, sent | {"told": "something else"}).status_code == 302
    assert ToldNote.objects.get().words == {"told": "something else"}
    assert HealthLog.objects.get().act == HealthLog.Act.REPLACED
    assert desk.post(address, sent | {"told_gone": "on"}).status_code == 302
    assert not ToldNote.objects.exists()
    assert "Something is kept" not in desk.get(address).content.decode()


def test_what_was_told_goes_with_the_notes_and_not_a_day_before() -> None:
    trip, _maeve = told()
    thirty = trip.ends_at + datetime.timedelta(days=30)
    assert carry_out(at=thirty)["health"] == 0
    hold = hold_trip(trip=trip, reason="a fall on the rocks", at=thirty)
    later = thirty + datetime.timedelta(hours=1)
    assert carry_out(at=later)["health"] == 0
    release_hold(hold=hold, at=later)
    assert carry_out(at=later)["health"] == 1
    assert not ToldNote.objects.exists()
    assert HealthLog.objects.get().act == HealthLog.Act.ERASED


def test_what_was_told_is_the_persons_and_is_forgotten_with_them() -> None:
    trip, _maeve = told()
    file = give_person_file(email="maeve@example.org", by="orla", at=NOON)
    assert file.tables["toldnote"][0]["words"] == {"told": SECRET_WORDS}
    assert HealthLog.objects.get().act == HealthLog.Act.EXPORTED
    after = trip.ends_at + datetime.timedelta(days=1)
    done = erase_person(email="maeve@example.org", by="orla", at=after)
    assert "1 health note" in done.erased
    assert not ToldNote.objects.exists()


def test_no_column_takes_health_words_in_clear() -> None:
    """Whatever a column of people is called, only the two sealed tables speak of health."""
    assert not hasattr(Participant(), "alert")
    sealed = {
        model.__name__
        for model in apps.get_models()
        if any(isinstance(each, EncryptedJSONField) for each in model._meta.concrete_fields)
    }
    assert sealed == {"HealthNote", "ToldNote"}
