"""Whether the desk does what it is there for, asked by whoever watches the machine."""

from __future__ import annotations

import datetime
import os
import shutil

from django.conf import settings
from django.db import DatabaseError, connection
from django.db.migrations.executor import MigrationExecutor

from bookings.queries.outbox import ROUNDS_LATE, last_round

LEAST_FREE_MB = 200  # [house] a season's papers and photographs fill less than that in a day


def health(*, at: datetime.datetime) -> dict[str, dict[str, object]]:
    """Database, migrations, disk and the worker's last round: each with `ok`, and the number.

    What cannot be asked is not well.
    """
    found: dict[str, dict[str, object]] = {
        "database": {"ok": False},
        "migrations": {"ok": False, "missing": None},
        "disk": _disk(),
        "worker": {"ok": False, "last_round_age_s": None},
    }
    try:
        missing = missing_migrations()
        found["database"]["ok"] = True
        found["migrations"] = {"ok": not missing, "missing": missing}
        found["worker"] = _worker(at)
    except DatabaseError:
        return found  # what was asked before it broke stands
    return found


def missing_migrations() -> int:
    """How many steps the tables are behind this version."""
    executor = MigrationExecutor(connection)
    return len(executor.migration_plan(executor.loader.graph.leaf_nodes()))


def _disk() -> dict[str, object]:
    try:
        free_mb = shutil.disk_usage(settings.DATA_DIR).free // 1_000_000
    except OSError:
        return {"ok": False, "free_mb": None}
    return {
        "ok": free_mb >= LEAST_FREE_MB and os.access(settings.DATA_DIR, os.W_OK),
        "free_mb": free_mb,
    }


def _worker(at: datetime.datetime) -> dict[str, object]:
    last = last_round()
    if last is None or last.ended_at is None:
        return {"ok": False, "last_round_age_s": None}
    age = at - last.ended_at
    return {"ok": age <= ROUNDS_LATE, "last_round_age_s": int(age.total_seconds())}
