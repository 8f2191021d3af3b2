"""No word about anybody's health stands in clear: not in the file, not in a backup, not anywhere.

The demo season is loaded into a database of its own, as a guide would, and its bytes are searched.
"""

from __future__ import annotations

import json
import os
import sqlite3
import subprocess
import sys
from pathlib import Path

import pytest

from tests.desk.needles import found_in, telling
from tests.machine import empty_desk

pytestmark = pytest.mark.once
ROOT = Path(__file__).parents[2]
_ASK = """
import json
from bookings.models import HealthNote, ToldNote
words = [text for note in HealthNote.objects.all() for key, text in note.answers.items()
         if key.endswith("_note") or key == "more"]
words += [note.words["told"] for note in ToldNote.objects.all()]
print(json.dumps([word for word in words if word]))
"""


class Desk:
    """A desk in a folder of its own."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        kept = {k: v for k, v in os.environ.items() if k not in {"DATABASE_URL"}}
        self.environment = kept | {"SANDSPIKE_DATA": str(folder), "PYTHONWARNINGS": "ignore"}

    def manage(self, *words: str) -> str:
        done = subprocess.run(
            [sys.executable, "manage.py", *words],
            cwd=ROOT,
            env=self.environment,
            capture_output=True,
            text=True,
            check=True,
        )
        return done.stdout

    @property
    def database(self) -> Path:
        (file,) = self.folder.glob("*.sqlite3")
        return file

    def notes(self) -> list[str]:
        return list(json.loads(self.manage("shell", "--no-imports", "-c", _ASK)))

    def bytes_kept(self) -> bytes:
        """Everything in the folder but the keys: database, journals, mails, logs, papers."""
        files = [path for path in self.folder.rglob("*") if path.is_file()]
        return b"\0".join(path.read_bytes() for path in files if path.name != "health_keys")

    def backup(self) -> bytes:
        """A consistent copy made while the desk may be in use, by the database's own backup."""
        copy = self.folder.parent / "copy.sqlite3"
        with sqlite3.connect(self.database) as live, sqlite3.connect(copy) as made:
            live.backup(made)
        return copy.read_bytes()


@pytest.fixture(scope="module")
def desk(tmp_path_factory: pytest.TempPathFactory) -> Desk:
    made = Desk(tmp_path_factory.mktemp("health") / "data")
    made.folder.mkdir()
    empty_desk(made.folder / "sandspike.sqlite3")
    made.manage("demo", "--today", "2026-06-01")
    return made


def test_the_demo_holds_no_health_word_in_clear_before_and_after_the_keys_change(
    desk: Desk,
) -> None:
    notes = desk.notes()
    needles = telling(notes)
    assert len(set(notes)) >= 7, "the demo's people have something to tell"
    assert {"Salbutamol", "Warfarin", "carries an inhaler"} <= needles
    assert b"Marram Head Shore Days" in desk.bytes_kept(), "the search finds what is in clear"
    assert found_in(desk.bytes_kept(), needles) == set()
    assert found_in(desk.backup(), needles) == set()
    for words in (("rotate_keys",), ("rotate_keys", "--drop-old")):
        desk.manage(*words)
        assert found_in(desk.bytes_kept(), needles) == set()
        assert found_in(desk.backup(), needles) == set()
    assert desk.notes() == notes, "they still open"


_OLDER = """
from django.db import connection
from django.db.migrations.executor import MigrationExecutor
from django.utils import timezone
loader = MigrationExecutor(connection).loader
apps = loader.project_state([("bookings", "0004_merges_are_undone_later")]).apps
client = apps.get_model("bookings", "Client").objects.create(given_name="Maeve")
party = apps.get_model("bookings", "Party").objects.create(
    client=client, heads=2, asked_at=timezone.now())
people = apps.get_model("bookings", "Participant").objects
people.create(party=party, given_name="Maeve", alert="ZANZIBAR-NUTS-9041")
people.create(party=party, given_name="Tomas")
"""


def test_words_of_an_older_desk_are_sealed_when_it_moves_up(tmp_path: Path) -> None:
    desk = Desk(tmp_path / "data")
    desk.folder.mkdir()
    desk.manage("migrate", "bookings", "0004", "--verbosity", "0")
    desk.manage("shell", "--no-imports", "-c", _OLDER)
    assert b"ZANZIBAR" in desk.bytes_kept()
    desk.manage("migrate", "bookings", "--verbosity", "0")
    assert b"ZANZIBAR" not in desk.bytes_kept(), "what was let go is overwritten too"
    assert desk.notes() == ["ZANZIBAR-NUTS-9041"]
