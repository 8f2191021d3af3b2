"""The worker's rounds share one row; Today and the health address say when they do not run."""

from __future__ import annotations

import datetime
import shutil
from typing import Any

import pytest
from django.db import OperationalError
from django.test import Client
from django.utils import timezone

from bookings.actions.rounds import claim_round, end_round
from bookings.models import WorkerRound
from guiding.desk.actions import rounds
from guiding.desk.actions.rounds import Rounds
from guiding.desk.queries import healthy
from tests.factories_messages import queued

MINUTE = datetime.timedelta(minutes=1)
STILL = "Nothing goes out by itself"


@pytest.mark.django_db
def test_one_at_a_time_and_a_dead_one_holds_up_nobody_for_long() -> None:
    now = timezone.now()
    assert claim_round(holder="first", at=now, lease=MINUTE) is True
    assert claim_round(holder="other", at=now, lease=MINUTE) is False
    later = now + MINUTE / 2
    assert claim_round(holder="first", at=later, lease=MINUTE) is True, "it may go on"
    assert claim_round(holder="other", at=now + MINUTE, lease=MINUTE) is False
    assert claim_round(holder="other", at=later + MINUTE, lease=MINUTE) is True
    # The first one wakes up: what it gives back is no longer its own.
    end_round(holder="first", at=later + MINUTE)
    assert WorkerRound.objects.get().holder == "other"
    end_round(holder="other", at=later + MINUTE, problem="IntegrityError")
    assert claim_round(holder="first", at=later + MINUTE, lease=MINUTE) is True
    row = WorkerRound.objects.get()
    assert (row.ended_at, row.problem) == (None, "IntegrityError")
    end_round(holder="first", at=later + MINUTE)
    row.refresh_from_db()
    assert (row.ended_at, row.problem, row.holder) == (later + MINUTE, "", "")


@pytest.mark.django_db(transaction=True)  # a round takes a connection of its own
def test_what_breaks_in_one_part_is_noted_and_holds_up_no_other(
    monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    queued(cause="one", at=timezone.now())

    def broken(**_: object) -> None:
        raise KeyError("maeve@example.org")

    with monkeypatch.context() as patch:
        patch.setattr(rounds, "run_watch", broken)
        done = Rounds(tell=print).go()
    assert (done.problem, done.mail.sent) == ("KeyError", 1)
    assert "A round broke off: KeyError in" in caplog.text
    assert "maeve" not in caplog.text
    assert WorkerRound.objects.get().problem == "KeyError"
    assert Rounds(tell=print).go().problem == ""
    row = WorkerRound.objects.get()
    assert (row.problem, row.holder) == ("", "")
    assert row.ended_at is not None


def test_today_says_in_one_line_that_nothing_runs_by_itself(desk: Client) -> None:
    def line() -> str:
        page = desk.get("/").content.decode()
        notes = [one for one in page.split("<p ")[1:] if one.startswith('class="note note-stop"')]
        assert len(notes) <= 1
        return " ".join(notes[0].partition("</p>")[0].split()) if notes else ""

    assert f"{STILL}:" in line(), "never"
    now = timezone.now()
    row = WorkerRound.objects.create(ended_at=now - 2 * MINUTE)
    assert line() == ""
    row.problem = "IntegrityError"
    row.save()
    assert "The last round broke off: IntegrityError." in line()
    assert STILL not in line()
    row.ended_at, row.problem = now - 180 * MINUTE, ""
    row.save()
    assert f"{STILL} since" in line()
    row.holder, row.held_until = "somebody", now + MINUTE
    row.save()
    assert line() == "", "a round is going on"
    row.held_until = now - MINUTE
    row.save()
    assert f"{STILL} since" in line(), "whoever had the turn is gone"


def test_what_is_not_well_is_503_and_told(
    business: Any, client: Client, monkeypatch: pytest.MonkeyPatch
) -> None:
    now = timezone.now()
    row = WorkerRound.objects.create(ended_at=now)

    def asked() -> tuple[int, dict[str, Any]]:
        answer = client.get("/healthy/", headers={"host": "anything.example.org"})
        facts = answer.json()
        assert facts.pop("ok") is (answer.status_code == 200)
        return answer.status_code, facts

    status, facts = asked()
    assert (status, {name: each["ok"] for name, each in facts.items()}) == (
        200,
        dict.fromkeys(("database", "migrations", "disk", "worker"), True),
    )
    full = shutil._ntuple_diskusage(10**12, 10**12 - 10**6, 10**6)
    with monkeypatch.context() as patch:
        patch.setattr(shutil, "disk_usage", lambda _path: full)
        status, facts = asked()
    assert (status, facts["disk"]) == (503, {"ok": False, "free_mb": 1})
    WorkerRound.objects.filter(pk=row.pk).update(ended_at=now - 60 * MINUTE)
    status, facts = asked()
    assert (status, facts["worker"]["ok"]) == (503, False)
    assert facts["worker"]["last_round_age_s"] >= 3600

    def away() -> int:
        raise OperationalError("it is away")

    with monkeypatch.context() as patch:
        patch.setattr(healthy, "missing_migrations", away)
        status, facts = asked()
    assert (status, facts["database"]["ok"], facts["migrations"]["missing"]) == (503, False, None)
    assert client.post("/healthy/").status_code == 405
