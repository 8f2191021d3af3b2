"""The check constraints of every table: asked in one statement, with Django's own answers."""

from __future__ import annotations

import datetime
import random
from collections.abc import Iterator
from decimal import Decimal
from typing import Any

import pytest
from django.apps import apps
from django.core.exceptions import ValidationError
from django.db import connection, models
from django.db.models import CheckConstraint, F
from django.test.utils import CaptureQueriesContext

from bookings.models import Trip
from guiding.core.row import Row, broken_checks
from tests.factories import OfferFactory, TripFactory

pytestmark = pytest.mark.django_db

TABLES = [
    model
    for model in apps.get_models()
    if model.__module__.split(".")[0] in {"bookings", "equipment", "guiding"}
    and not model.__name__.startswith("Historical")
]
CHECKS = [
    (model, one)
    for model in TABLES
    for one in model._meta.constraints
    if isinstance(one, CheckConstraint)
]
_DAY = datetime.date(2026, 6, 1)
_NOON = datetime.datetime(2026, 6, 1, 12, tzinfo=datetime.UTC)
_NUMBERS = (None, -400, -1, 0, 1, 2, 45, 100, 359, 5000)


def values_for(field: models.Field[Any, Any]) -> list[Any]:
    """What a column may be found with, good and bad."""
    if field.choices:
        return [*(value for value, _ in field.flatchoices), "nonsense", ""]
    match field:
        case models.BooleanField():
            return [True, False, None]
        case models.DateTimeField():
            return [None, *(_NOON + datetime.timedelta(hours=n) for n in (-9999, 0, 1, 9999))]
        case models.DateField():
            return [None, *(_DAY + datetime.timedelta(days=n) for n in (-60000, 0, 1, 80000))]
        case models.TimeField():
            return [None, datetime.time(0), datetime.time(6, 30), datetime.time(23, 59)]
        case models.DecimalField():
            return [None, *(Decimal(str(n)) for n in (-400, -1, -0.01, 0, 0.5, 1, 100, 359, 5000))]
        case models.FloatField():
            return [None, *(float(n) for n in (-400, -1, -0.01, 0, 0.5, 1, 100, 359, 5000))]
        case models.IntegerField() | models.ForeignKey():
            return list(_NUMBERS)
        case models.JSONField():
            return [{}, [], {"a": 1}, None]
        case models.BinaryField():
            return [b"", b"a", None]
        case models.UUIDField():
            return [None, "6f9619ff-8b86-4011-b42d-00c04fc964ff"]
        case _:
            return ["", None, "x", "IE", "a" * 64, "EUR", "2026-0001"]


def rows_around(model: type[models.Model], constraint: CheckConstraint) -> Iterator[models.Model]:
    """Rows that differ in what a constraint speaks of; the same ones every time."""
    chance = random.Random(constraint.name)  # noqa: S311
    names = sorted({name for name, *_ in model._get_expr_references(constraint.condition)})
    fields = [model._meta.pk if n == "pk" else model._meta.get_field(n) for n in names]
    for _ in range(8 * len(fields)):
        row = model()
        for field in fields:
            setattr(row, field.attname, chance.choice(values_for(field)))
        yield row


def django_says(model: type[models.Model], one: CheckConstraint, row: models.Model) -> bool:
    """Whether a row breaks a constraint, as Django finds out: with a statement for this one."""
    try:
        one.validate(model, row)
    except ValidationError:
        return True
    return False


def test_every_table_of_ours_asks_at_once() -> None:
    assert len(TABLES) > 90
    assert [model.__name__ for model in TABLES if not issubclass(model, Row)] == []


def test_each_constraint_gets_the_answer_that_django_gives(
    caplog: pytest.LogCaptureFixture,
) -> None:
    assert len(CHECKS) > 250
    heard: dict[str, set[bool]] = {one.name: set() for _, one in CHECKS}
    for model, one in CHECKS:
        for row in rows_around(model, one):
            broken = broken_checks(row, ())
            assert broken is not None, one.name
            caplog.clear()
            said = django_says(model, one, row)
            if any("Got a database error" in each.getMessage() for each in caplog.records):
                continue  # PostgreSQL adds no two NULLs that Django sends it: it knows no answer
            assert (one.name in broken) == said, (one.name, row.__dict__)
            heard[one.name].add(one.name in broken)
    both = [name for name, said in heard.items() if said == {True, False}]
    assert len(both) > 0.85 * len(CHECKS), "nearly all are seen kept and seen broken"


def test_what_is_said_of_a_row_is_said_in_the_same_words_and_order() -> None:
    told = 0
    for model, one in CHECKS:
        row = next((row for row in rows_around(model, one) if one.name in _broken(row)), None)
        if row is None:  # kept by all of these rows
            continue
        with pytest.raises(ValidationError) as plain:
            models.Model.validate_constraints(row)
        with pytest.raises(ValidationError) as ours:
            row.validate_constraints()
        assert list(ours.value) == list(plain.value)
        told += 1
    assert told > 0.9 * len(CHECKS)


def _broken(row: models.Model) -> set[str]:
    return broken_checks(row, ()) or set()


def test_what_names_an_excluded_column_is_passed_over() -> None:
    trip = TripFactory.build(places=-1, places_taken=0)
    named = {one.name for model, one in CHECKS if model is Trip and "places" in str(one.condition)}
    assert _broken(trip) & named
    assert not (broken_checks(trip, {"places"}) or set()) & named


def test_a_value_that_only_the_database_knows_is_left_to_it() -> None:
    trip = TripFactory()
    trip.places_taken = F("places_taken") + 1
    assert broken_checks(trip, ()) is None
    trip.validate_constraints()


def test_one_statement_asks_all_the_checks_of_a_row() -> None:
    offer = OfferFactory()
    offer.full_clean()
    with CaptureQueriesContext(connection) as asked:
        offer.full_clean(validate_unique=False)
    checks = [one for one in offer._meta.constraints if isinstance(one, CheckConstraint)]
    assert len(checks) >= 8
    told = [query["sql"] for query in asked if "COALESCE" in query["sql"]]
    assert len(told) == 1
    others = len(offer._meta.constraints) - len(checks)
    savepoint = 2 if connection.vendor == "postgresql" else 0
    assert len(asked) <= 1 + others + savepoint
