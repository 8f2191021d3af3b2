"""The demo season for tests: built once for its sources, then poured into each database that asks.

Building it takes seconds, pouring its rows a fraction of one.
"""

from __future__ import annotations

import datetime
from functools import cache

from django.apps import apps
from django.conf import settings
from django.core.management.color import no_style
from django.db import connection, transaction
from django.db.models import Model

from bookings.models.keys import current_keys, has_keys, write_keys
from guiding.desk.actions.demo import DemoLoaded, load_demo
from guiding.desk.actions.first_run import make_roles
from tests.stored import kept_season

DAY = datetime.date(2026, 6, 1)
NOON = datetime.datetime(2026, 6, 1, 12, 0, tzinfo=datetime.UTC)

Rows = dict[str, tuple[list[str], list[tuple[object, ...]]]]
_keys: dict[datetime.date, tuple[str, ...]] = {}


class _UndoneError(Exception):
    """Leaves the block that built the season, so that nothing of it stays."""


def pour_season(day: datetime.date = DAY) -> DemoLoaded:
    """The demo season around a day, in the database of this test."""
    loaded, tables = season_rows(day)
    with connection.cursor() as cursor:
        for table, (columns, rows) in tables.items():
            if not rows:
                continue
            names = ", ".join(connection.ops.quote_name(name) for name in columns)
            marks = ", ".join(["%s"] * len(columns))
            insert = f"INSERT INTO {table} ({names}) VALUES ({marks})"  # noqa: S608  our own names
            cursor.executemany(insert, rows)
        for statement in connection.ops.sequence_reset_sql(no_style(), _models()):
            cursor.execute(statement)
    make_roles()
    # The notes of the season open with the key they were sealed with.
    write_keys(tuple(dict.fromkeys((*(current_keys() if has_keys() else ()), *_keys[day]))))
    return loaded


def row_counts() -> dict[str, int]:
    """How many rows each table has: for 'nothing was written'."""
    return {model._meta.label: model._base_manager.count() for model in _models()}


@cache
def season_rows(day: datetime.date) -> tuple[DemoLoaded, Rows]:
    """What the demo season of a day puts into an empty database, by table: columns and rows."""
    loaded, tables, _keys[day] = kept_season(
        f"season-{connection.vendor}-{day}", lambda: _built(day)
    )
    return loaded, tables


def _built(day: datetime.date) -> tuple[DemoLoaded, Rows, tuple[str, ...]]:
    source = settings.FIXTURES_DIR / "demo" / "season.json"
    tables: Rows = {}
    try:
        with transaction.atomic():
            before = {table: _rows(table)[1] for table in _tables()}
            loaded = load_demo(today=day, source=source)
            for table in _tables():
                columns, rows = _rows(table)
                known = set(before[table])
                tables[table] = columns, [row for row in rows if row not in known]
            keys = current_keys()
            raise _UndoneError
    except _UndoneError:
        return loaded, tables, keys


def _models() -> list[type[Model]]:
    return [
        model
        for model in apps.get_models(include_auto_created=True)
        if model._meta.managed and not model._meta.proxy
    ]


def _tables() -> list[str]:
    """Every table but those of rights: their numbers differ from database to database."""
    kept = {
        "django_content_type",
        "auth_permission",
        "auth_group",
        "auth_group_permissions",
    }
    names = dict.fromkeys(model._meta.db_table for model in _models())
    return [connection.ops.quote_name(name) for name in names if name not in kept]


def _rows(table: str) -> tuple[list[str], list[tuple[object, ...]]]:
    with connection.cursor() as cursor:
        cursor.execute(f"SELECT * FROM {table}")  # noqa: S608  our own names
        return [column[0] for column in cursor.description], list(map(tuple, cursor.fetchall()))
