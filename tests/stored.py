"""What every run of the tests would make anew, made once: empty tables, and a season's rows.

Both are kept beside the tests under a hash of the sources that they are made from, so that a
changed model, migration, action or fixture makes them again by itself. `make clean` drops them.
"""

from __future__ import annotations

import fcntl
import hashlib
import os
import pickle
import shutil
import sqlite3
import subprocess
import sys
import tempfile
from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager
from functools import cache
from pathlib import Path
from typing import Any

from django.db import connection

ROOT = Path(__file__).resolve().parents[1]
KEPT = ROOT / "tests" / ".made"
_SOURCES = (
    "bookings/**/*.py",
    "equipment/**/*.py",
    "guiding/**/*.py",
    "fixtures/demo/*",
    "fixtures/safety/*",
    "fixtures/texts/*",
    "requirements-dev.lock",
    "tests/season.py",
    "tests/stored.py",
)


@cache
def made_folder() -> Path:
    """The folder of what belongs to the sources as they are now; older ones are dropped."""
    total = hashlib.sha256()
    for file in sorted(file for glob in _SOURCES for file in ROOT.glob(glob) if file.is_file()):
        total.update(str(file.relative_to(ROOT)).encode())
        total.update(file.read_bytes())
    folder = KEPT / total.hexdigest()[:16]
    with _alone():
        for old in KEPT.iterdir():
            if old.is_dir() and old != folder:
                shutil.rmtree(old, ignore_errors=True)
        folder.mkdir(exist_ok=True)
    return folder


def empty_tables() -> Path:
    """An SQLite file as `migrate` leaves it, made by the command as a guide's own is."""

    def make(file: Path) -> None:
        _migrate(f"sqlite:///{file}")
        with closing(sqlite3.connect(file)) as made:
            made.execute("PRAGMA journal_mode=DELETE")  # one file, nothing beside it

    return _once(made_folder() / "empty.sqlite3", make)


def kept(name: str, make: Callable[[], Any]) -> Any:
    """What `make` answers, from its file where an earlier run on the same sources left one."""

    def write(file: Path) -> None:
        file.write_bytes(pickle.dumps(make()))

    # Written by this project's own tests a moment ago, into a folder of its own.
    return pickle.loads(_once(made_folder() / name, write).read_bytes())  # noqa: S301


@contextmanager
def test_database() -> Iterator[Callable[[], None]]:
    """The database of this process for as long as its tests run: gives what empties it again.

    That copies the empty tables anew, which takes a tenth of the time of emptying each of them.
    """
    named = connection.settings_dict["NAME"]
    fill = _copy_tables if connection.vendor == "sqlite" else _create_like_template
    fill()
    try:
        yield fill
    finally:
        connection.creation.destroy_test_db(named, verbosity=0)


def _copy_tables() -> None:
    file = empty_tables()
    connection.close()
    connection.settings_dict["NAME"] = connection.creation._get_test_db_name()
    connection.ensure_connection()
    with closing(sqlite3.connect(file)) as source:
        source.backup(connection.connection)


def _create_like_template() -> None:
    creation = connection.creation
    connection.close()
    connection.settings_dict["TEST"]["TEMPLATE"] = empty_postgres(_address)
    creation._create_test_db(verbosity=0, autoclobber=True)
    connection.settings_dict["NAME"] = creation._get_test_db_name()
    connection.ensure_connection()


def _address(database: str) -> str:
    known = connection.settings_dict
    return (
        f"postgres://{known['USER']}:{known['PASSWORD']}@{known['HOST']}:{known['PORT']}/{database}"
    )


def empty_postgres(address: Callable[[str], str]) -> str:
    """The name of a database as `migrate` leaves it, for PostgreSQL to copy as its template.

    `address` gives the address of a database of a name on the server meant.
    """
    import psycopg
    from psycopg.sql import SQL, Identifier

    checkout = f"sandspike_made_{hashlib.sha256(str(ROOT).encode()).hexdigest()[:8]}"
    template = f"{checkout}_{made_folder().name}"
    half = f"{template}_half"
    with _alone(), psycopg.connect(address("postgres"), autocommit=True) as server:
        found = server.execute(
            "SELECT datname FROM pg_database WHERE starts_with(datname, %s)", [checkout]
        )
        there = {name for (name,) in found}
        for old in there - {template}:
            server.execute(SQL("DROP DATABASE {}").format(Identifier(old)))
        if template not in there:
            server.execute(SQL("CREATE DATABASE {}").format(Identifier(half)))
            _migrate(address(half))
            server.execute(
                SQL("ALTER DATABASE {} RENAME TO {}").format(Identifier(half), Identifier(template))
            )
    return template


def _migrate(address: str) -> None:
    with tempfile.TemporaryDirectory(prefix="desk-") as folder:
        subprocess.run(
            [sys.executable, "manage.py", "migrate", "--verbosity", "0"],
            cwd=ROOT,
            env=os.environ | {"SANDSPIKE_DATA": folder, "DATABASE_URL": address},
            check=True,
        )


def _once(file: Path, make: Callable[[Path], None]) -> Path:
    """The file, made by whoever comes first; a half-made one is never seen under its name."""
    with _alone():
        if not file.exists():
            half = file.with_name(f"half-{file.name}")
            half.unlink(missing_ok=True)
            make(half)
            half.rename(file)
    return file


@contextmanager
def _alone() -> Iterator[None]:
    """One process of all that test this checkout; not to be entered twice."""
    KEPT.mkdir(exist_ok=True)
    with open(KEPT / "lock", "w") as lock:
        fcntl.flock(lock, fcntl.LOCK_EX)
        yield
