"""Run as a program: several clients say yes on their own pages at the same moment.

`python -m tests.bookings.accepting ADDRESS...` sends one yes to each address from a thread of its
own, through the whole of Django, and prints what each was answered.
"""

from __future__ import annotations

import json
import sys
from concurrent.futures import ThreadPoolExecutor
from threading import Barrier


def _press(address: str, ready: Barrier) -> dict[str, object]:
    from django.db import connection
    from django.test import Client

    from tests.bookings.reading import problems

    ready.wait(60)
    try:
        answer = Client().post(address, {"read": "on"})
        return {"status": answer.status_code, "problems": problems(answer.content.decode())}
    finally:
        connection.close()


def main(addresses: list[str]) -> None:
    import django
    from django.conf import settings

    django.setup()
    settings.ALLOWED_HOSTS = ["testserver"]
    ready = Barrier(len(addresses))
    with ThreadPoolExecutor(len(addresses)) as crowd:
        answers = list(crowd.map(lambda address: _press(address, ready), addresses))
    json.dump(answers, sys.stdout)


if __name__ == "__main__":
    main(sys.argv[1:])
