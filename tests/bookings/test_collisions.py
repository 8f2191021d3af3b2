"""Ended by the database because somebody else wrote at the same moment: one sentence, no wreck."""

from __future__ import annotations

import sqlite3
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from django.db import OperationalError
from django.test import Client as Browser

from tests.bookings.test_last_place import run
from tests.factories import (
    FAR_AHEAD,
    BusinessFactory,
    PartyFactory,
    TripFactory,
    UserFactory,
)

SENTENCE = "Somebody else changed this at the same moment. Nothing was saved; press again."
ONCE_MORE = "Somebody else is writing at this moment. Load the page again."


def ended(code: str | int) -> OperationalError:
    """What Django raises of what a driver raised with this code."""
    cause: Any
    if isinstance(code, str):
        errors = pytest.importorskip("psycopg.errors")
        cause = errors.lookup(code)("said by the server")
    else:
        cause = sqlite3.OperationalError("database is locked")
        cause.sqlite_errorcode = code
    problem = OperationalError(str(cause))
    problem.__cause__ = cause
    return problem


@pytest.fixture
def press(desk: Browser, monkeypatch: pytest.MonkeyPatch) -> Callable[..., Any]:
    """Press 'Hold the places', and the database ends it in this way."""
    party, trip = PartyFactory(), TripFactory()

    def pressed(problem: Exception, **headers: str) -> Any:
        def fail(**_: object) -> None:
            raise problem

        monkeypatch.setattr("bookings.views.trips.hold_places", fail)
        facts = {"party": party.pk, "heads": 1}
        return desk.post(f"/trips/{trip.pk}/hold/", facts, headers=headers)

    return pressed


# Deadlock, not serializable, lock not to be had (PostgreSQL 15 manual, appendix A); busy, locked,
# and busy with a snapshot that has grown old (sqlite.org/rescode.html).
@pytest.mark.parametrize("code", ["40P01", "40001", "55P03", 5, 6, 5 | 2 << 8])
def test_who_was_ended_is_asked_to_press_again(press: Callable[..., Any], code: str | int) -> None:
    answer = press(ended(code))
    assert answer.status_code == 503
    assert answer["Retry-After"] == "1"
    assert "503.html" in [template.name for template in answer.templates]
    html = answer.content.decode()
    assert SENTENCE in html
    assert "back button" in html
    assert 'class="masthead"' in html
    assert "said by the server" not in html


# Out of memory, a connection that broke; a disk that fails, a file that is no database.
@pytest.mark.parametrize("code", ["53200", "08006", 10, 26])
def test_what_would_break_again_is_no_collision(press: Callable[..., Any], code: str | int) -> None:
    with pytest.raises(OperationalError):
        press(ended(code))


def test_a_tick_without_a_reload_says_it_too(press: Callable[..., Any]) -> None:
    address = "http://testserver/trips/7/prep/"
    html = press(ended(5), **{"HX-Request": "true", "HX-Current-URL": address}).content.decode()
    assert SENTENCE in html
    assert 'href="/trips/7/prep/">Back to the page' in html


def test_a_page_is_loaded_again(desk: Browser, monkeypatch: pytest.MonkeyPatch) -> None:
    def fail(*_: object, **__: object) -> None:
        raise ended(5)

    monkeypatch.setattr("bookings.views.trips.form_page", fail)
    answer = desk.get(f"/trips/{TripFactory().pk}/hold/")
    assert answer.status_code == 503
    assert ONCE_MORE in answer.content.decode()
    assert SENTENCE not in answer.content.decode()


def test_the_log_names_the_page_and_no_key(
    press: Callable[..., Any], caplog: pytest.LogCaptureFixture
) -> None:
    press(ended("40P01"))
    (line,) = [one.getMessage() for one in caplog.records if one.name.endswith("views.errors")]
    assert line == "POST trip_hold: said by the server"


@pytest.mark.slow
def test_pressed_while_somebody_holds_the_trip(
    shared_database: Callable[[], str], tmp_path: Path
) -> None:
    BusinessFactory()
    UserFactory(is_superuser=True)
    trip, party = TripFactory(**FAR_AHEAD), PartyFactory()
    first, second = run(
        ["-m", "tests.bookings.pressed_while_held", str(trip.pk), str(party.pk)],
        shared_database(),
        tmp_path,
    )
    assert first[0] == 503
    assert SENTENCE in first[1]
    assert first[2] == 0
    assert second[0] == 302
    assert second[2] == 1
