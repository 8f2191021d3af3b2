"""The base of every table: its check constraints are asked in one statement, compiled once.

Django asks the database once a constraint and compiles each question anew, which was a third of
the time of loading a season.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from contextlib import nullcontext
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

from django.core.exceptions import EmptyResultSet, FieldError
from django.db import DatabaseError, connections, models, router, transaction
from django.db.models import CheckConstraint, Expression, Field, Q
from django.db.models.expressions import SQLiteNumericMixin
from django.db.models.functions import Coalesce
from django.db.models.sql import Query


class Row(models.Model):
    """A table of ours; what `full_clean` says of a row is what Django says, only sooner."""

    _checks_hold = False

    class Meta:
        abstract = True

    def validate_constraints(self, exclude: Collection[str] | None = None) -> None:
        # Where one is broken Django asks again, one by one: its words and their order are its own.
        self._checks_hold = broken_checks(self, exclude or ()) == set()
        try:
            super().validate_constraints(exclude=exclude)
        finally:
            del self._checks_hold

    def get_constraints(self) -> list[tuple[type[models.Model], Sequence[Any]]]:
        found: list[tuple[type[models.Model], Sequence[Any]]] = super().get_constraints()
        if not self._checks_hold:
            return found
        return [
            (model, [one for one in each if not isinstance(one, CheckConstraint)])
            for model, each in found
        ]


def broken_checks(row: models.Model, exclude: Collection[str]) -> set[str] | None:
    """The names of the check constraints that a row breaks; None when Django has to ask.

    Those that name an excluded field are passed over, as Django does.
    """
    using = router.db_for_write(type(row), instance=row)
    question = _question(type(row), frozenset(exclude), using)
    if question is None:
        return None
    if not question.names:
        return set()
    values = {name: getattr(row, name) for name in question.columns}
    if any(hasattr(value, "resolve_expression") for value in values.values()):
        return None  # 'what it is now, and one more': only the database knows
    connection = connections[using]
    sent = [
        part.column.get_db_prep_value(values[part.column.attname], connection)
        if isinstance(part, _Slot)
        else part
        for part in question.parts
    ]
    # A statement that fails spoils the whole transaction on PostgreSQL.
    kept = connection.in_atomic_block and connection.vendor == "postgresql"
    around = transaction.atomic(using=using) if kept else nullcontext()
    try:
        with around, connection.cursor() as cursor:
            cursor.execute(question.sql, sent)
            holds = cursor.fetchone()
    except DatabaseError:
        return None
    return {name for name, held in zip(question.names, holds, strict=True) if not held}


class _Slot(SQLiteNumericMixin, Expression):
    """The place of a column's value in a compiled statement."""

    def __init__(self, field: Field[Any, Any]) -> None:
        super().__init__(output_field=field)
        self.column = field

    def as_sql(self, compiler: Any, connection: Any) -> tuple[str, tuple[Any, ...]]:
        return "%s", (self,)

    def as_postgresql(
        self, compiler: Any, connection: Any, **_: Any
    ) -> tuple[str, tuple[Any, ...]]:
        # Two NULLs of no kind have no sum there. Without digits a numeric rounds nothing off.
        cast = "::numeric" if isinstance(self.column, models.DecimalField) else ""
        return f"%s{cast}", (self,)


@dataclass(frozen=True, slots=True)
class _Question:
    """One statement that answers a column a constraint; its parameters, some still to be filled."""

    sql: str
    parts: tuple[Any, ...]
    names: tuple[str, ...]
    columns: frozenset[str]


@lru_cache(maxsize=2000)
def _question(model: type[models.Model], exclude: frozenset[str], using: str) -> _Question | None:
    """The statement for a model; None for one whose columns the database works out itself."""
    fields = model._meta.concrete_fields
    if any(field.generated for field in fields):
        return None
    slots = {field.name: _Slot(field) for field in fields if field.name not in exclude}
    if "pk" not in exclude:
        slots["pk"] = _Slot(model._meta.pk)
    answers, parts, names = [], [], []
    for constraint in _checks(model):
        try:
            sql, sent = _condition(constraint.condition, slots, using)
        except FieldError:
            continue
        except EmptyResultSet:
            return None
        answers.append(sql)
        parts += sent
        names.append(constraint.name)
    columns = frozenset(part.column.attname for part in parts if isinstance(part, _Slot))
    return _Question(f"SELECT {', '.join(answers)}", tuple(parts), tuple(names), columns)


def _checks(model: type[models.Model]) -> list[CheckConstraint]:
    return [
        one
        for table in (model, *model._meta.all_parents)
        for one in table._meta.constraints
        if isinstance(one, CheckConstraint)
    ]


def _condition(condition: Any, slots: dict[str, _Slot], using: str) -> tuple[str, list[Any]]:
    """A condition as SQL, with slots for the columns; not known counts as kept, as in a table."""
    query = Query(None)
    for name, slot in slots.items():
        query.add_annotation(slot, name, select=False)
    asked = Coalesce(Q(condition), True, output_field=models.BooleanField())
    resolved = asked.resolve_expression(query)
    sql, sent = query.get_compiler(using=using).compile(resolved)
    return sql, list(sent)
