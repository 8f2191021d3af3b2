"""Two processes in the same books at once, and one killed in the middle of what it wrote."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path
from random import Random

import pytest

from tests.bookings.test_last_place import ROOT, run
from tests.factories import BusinessFactory, ClientFactory, OfferFactory, PartyFactory

BROKEN = """
import django, json
django.setup()
from bookings.models import MoneyEntry
from bookings.queries.books import broken_money
print(json.dumps([broken_money(), MoneyEntry.objects.count()]))
"""


@pytest.fixture
def books(shared_database: Callable[[], str]) -> str:
    BusinessFactory()
    OfferFactory()
    client = ClientFactory()
    for _ in range(3):
        PartyFactory(client=client)
    return shared_database()


def clerk(books: str, tmp_path: Path, *words: object) -> subprocess.Popen[str]:
    return subprocess.Popen(
        [sys.executable, "-m", "tests.bookings.money.clerk", *map(str, words)],
        cwd=ROOT,
        env=os.environ
        | {
            "DATABASE_URL": books,
            "DJANGO_SETTINGS_MODULE": "guiding.settings",
            "SANDSPIKE_DATA": str(tmp_path / "data"),
        },
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    )


@pytest.mark.slow
def test_two_clerks_at_once_leave_no_gap(books: str, tmp_path: Path) -> None:
    clerks = [clerk(books, tmp_path, seed, 60) for seed in (1, 2)]
    for each in clerks:
        out, err = each.communicate(timeout=280)
        assert out.split() == ["ready", "60"], err
    broken, entries = run(["-c", BROKEN], books, tmp_path)
    assert broken == []
    assert entries > 60


@pytest.mark.slow
def test_clerks_killed_in_mid_write_leave_whole_books(books: str, tmp_path: Path) -> None:
    dice = Random(26)  # noqa: S311  a test, no secret
    for round_ in range(5):
        clerks = [clerk(books, tmp_path, 10 * round_ + n) for n in (1, 2)]
        for each in clerks:
            assert each.stdout is not None
            assert each.stdout.readline() == "ready\n"
        for each in clerks:
            for _ in range(dice.randrange(4, 9)):
                assert each.stdout is not None
                assert each.stderr is not None
                line = each.stdout.readline()
                assert line == "done\n", each.stderr.read()
        time.sleep(dice.random() / 5)  # somewhere in the middle of what they write next
        for each in clerks:
            each.send_signal(signal.SIGKILL)
            each.communicate(timeout=60)
        broken, entries = run(["-c", BROKEN], books, tmp_path)
        assert broken == []
    assert entries > 20
