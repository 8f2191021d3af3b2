"""New tables of a migration, made on one picture of all models.

Django draws every model that hangs together with a new one again, for each new table: most of
the time that an empty database took.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import groupby
from typing import Any

from django.db.migrations import CreateModel
from django.db.migrations.operations.base import Operation, OperationCategory
from django.db.migrations.state import ProjectState


def at_once(operations: Sequence[Operation]) -> list[Operation]:
    """The operations of a migration, with each run of new tables put together."""
    found: list[Operation] = []
    for is_new, run in groupby(operations, key=lambda each: isinstance(each, CreateModel)):
        together = list(run)
        found += [NewTables(together)] if is_new else together
    return found


class NewTables(Operation):
    """Several `CreateModel` in their order, with the models drawn once when all are known."""

    category = OperationCategory.ADDITION

    def __init__(self, tables: list[Operation]) -> None:
        self.tables = tables

    def state_forwards(self, app_label: str, state: ProjectState) -> None:
        state.__dict__.pop("apps", None)  # a cached property: drawn anew when it is asked for
        for table in self.tables:
            table.state_forwards(app_label, state)

    def database_forwards(
        self, app_label: str, schema_editor: Any, from_state: Any, to_state: Any
    ) -> None:
        for table in self.tables:
            table.database_forwards(app_label, schema_editor, from_state, to_state)

    def database_backwards(
        self, app_label: str, schema_editor: Any, from_state: Any, to_state: Any
    ) -> None:
        for table in reversed(self.tables):
            table.database_backwards(app_label, schema_editor, from_state, to_state)

    def describe(self) -> str:
        return "; ".join(table.describe() for table in self.tables)
