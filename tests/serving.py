"""A desk of its own, opened as a process the way a guide opens it, and asked over HTTP."""

from __future__ import annotations

import http.client
import json
import os
import sqlite3
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from django.db import connection

from tests.bookings.mail_server import free_port
from tests.machine import empty_desk

ROOT = Path(__file__).resolve().parents[1]
SERVE = (str(ROOT / "manage.py"), "serve")


@dataclass(frozen=True, slots=True)
class Answer:
    """What came back over HTTP; redirects are not followed."""

    status: int
    headers: dict[str, str]
    body: str

    @property
    def facts(self) -> Any:
        return json.loads(self.body)


def until(true: Callable[[], Any], seconds: float = 60) -> None:
    """Waits for a condition, and fails when it does not come about in time."""
    end = time.monotonic() + seconds
    while not true():
        assert time.monotonic() < end, "it did not come about in time"
        time.sleep(0.05)


class OwnDesk:
    """Folder, database and settings of one desk, and the processes that were opened on it."""

    def __init__(self, folder: Path, database: str, **environment: str) -> None:
        self.folder, self.database = folder, database
        kept = {name: os.environ[name] for name in ("PATH", "LANG", "TMPDIR") if name in os.environ}
        self.environment = kept | environment
        self.environment |= {"SANDSPIKE_DATA": str(folder), "DATABASE_URL": database}

    def python(self, code: str) -> None:
        command = [sys.executable, str(ROOT / "manage.py"), "shell", "--no-imports", "-c", code]
        subprocess.run(command, env=self.environment, cwd=ROOT, check=True)

    def ask(self, words: str) -> list[Any]:
        """One statement on the tables, from outside."""
        if self.database.startswith("sqlite"):
            with closing(sqlite3.connect(self.folder / "desk.sqlite3", timeout=20)) as own, own:
                return own.execute(words).fetchall()
        with connection.cursor() as cursor:
            cursor.execute(words)
            return cursor.fetchall() if cursor.description else []

    @contextmanager
    def opened(
        self, *words: str, program: tuple[str, ...] = SERVE, **environment: str
    ) -> Iterator[Process]:
        """A process that serves the desk, until the block ends; then it is asked to close."""
        port = free_port()
        address = f"127.0.0.1:{port}"
        where = ["--address", address] if "gunicorn" not in program else ["--bind", address]
        process = subprocess.Popen(
            [sys.executable, *program, *where, *words],
            env=self.environment | environment,
            cwd=ROOT,
            stdout=subprocess.PIPE,
            stderr=subprocess.STDOUT,
            text=True,
        )
        one = Process(process, port)
        try:
            until(one.answers)
            yield one
        finally:
            process.terminate()
            try:
                one.said = process.communicate(timeout=30)[0]
            except subprocess.TimeoutExpired:
                process.kill()
                raise


class Process:
    """An open desk; `said` holds what it printed, once it is closed."""

    def __init__(self, process: subprocess.Popen[str], port: int) -> None:
        self.process, self.port, self.said = process, port, ""

    def answers(self) -> bool:
        assert self.process.poll() is None, self.process.communicate()[0]
        try:
            return bool(self.get("/healthy/"))
        except OSError:
            return False

    def get(self, path: str, **headers: str) -> Answer:
        """Asks 127.0.0.1 for a page; a header's name is written with underscores."""
        with closing(http.client.HTTPConnection("127.0.0.1", self.port, timeout=30)) as line:
            line.request(
                "GET",
                path,
                headers={name.replace("_", "-"): each for name, each in headers.items()},
            )
            answer = line.getresponse()
            return Answer(answer.status, dict(answer.getheaders()), answer.read().decode())


def own_desk(folder: Path, **environment: str) -> OwnDesk:
    """On the database of this run: PostgreSQL's that the test has, or a new SQLite file."""
    if connection.vendor == "sqlite":
        empty_desk(folder / "desk.sqlite3")
        return OwnDesk(folder, f"sqlite:///{folder / 'desk.sqlite3'}", **environment)
    known = connection.settings_dict
    user = f"{known['USER']}:{known['PASSWORD']}@" if known["USER"] else ""
    address = f"postgres://{user}{known['HOST']}:{known['PORT']}/{known['NAME']}"
    return OwnDesk(folder, address, **environment)
