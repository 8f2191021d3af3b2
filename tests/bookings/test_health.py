"""Health notes: unreadable at rest, seen by the guides alone, each look logged, erased by rule."""

from __future__ import annotations

import datetime
import json
import os
import re
import shutil
import sqlite3
import stat
import subprocess
from dataclasses import replace
from io import StringIO
from pathlib import Path
from typing import Any

import pytest
from cryptography.fernet import Fernet
from django.core import serializers
from django.core.exceptions import ValidationError
from django.core.management import CommandError, call_command
from django.core.serializers.base import DeserializationError
from django.db import connection
from django.test import Client as Browser

from bookings.actions.health import look_at_notes, set_guides
from bookings.actions.keys import rotate_keys
from bookings.actions.retention import carry_out, hold_trip, release_hold
from bookings.actions.trips import cancel_booking
from bookings.models import (
    Booking,
    HealthLog,
    HealthNote,
    Participant,
    Signature,
    Trip,
    TripGuide,
    Unreadable,
)
from bookings.models.keys import ENVIRONMENT, key_file
from bookings.queries.evidence import check_chain
from bookings.queries.health import health_facts, health_facts_of, notes_of, opened
from bookings.queries.signatures import outstanding
from bookings.queries.signers import of_person
from tests.factories import NOON, BookingFactory, TripFactory, UserFactory
from tests.factories_signing import (
    ALLERGIC,
    CHILD,
    SECRET_WORDS,
    WELL,
    booked_trip,
    form_of,
    guardian_form,
    on_board,
    signed,
)

DAY = datetime.timedelta(days=1)


def declared() -> Trip:
    """Maeve is well; Finn has an allergy, medicine, and does not swim."""
    trip = booked_trip()
    maeve = on_board(trip, "Maeve")
    finn = on_board(trip, "Finn", born_on=CHILD, guardian=maeve)
    signed(trip, maeve)
    form = guardian_form("Maeve", responsible=maeve, health=ALLERGIC)
    signed(trip, finn, signer=of_person(maeve), form=form)
    return trip


def raw_tokens() -> list[str]:
    with connection.cursor() as cursor:
        cursor.execute("SELECT facts, answers FROM bookings_healthnote ORDER BY id")
        return [token for row in cursor.fetchall() for token in row]


# ------------------------------------------------------------------ at rest


def _everything_on_disk(folder: Path) -> bytes:
    """The whole database as bytes: its file on SQLite, a plain dump on PostgreSQL."""
    if connection.vendor == "sqlite":
        copy = folder / "copy.sqlite3"
        copy.unlink(missing_ok=True)
        with connection.cursor() as cursor:
            cursor.execute("VACUUM INTO %s", [str(copy)])
        with sqlite3.connect(copy) as opened_again:
            assert opened_again.execute("SELECT count(*) FROM bookings_healthnote").fetchone()[0]
        return copy.read_bytes()
    known = connection.settings_dict
    done = subprocess.run(
        ["pg_dump", "--inserts", "-h", known["HOST"], "-U", known["USER"], known["NAME"]],
        capture_output=True,
        check=True,
        env=os.environ | {"PGPORT": str(known["PORT"])},
    )
    assert b"bookings_healthnote" in done.stdout
    return done.stdout


@pytest.mark.django_db(transaction=True)
def test_no_byte_of_a_note_is_in_clear_before_and_after_the_keys_change(tmp_path: Path) -> None:
    if connection.vendor == "postgresql" and shutil.which("pg_dump") is None:
        pytest.skip("no pg_dump on this machine")
    trip = declared()
    secret = SECRET_WORDS.encode()
    needles = (secret, secret.lower(), SECRET_WORDS.encode("utf-16-le"), b"ZANZIBAR", b"injector")

    def clear() -> list[bytes]:
        found = _everything_on_disk(tmp_path)
        assert b"Finn" in found, "the search finds what is in clear"
        return [needle for needle in needles if needle in found]

    assert clear() == []
    before = raw_tokens()
    rotate_keys()
    assert clear() == []
    rotate_keys(drop_old=True)
    assert clear() == []
    assert not set(before) & set(raw_tokens())
    words = [opened(note).words for note in notes_of(trip)]
    assert any(SECRET_WORDS in told.get("allergy_note", "") for told in words)
    dumped = StringIO()
    call_command("dumpdata", "bookings", stdout=dumped)
    assert "Finn" in dumped.getvalue()
    assert SECRET_WORDS not in dumped.getvalue()


@pytest.mark.django_db(transaction=True)
def test_a_live_database_file_and_its_journal_hold_no_note(tmp_path: Path) -> None:
    """The files as they lie under a desk in use: main file and write-ahead log."""
    if connection.vendor != "sqlite":
        pytest.skip("PostgreSQL keeps its files to itself; its dump is searched above")
    declared()
    file = tmp_path / "desk.sqlite3"
    with connection.cursor() as cursor:
        cursor.execute("VACUUM INTO %s", [str(file)])
    with sqlite3.connect(file) as live:
        live.execute("PRAGMA journal_mode=WAL")
        live.execute("UPDATE bookings_healthnote SET declared_at = '2026-06-02 09:00:00'")
        live.commit()
        searched = [path for path in tmp_path.glob("desk.sqlite3*") if path.stat().st_size]
        assert any(path.name.endswith("-wal") for path in searched)
        for path in searched:
            assert b"ZANZIBAR" not in path.read_bytes(), path.name


@pytest.mark.django_db
def test_nothing_of_a_note_is_in_any_other_table() -> None:
    """Not in the signed record, not in the log, not in the history of people."""
    declared()
    with connection.cursor() as cursor:
        for table in connection.introspection.table_names(cursor):
            if not table.startswith(("bookings_", "django_session", "days_", "safety_")):
                continue
            name = connection.ops.quote_name(table)
            cursor.execute(f"SELECT * FROM {name}")  # noqa: S608  names from the database itself
            rows = cursor.fetchall()
            assert SECRET_WORDS not in repr(rows), table
    assert check_chain().whole


# ------------------------------------------------------------------ written out and read in


@pytest.mark.django_db
@pytest.mark.parametrize("form", ["json", "jsonl", "xml", "python"])
def test_a_note_is_written_out_sealed_and_read_in_with_the_same_facts(form: str) -> None:
    trip = declared()
    before = [(note.pk, note.facts, note.answers) for note in notes_of(trip)]
    written = serializers.serialize(form, HealthNote.objects.order_by("pk"))
    assert not re.search(f"{SECRET_WORDS}|allergy|injector", str(written))
    HealthNote.objects.all().delete()
    for row in serializers.deserialize(form, written):
        row.save()
    assert [(note.pk, note.facts, note.answers) for note in notes_of(trip)] == before
    assert raw_tokens()[0].startswith("gAAAA")
    assert check_chain().whole


@pytest.mark.django_db
def test_a_note_read_in_before_its_keys_waits_for_them() -> None:
    trip = declared()
    written = serializers.serialize("json", HealthNote.objects.order_by("pk"))
    sealed = [row["fields"][name] for row in json.loads(written) for name in ("facts", "answers")]
    key = key_file().read_text()
    key_file().write_text(Fernet.generate_key().decode())
    for row in serializers.deserialize("json", written):
        row.save()
    assert raw_tokens() == sealed
    assert health_facts(trip).unreadable == 2
    key_file().write_text(key)
    assert health_facts(trip).allergies == 1


@pytest.mark.django_db
def test_a_note_written_out_in_clear_is_not_taken() -> None:
    note = notes_of(declared())[0]
    (row,) = json.loads(serializers.serialize("json", [note]))
    row["fields"]["facts"] = "{'allergy': True}"
    with pytest.raises(DeserializationError, match="no sealed note"):
        next(serializers.deserialize("python", [row]))
    with pytest.raises(TypeError, match="an object with names"):
        HealthNote.objects.filter(pk=note.pk).update(facts=True)


# ------------------------------------------------------------------ keys


@pytest.mark.django_db
def test_the_key_file_is_made_once_and_is_its_owners(settings: Any) -> None:
    declared()
    file = key_file()
    assert file == Path(settings.DATA_DIR) / "health_keys"
    assert stat.S_IMODE(file.stat().st_mode) == 0o600
    key = file.read_text()
    assert len(key.split()) == 1
    declared()
    assert file.read_text() == key


@pytest.mark.django_db
def test_a_key_file_that_others_may_read_is_closed_to_them() -> None:
    trip = declared()
    key_file().chmod(0o644)
    assert health_facts(trip).allergies == 1
    assert stat.S_IMODE(key_file().stat().st_mode) == 0o600


@pytest.mark.django_db
def test_keys_from_the_environment(monkeypatch: pytest.MonkeyPatch) -> None:
    old, new = Fernet.generate_key().decode(), Fernet.generate_key().decode()
    monkeypatch.setenv(ENVIRONMENT, old)
    trip = declared()
    assert not key_file().exists()
    monkeypatch.setenv(ENVIRONMENT, f"{new},{old}")
    done = rotate_keys()
    assert (done.notes, done.keys, done.in_environment) == (2, 2, True)
    monkeypatch.setenv(ENVIRONMENT, new)
    assert health_facts(trip).allergies == 1
    monkeypatch.setenv(ENVIRONMENT, old)
    assert health_facts(trip).unreadable == 2


@pytest.mark.django_db
def test_a_change_of_keys_keeps_one_old_key_or_none() -> None:
    trip = declared()
    first = key_file().read_text().split()
    assert rotate_keys().keys == 2
    second = key_file().read_text().split()
    assert second[1:] == first
    assert rotate_keys().keys == 2
    third = key_file().read_text().split()
    assert third[1] == second[0], "the oldest one is gone"
    assert rotate_keys(drop_old=True).keys == 1
    assert len(key_file().read_text().split()) == 1
    assert health_facts(trip).allergies == 1
    assert stat.S_IMODE(key_file().stat().st_mode) == 0o600


@pytest.mark.django_db
def test_a_change_of_keys_that_stops_half_way_loses_nothing(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    trip = declared()

    def stop() -> int:
        raise KeyboardInterrupt

    monkeypatch.setattr("bookings.actions.keys._encrypt_anew", stop)
    with pytest.raises(KeyboardInterrupt):
        rotate_keys()
    monkeypatch.undo()
    assert health_facts(trip).allergies == 1
    rotate_keys(drop_old=True)
    assert health_facts(trip).allergies == 1


@pytest.mark.django_db
def test_without_its_key_a_note_says_so_and_is_not_lost(desk: Browser) -> None:
    trip = declared()
    kept = key_file().read_text()
    key_file().unlink()
    note = HealthNote.objects.first()
    assert note is not None
    assert isinstance(note.answers, Unreadable)
    tokens = raw_tokens()
    note.save()
    assert raw_tokens() == tokens, "saved again it stays as it was"
    assert health_facts(trip).unreadable == 2
    page = desk.post(f"/trips/{trip.pk}/health/open/").content.decode()
    assert "is missing. Put its backup in place" in page
    check = check_chain()
    assert check.whole
    assert check.notes == ("Health notes could not be compared: no key opens them.",)
    tomas = on_board(trip, "Tomas")
    with pytest.raises(ValidationError, match="Put its backup in place"):
        signed(trip, tomas)
    assert not key_file().exists(), "no second key takes its place"
    with pytest.raises(CommandError, match="Put its backup in place"):
        call_command("rotate_keys")
    key_file().write_text(kept)
    assert health_facts(trip).allergies == 1


@pytest.mark.django_db
def test_a_broken_key_file_is_told(desk: Browser) -> None:
    trip = declared()
    key_file().write_text("not a key\n")
    page = desk.post(f"/trips/{trip.pk}/health/open/").content.decode()
    assert "cannot be used" in page


@pytest.mark.django_db
def test_the_command_rotates() -> None:
    declared()
    out = StringIO()
    call_command("rotate_keys", stdout=out)
    assert out.getvalue().startswith("2 health notes encrypted anew.\n2 keys in the file.")


# ------------------------------------------------------------------ facts and words


@pytest.mark.django_db
def test_the_triggers_get_facts_and_no_words(django_assert_max_num_queries: Any) -> None:
    trip = declared()
    facts = health_facts(trip)
    assert (facts.people, facts.declared) == (2, 2)
    assert (facts.allergies, facts.injectors, facts.medicines, facts.non_swimmers) == (1, 1, 1, 1)
    assert SECRET_WORDS not in repr(facts)
    assert not HealthLog.objects.exists(), "counting is no look"
    trips = [trip, declared(), declared()]
    with django_assert_max_num_queries(4):
        found = health_facts_of(trips)
    assert [found[each.pk].allergies for each in trips] == [1, 1, 1]


@pytest.mark.django_db
def test_the_answer_about_swimming_reaches_the_person() -> None:
    declared()
    swims = dict(Participant.objects.values_list("given_name", "swims"))
    assert swims == {"Maeve": "yes", "Finn": "no"}


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("change", "field"),
    [
        ({"allergy_note": " "}, "allergy_note"),
        ({"medicine_note": ""}, "medicine_note"),
        ({"more": "m" * 1001}, "more"),
    ],
)
def test_answers_that_cannot_be_meant(change: dict[str, str], field: str) -> None:
    trip = booked_trip(heads=1)
    maeve = on_board(trip, "Maeve")
    with pytest.raises(ValidationError) as refused:
        signed(trip, maeve, form=form_of(maeve, health=replace(ALLERGIC, **change)))
    assert list(refused.value.message_dict) == [field]
    assert not HealthNote.objects.exists()
    assert not Signature.objects.exists()


@pytest.mark.django_db
def test_declared_anew_the_old_note_goes_and_the_chain_holds() -> None:
    trip = booked_trip(heads=1)
    maeve = on_board(trip, "Maeve")
    signed(trip, maeve, form=form_of(maeve, health=ALLERGIC))
    signed(trip, maeve, kinds=("health",), form=form_of(maeve, health=WELL), at=NOON + DAY)
    assert HealthNote.objects.count() == 1
    assert health_facts(trip).allergies == 0
    assert list(HealthLog.objects.values_list("act", flat=True)) == ["replaced"]
    assert check_chain().whole


@pytest.mark.django_db
def test_a_note_goes_along_to_another_day() -> None:
    trip = declared()
    booking = Booking.objects.get()
    later = TripFactory(
        offer=trip.offer,
        starts_at=trip.starts_at + 7 * DAY,
        ends_at=trip.ends_at + 7 * DAY,
    )
    cancel_booking(booking=booking, at=NOON)
    BookingFactory(party=booking.party, trip=later, heads=2)
    assert health_facts(later).allergies == 1
    assert outstanding(later, at=NOON).ready
    carry_out(at=trip.ends_at + 31 * DAY)
    assert health_facts(later).allergies == 1, "kept for the later day"
    carry_out(at=later.ends_at + 31 * DAY)
    assert not HealthNote.objects.exists()


# ------------------------------------------------------------------ looks


@pytest.mark.django_db
def test_nothing_is_shown_before_it_is_asked_for_and_logged(desk: Browser, owner: Any) -> None:
    trip = declared()
    address = f"/trips/{trip.pk}/health/"
    page = desk.get(address).content.decode()
    assert SECRET_WORDS not in page
    assert not HealthLog.objects.exists()
    assert desk.get(f"{address}open/").status_code == 405, "nothing opens them by itself"
    answer = desk.post(f"{address}open/")
    page = answer.content.decode()
    assert SECRET_WORDS in page
    assert "no-store" in answer.headers["Cache-Control"]
    logged = list(HealthLog.objects.values_list("participant__given_name", "by", "act"))
    assert sorted(logged) == [
        ("Finn", owner.username, "looked"),
        ("Maeve", owner.username, "looked"),
    ]
    page = desk.get(address).content.decode()
    assert f"{owner.username}: looked at" in page
    assert SECRET_WORDS not in page


@pytest.mark.django_db
def test_only_the_guides_of_the_trip_see_notes(client: Browser, owner: Any) -> None:
    trip, other = declared(), declared()
    helper, bookkeeper = UserFactory(), UserFactory(is_staff=True)
    set_guides(trip=trip, users=[helper])
    backend = "allauth.account.auth_backends.AuthenticationBackend"
    wanted = {
        None: (302, 302),
        bookkeeper: (403, 403),
        helper: (200, 403),
        owner: (200, 200),
    }
    for user, codes in wanted.items():
        client.logout()
        if user:
            client.force_login(user, backend=backend)
        for each, code in zip((trip, other), codes, strict=True):
            assert client.get(f"/trips/{each.pk}/health/").status_code == code
            answer = client.post(f"/trips/{each.pk}/health/open/")
            assert answer.status_code == code
            assert (SECRET_WORDS in answer.content.decode()) == (code == 200)
    assert set(HealthLog.objects.values_list("user", "trip")) == {
        (helper.pk, trip.pk),
        (owner.pk, trip.pk),
        (owner.pk, other.pk),
    }
    set_guides(trip=trip, users=[])
    client.force_login(helper, backend=backend)
    assert client.post(f"/trips/{trip.pk}/health/open/").status_code == 403


@pytest.mark.django_db
def test_the_owner_names_the_guides_and_nobody_else_does(desk: Browser, client: Browser) -> None:
    trip = declared()
    helper = UserFactory()
    answer = desk.post(f"/trips/{trip.pk}/health/guides/", {"user": [helper.pk, "999", "x"]})
    assert answer.status_code == 302
    assert list(TripGuide.objects.values_list("trip", "user")) == [(trip.pk, helper.pk)]
    client.force_login(helper, backend="allauth.account.auth_backends.AuthenticationBackend")
    answer = client.post(f"/trips/{trip.pk}/health/guides/", {"user": []})
    assert answer.status_code == 403
    assert TripGuide.objects.count() == 1


@pytest.mark.django_db
def test_a_second_guide_raises_the_ratio() -> None:
    trip = booked_trip(heads=2)
    trip.offer.heads_per_guide = 1
    trip.offer.save()
    for name in ("Maeve", "Tomas"):
        on_board(trip, name)
    assert outstanding(trip, at=NOON).stops
    set_guides(trip=trip, users=[UserFactory()])
    assert not outstanding(trip, at=NOON).stops


@pytest.mark.django_db
def test_the_log_never_holds_a_word() -> None:
    trip = declared()
    look_at_notes(notes=notes_of(trip), user=None, by="a test", why="a test", at=NOON)
    assert SECRET_WORDS not in json.dumps(list(HealthLog.objects.values()), default=str)


# ------------------------------------------------------------------ erased by rule


@pytest.mark.django_db
def test_notes_go_thirty_days_after_the_trip_and_not_a_day_before() -> None:
    trip = declared()
    carry_out(at=trip.ends_at + 30 * DAY)
    assert HealthNote.objects.count() == 2
    assert carry_out(at=trip.ends_at + 30 * DAY + datetime.timedelta(seconds=1))["health"] == 2
    assert not HealthNote.objects.exists()
    assert set(HealthLog.objects.values_list("act", "why")) == {("erased", "kept 30 days")}
    assert check_chain().whole, "the records stand without them"


@pytest.mark.django_db
def test_an_incident_holds_the_notes_until_it_is_settled() -> None:
    trip, other = declared(), declared()
    late = trip.ends_at + 400 * DAY
    hold = hold_trip(trip=trip, reason="Incident 3: hook in a hand", at=trip.ends_at)
    carry_out(at=late)
    assert set(HealthNote.objects.values_list("trip", flat=True)) == {trip.pk}
    assert other.pk
    release_hold(hold=hold, at=late)
    carry_out(at=late)
    assert not HealthNote.objects.exists()


@pytest.mark.django_db
def test_notes_can_be_erased_without_their_key() -> None:
    trip = declared()
    key_file().unlink()
    assert carry_out(at=trip.ends_at + 31 * DAY)["health"] == 2
