"""Twenty people sign at once, in two processes: twenty places in one chain, none taken twice."""

from __future__ import annotations

import datetime
import json
import os
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest
from django.utils import timezone

from bookings.queries.signers import of_person
from tests.factories_signing import booked_trip, link_of, on_board, published

ROOT = Path(__file__).resolve().parents[2]
MANY = 20
COUNTED = """
import django, json
django.setup()
from bookings.models import ChainHead, ChainRecord, Signature
from bookings.queries.evidence import check_chain
check = check_chain()
print(json.dumps([
    list(ChainRecord.objects.values_list("number", flat=True)),
    Signature.objects.count(),
    ChainHead.objects.get().number,
    [each.sentence for each in check.broken],
]))
"""


def _environment(database: str, tmp_path: Path) -> dict[str, str]:
    return os.environ | {
        "DATABASE_URL": database,
        "DJANGO_SETTINGS_MODULE": "guiding.settings",
        "SANDSPIKE_DATA": str(tmp_path / "data"),
    }


@pytest.mark.parametrize("processes", [1, 2])
def test_signing_at_once_makes_one_chain(
    processes: int, shared_database: Callable[[], str], tmp_path: Path
) -> None:
    now = timezone.now()
    published(now - datetime.timedelta(days=1))
    starts = now + datetime.timedelta(days=3)
    trip = booked_trip(heads=MANY, starts_at=starts, ends_at=starts + datetime.timedelta(hours=9))
    pairs = []
    for n in range(MANY):
        person = on_board(trip, f"Person {n}")
        pairs.append(f"{link_of(of_person(person), trip, at=now)[1]}:{person.pk}")
    env = _environment(shared_database(), tmp_path)
    size = MANY // processes
    crowds = [
        subprocess.Popen(
            [
                sys.executable,
                "-m",
                "tests.bookings.signers_at_once",
                *pairs[start : start + size],
            ],
            cwd=ROOT,
            env=env,
            stdout=subprocess.PIPE,
            text=True,
        )
        for start in range(0, MANY, size)
    ]
    answers = [each for crowd in crowds for each in json.loads(crowd.communicate(timeout=300)[0])]
    assert answers == [302] * MANY

    counted = subprocess.run(
        [sys.executable, "-c", COUNTED], cwd=ROOT, env=env, capture_output=True, text=True
    )
    assert counted.returncode == 0, counted.stderr
    numbers, signatures, head, broken = json.loads(counted.stdout)
    published_texts = 10
    assert signatures == 4 * MANY
    assert numbers == list(range(1, published_texts + 4 * MANY + 1))
    assert head == numbers[-1]
    assert broken == []
