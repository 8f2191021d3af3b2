"""What every run of the tests would make anew, made once: empty tables, and a season's rows.

Both are kept beside the tests under a hash of the sources that they are made from, so that a
changed model or migration makes both again by itself, and a changed action or fixture the season
alone. `make clean` drops them.
"""

from __future__ import annotations

import fcntl
import hashlib
import os
import pickle
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
# What decides the tables; and what decides the rows of a season in them: nearly everything.
_TABLES = ("*/migrations/*.py", "*/*/migrations/*.py", "*/models/*.py", "*/*/models/*.py")
_ROWS = (
    "bookings/**/*.py",
    "equipment/**/*.py",
    "guiding/**/*.py",
    "fixtures/demo/*",
    "fixtures/safety/*",
    "fixtures/texts/*",
    "tests/season.py",
)


@cache
def _hash(*globs: str) -> str:
    """Of these sources, of the versions of all libraries, and of how it is made."""
    total = hashlib.sha256()
    names = (*globs, "requirements-dev.lock", "tests/stored.py")
    for file in sorted(file for glob in names for file in ROOT.glob(glob) if file.is_file()):
        total.update(str(file.relative_to(ROOT)).encode())
        total.update(file.read_bytes())
    return total.hexdigest()[:16]


def empty_tables() -> Path:
    """An SQLite file as `migrate` leaves it, made by the command as a guide's own is."""

    def make(file: Path) -> None:
        _migrate(f"sqlite:///{file}")
        with closing(sqlite3.connect(file)) as made:
            made.execute("PRAGMA journal_mode=DELETE")  # one file, nothing beside it

    return _once("empty.sqlite3", _hash(*_TABLES), make)


def kept_season(name: str, make: Callable[[], Any]) -> Any:
    """What `make` answers, from its file where an earlier run on the same sources left one."""

    def write(file: Path) -> None:
        file.write_bytes(pickle.dumps(make()))

    tables = _hash(*_TABLES)  # rows fit the tables that they were made for, and no others
    made = list(KEPT.glob(f"*-{tables}-{name}"))
    # For the minutes in which somebody edits: a season made before the last edit, if it still fits.
    stale = os.environ.get("TESTS_SEASON") == "as-it-lies" and bool(made)
    file = made[0] if stale else _once(name, f"{_hash(*_ROWS)}-{tables}", write)
    # Written by this project's own tests a moment ago, into a folder of its own.
    return pickle.loads(file.read_bytes())  # noqa: S301


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
    template = f"{checkout}_{_hash(*_TABLES)}"
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


def _once(name: str, sources: str, make: Callable[[Path], None]) -> Path:
    """The file, made by whoever comes first; a half-made one is never seen under its name."""
    file = KEPT / f"{sources}-{name}"
    with _alone():
        if not file.exists():
            half = KEPT / f"half-{name}"
            half.unlink(missing_ok=True)
            make(half)
            half.rename(file)
            for old in KEPT.glob(f"*-{name}"):
                if old != file:
                    old.unlink()
    return file


@contextmanager
def _alone() -> Iterator[None]:
    """One process of all that test this checkout; not to be entered twice."""
    KEPT.mkdir(exist_ok=True)
    with open(KEPT / "lock", "w") as lock:
        fcntl.flock(lock, fcntl.LOCK_EX)
        yield
