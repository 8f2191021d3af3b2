"""Run as a program: a whole office writes to the same few trips and parties at the same moment.

`python -m tests.bookings.jostle SEED CLERKS DECKS` prints what was done, what the database ended
instead of doing it, and what `check_books` finds broken afterwards.
"""

from __future__ import annotations

import json
import sys
from collections import Counter
from concurrent.futures import ThreadPoolExecutor
from threading import Barrier
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from tests.bookings.office import Clerk


def _work(clerk: Clerk, ready: Barrier, decks: int) -> None:
    from django.db import connection

    with connection.cursor() as cursor:
        cursor.execute("SET deadlock_timeout = '20ms'")  # who waits in a ring is told at once
        cursor.execute("SET lock_timeout = '20s'")
    ready.wait(60)
    try:
        clerk.work(decks)
    finally:
        connection.close()


def _deadlocks() -> int:
    """How many the database has counted, of those that nobody told us of as well."""
    from django.db import connection

    with connection.cursor() as cursor:
        cursor.execute("SELECT deadlocks FROM pg_stat_database WHERE datname = current_database()")
        return int(cursor.fetchone()[0])


def main(seed: int, count: int, decks: int) -> None:
    import django

    django.setup()
    from guiding.desk.queries.books import broken
    from tests.bookings.office import Clerk

    before = _deadlocks()
    clerks = [Clerk(100 * seed + n) for n in range(count)]
    ready = Barrier(count)
    with ThreadPoolExecutor(count) as office:
        for each in [office.submit(_work, clerk, ready, decks) for clerk in clerks]:
            each.result()
    done = sum((clerk.done for clerk in clerks), Counter[str]())
    ended = [words for clerk in clerks for words in clerk.ended]
    found = {"done": done, "ended": ended, "deadlocks": _deadlocks() - before, "broken": broken()}
    json.dump(found, sys.stdout)


if __name__ == "__main__":
    main(*map(int, sys.argv[1:]))
