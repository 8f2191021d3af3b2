"""500 mails through real workers on a real mail server: one killed with signal 9, the server away
for a while and refusing for a while; on both databases. All arrive, none twice, parties in order.
"""

from __future__ import annotations

import os
import signal
import sqlite3
import subprocess
import sys
import time
from collections import Counter, defaultdict
from collections.abc import Callable, Iterator
from contextlib import closing
from pathlib import Path
from typing import Any

import psycopg
import pytest

from tests.bookings.mail_server import Server, free_port
from tests.machine import empty_desk, postgres_url
from tests.stored import empty_postgres

ROOT = Path(__file__).resolve().parents[2]
COUNT, PARTIES = 500, 25
_FILL = f"""
from tests.factories import BusinessFactory, PartyFactory
from tests.factories_messages import queued
from django.db import transaction
with transaction.atomic():
    BusinessFactory()
    parties = [PartyFactory() for _ in range({PARTIES})]
    for n in range({COUNT}):
        queued(n, party=parties[n % {PARTIES}])
"""
_STATES = "SELECT id, state, message_id, lane FROM bookings_message ORDER BY id"
_UNREACHED = "SELECT count(*) FROM bookings_message WHERE last_error LIKE '%Connection refused%'"
# The back-off of a minute and more, gone by at once.
_TIME_GOES_BY = "UPDATE bookings_message SET next_try_at = due_at WHERE state = 'queued'"


class House:
    """A desk of its own in a folder, run as processes the way a guide runs it."""

    def __init__(self, folder: Path, database: str, port: int) -> None:
        self.environment = os.environ | {
            "SANDSPIKE_DATA": str(folder),
            "DATABASE_URL": database,
            "MAIL_HOST": "127.0.0.1",
            "MAIL_PORT": str(port),
            "MAIL_TLS": "false",
        }
        self.started: list[subprocess.Popen[bytes]] = []

    def manage(self, *words: str) -> str:
        command = [sys.executable, str(ROOT / "manage.py"), *words]
        done = subprocess.run(
            command, env=self.environment, cwd=ROOT, capture_output=True, text=True, check=False
        )
        assert done.returncode == 0, done.stderr
        return done.stdout

    def python(self, code: str) -> str:
        return self.manage("shell", "--no-imports", "-c", code)

    def worker(self) -> subprocess.Popen[bytes]:
        command = [sys.executable, str(ROOT / "manage.py"), "worker", "--every", "0.2"]
        one = subprocess.Popen(
            [*command, "--lease", "3"],
            env=self.environment,
            cwd=ROOT,
            stdout=subprocess.DEVNULL,
        )
        self.started.append(one)
        return one

    def states(self) -> list[tuple[int, str, str, str]]:
        return self.ask(_STATES)

    def ask(self, statement: str) -> list[Any]:
        """Straight from the database: a look that starts no program may be taken often."""
        address = self.environment["DATABASE_URL"]
        if address.startswith("sqlite"):
            file = address.removeprefix("sqlite:///")
            with closing(sqlite3.connect(file, timeout=20)) as lite, lite:
                return lite.execute(statement).fetchall()
        with psycopg.connect(address) as server:
            answer = server.execute(statement)
            return answer.fetchall() if answer.description else []

    def close(self) -> None:
        for one in self.started:
            if one.poll() is None:
                one.kill()
            one.wait(10)


@pytest.fixture(
    params=[
        pytest.param("sqlite", marks=pytest.mark.once),
        pytest.param("postgres", marks=pytest.mark.postgres),
    ]
)
def house(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[House]:
    if request.param == "sqlite":
        empty_desk(tmp_path / "desk.sqlite3")
        one = House(tmp_path, f"sqlite:///{tmp_path / 'desk.sqlite3'}", free_port())
        yield one
        one.close()
        return
    server = postgres_url()
    if server is None:
        pytest.skip("no PostgreSQL answers on this machine")
    place = server.rsplit("/", 1)[0]
    name = f"outbox_{os.getpid()}"
    template = empty_postgres(lambda database: f"{place}/{database}")
    with psycopg.connect(server, autocommit=True) as connection:
        connection.execute(f"CREATE DATABASE {name} TEMPLATE {template}")
        one = House(tmp_path, f"{place}/{name}", free_port())
        try:
            yield one
        finally:
            one.close()
            connection.execute(f"DROP DATABASE {name} WITH (FORCE)")


def _until(true: Callable[[], bool], seconds: float = 120) -> None:
    end = time.monotonic() + seconds
    while not true():
        assert time.monotonic() < end, "it did not come about in time"
        time.sleep(0.05)


@pytest.mark.slow
def test_500_arrive_and_none_twice(house: House) -> None:
    house.python(_FILL)
    port = int(house.environment["MAIL_PORT"])
    server = Server()
    first = [house.worker(), house.worker()]

    with server.open(port):
        _until(lambda: len(server.taken) >= 120)
        os.kill(first[0].pid, signal.SIGKILL)  # in the middle of whatever it does
        first[0].wait(10)
        _until(lambda: len(server.taken) >= 180)
        refused: list[str] = []
        server.refuse_rcpt = lambda to: refused.append(to) or "451 greylisted, come back"  # type: ignore[func-returns-value]
        _until(lambda: len(refused) >= 5)
    _until(lambda: house.ask(_UNREACHED) != [(0,)])  # the server is away altogether
    server.refuse_rcpt = lambda _to: None
    before = len(server.taken)
    with server.open(port):
        house.worker()
        house.ask(_TIME_GOES_BY)
        _until(lambda: len(server.taken) > before)

        def settled() -> bool:
            house.ask(_TIME_GOES_BY)
            return not {state for _pk, state, _id, _lane in house.states()} & {
                "queued",
                "claimed",
                "handed",
            }

        _until(settled)
        # At most one mail per killed worker can be in doubt; the guide asks whether it arrived.
        doubtful = [row for row in house.states() if row[1] == "unsure"]
        assert len(doubtful) <= 1
        for pk, _state, message_id, _lane in doubtful:
            act = "it_arrived" if message_id in server.ids else "send_again"
            house.python(
                "from bookings.actions import outbox; from bookings.models import Message; "
                f"outbox.{act}(message=Message.objects.get(pk={pk}))"
            )
        _until(lambda: len(server.taken) >= COUNT, 30)
        _until(lambda: all(row[1] == "sent" for row in house.states()), 30)

    arrived = Counter(server.ids)
    rows = house.states()
    assert set(arrived) == {row[2] for row in rows}
    assert len(arrived) == COUNT
    assert max(arrived.values()) == 1
    _assert_in_order(server.ids, rows, {row[2] for row in doubtful})


def _assert_in_order(
    ids: list[str], rows: list[tuple[int, str, str, str]], doubtful: set[str]
) -> None:
    """Within a party in the order of writing; a mail that was in doubt waited for a person."""
    lane_of = {message_id: lane for _pk, _state, message_id, lane in rows}
    number = {message_id: pk for pk, _state, message_id, _lane in rows}
    lanes: dict[str, list[int]] = defaultdict(list)
    for one in ids:
        if one not in doubtful:
            lanes[lane_of[one]].append(number[one])
    assert len(lanes) == PARTIES
    assert all(came == sorted(came) for came in lanes.values())


@pytest.mark.slow
@pytest.mark.parametrize("moment", ["before the last dot", "after the last dot"])
def test_killed_at_the_worst_moment(house: House, moment: str) -> None:
    """The server itself kills the worker, right before or right after it takes a mail over."""
    house.python(_FILL.replace(f"range({COUNT})", "range(20)"))
    server = Server()
    worker: list[subprocess.Popen[bytes]] = []

    def kill_in_rcpt(to: str) -> str | None:
        if to == "person7@example.org" and worker and worker[0].poll() is None:
            os.kill(worker[0].pid, signal.SIGKILL)
        return None

    def kill_in_data(envelope: object) -> str | None:
        return kill_in_rcpt(envelope.rcpt_tos[0])  # type: ignore[attr-defined]

    if moment == "before the last dot":
        server.refuse_rcpt = kill_in_rcpt
    else:
        server.at_data = kill_in_data
    with server.open(int(house.environment["MAIL_PORT"])):
        worker.append(house.worker())
        _until(lambda: worker[0].poll() is not None)
        assert worker[0].returncode == -signal.SIGKILL
        house.worker()
        _until(lambda: len(server.taken) >= 19)
        _until(lambda: {row[1] for row in house.states()} <= {"sent", "unsure"})
    doubtful = [row for row in house.states() if row[1] == "unsure"]
    assert len(server.taken) == len(set(server.ids)) == 20
    if moment == "before the last dot":
        assert not doubtful
    else:
        # It did arrive, and nobody can know: it was not sent again.
        assert len(doubtful) == 1
        assert doubtful[0][2] in server.ids
