"""What this machine offers to the tests: a Chromium, a PostgreSQL, an empty desk to copy."""

from __future__ import annotations

import os
import shutil
from pathlib import Path

from tests.stored import empty_tables

_NAMES = ("chromium", "chromium-browser", "google-chrome")
_LOCAL = "postgres://postgres@127.0.0.1:5432/postgres"

CHROMIUM_FLAGS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]


def chromium() -> str | None:
    """The path of a Chromium, or None."""
    named = os.environ.get("CHROMIUM")
    if named:
        return named if os.path.exists(named) else None
    return next((found for name in _NAMES if (found := shutil.which(name))), None)


def postgres_url() -> str | None:
    """The address of a PostgreSQL that answers and lets us make a database, or None."""
    address = os.environ.get("TEST_POSTGRES_URL", _LOCAL)
    try:
        import psycopg

        with psycopg.connect(address, connect_timeout=3) as connection:
            row = connection.execute(
                "SELECT rolcreatedb OR rolsuper FROM pg_roles WHERE rolname = current_user"
            ).fetchone()
    except (ImportError, OSError, psycopg.Error):
        return None
    return address if row and row[0] else None


def empty_desk(file: Path) -> None:
    """Puts the database of a desk that has just been set up into a file that is not there yet."""
    shutil.copyfile(empty_tables(), file)
