"""A database that other processes can open."""

from __future__ import annotations

import sqlite3
from collections.abc import Callable
from pathlib import Path

import pytest
from django.db import connection


@pytest.fixture
def shared_database(transactional_db: None, tmp_path: Path) -> Callable[[], str]:
    """Gives the address of a database with everything written so far, for other processes.

    On SQLite the tests run in memory, so what was written is copied into a file. It is given its
    journal here, as `migrate` gives it in a real desk: changing it needs the file for oneself.
    """

    def opened() -> str:
        if connection.vendor == "sqlite":
            file = tmp_path / "shared.sqlite3"
            with connection.cursor() as cursor:
                cursor.execute("VACUUM INTO %s", [str(file)])
            copy = sqlite3.connect(file)
            assert copy.execute("PRAGMA journal_mode=WAL").fetchone() == ("wal",)
            copy.close()
            return f"sqlite:///{file}"
        known = connection.settings_dict
        return (
            f"postgres://{known['USER']}:{known['PASSWORD']}@{known['HOST']}:{known['PORT']}"
            f"/{known['NAME']}"
        )

    return opened
