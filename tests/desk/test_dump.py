"""`dumpdata` and `loaddata`: a desk moves to another database whole, its health notes sealed."""

from __future__ import annotations

from pathlib import Path

from django.apps import apps
from django.contrib.auth.management import create_permissions
from django.contrib.auth.models import Permission
from django.contrib.contenttypes.management import create_contenttypes
from django.contrib.contenttypes.models import ContentType
from django.db import connection
from django.test import Client as Browser

from bookings.models import Client, HealthNote, ToldNote
from tests.commands import manage
from tests.desk.needles import found_in, telling
from tests.season import row_counts


def test_a_dump_tells_no_health_word_and_fills_another_desk(
    season_desk: Browser, tmp_path: Path
) -> None:
    """Runs on either database; nothing of the season is left when the dump is read in."""
    notes, rights = told(), rights_of_roles()
    rows = row_counts() | {"sessions.Session": 0}
    needles = telling(health_words())
    assert {"Salbutamol", "Warfarin", "carries an inhaler"} <= needles
    file = tmp_path / "season.json"
    assert manage("dumpdata", "--output", str(file)).err == ""
    written = file.read_bytes()
    assert b"Marram Head Shore Days" in written, "the search finds what is in clear"
    assert found_in(written, needles) == set()
    assert b"session_data" not in written, "who is signed in here is nobody's business there"
    assert "session_data" in manage("dumpdata", "sessions.session").out, "but when asked for"

    become_another_desk()
    done = manage("loaddata", str(file))
    assert (done.code, done.err) == (0, "")
    assert row_counts() == rows, "no row of history is written beside those that are read in"
    assert told() == notes
    assert rights_of_roles() == rights
    for command in ("check_books", "verify_waivers"):
        done = manage(command)
        assert (done.code, done.err) == (0, ""), command
    client = Client.objects.create(given_name="Tomas")
    assert client.history.count() == 1, "the numbers go on, and so does history"


def health_words() -> list[str]:
    words = [
        text
        for note in HealthNote.objects.all()
        for key, text in note.answers.items()
        if key.endswith("_note") or key == "more"
    ]
    words += [note.words["told"] for note in ToldNote.objects.all()]
    return [word for word in words if word]


def told() -> list[tuple[str, ...]]:
    """Every sealed word, opened, with whose it is."""
    declared = [
        (f"{note.participant_id} {note.trip_id} {note.facts}", *note.answers.values())
        for note in HealthNote.objects.order_by("pk")
    ]
    return declared + [(note.words["told"],) for note in ToldNote.objects.order_by("pk")]


def rights_of_roles() -> set[tuple[str, str, str]]:
    named = Permission.objects.exclude(group=None)
    return set(named.values_list("group__name", "content_type__model", "codename"))


def become_another_desk() -> None:
    """No rows but those that `migrate` makes: kinds of rows and rights, with other numbers."""
    models = [model for model in apps.get_models(include_auto_created=True) if model._meta.managed]
    with connection.cursor() as cursor:
        for table in sorted({model._meta.db_table for model in models}):
            cursor.execute(f"DELETE FROM {connection.ops.quote_name(table)}")  # noqa: S608
    ContentType.objects.clear_cache()
    for app in reversed(list(apps.get_app_configs())):
        create_contenttypes(app, verbosity=0)
        create_permissions(app, verbosity=0)
    connection.check_constraints()
    assert not any(count for label, count in row_counts().items() if label not in _MADE_BY_MIGRATE)


_MADE_BY_MIGRATE = {"contenttypes.ContentType", "auth.Permission"}


def test_a_file_that_no_desk_wrote_is_refused_in_a_sentence(db: None, tmp_path: Path) -> None:
    file = tmp_path / "season.json"
    file.write_text('{"trips": []}')
    done = manage("loaddata", str(file))
    assert done.code == 1
    assert "Nothing was read in." in done.err
