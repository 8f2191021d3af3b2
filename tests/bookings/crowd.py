"""Run as a program: many people press 'Hold the places' of one trip at the same moment.

`python -m tests.bookings.crowd TRIP PARTY...` sends one request for each party from a thread of
its own, through the whole of Django, and prints what each was answered.
"""

from __future__ import annotations

import json
import sys
from concurrent.futures import ThreadPoolExecutor
from threading import Barrier


def _press(trip: int, party: int, ready: Barrier) -> dict[str, object]:
    from django.contrib.auth.models import User
    from django.db import connection
    from django.test import Client

    from tests.bookings.reading import problems

    browser = Client()
    browser.force_login(
        User.objects.get(is_superuser=True),
        backend="allauth.account.auth_backends.AuthenticationBackend",
    )
    ready.wait(60)
    try:
        answer = browser.post(f"/trips/{trip}/hold/", {"party": party, "heads": 1})
        return {"status": answer.status_code, "problems": problems(answer.content.decode())}
    finally:
        connection.close()


def main(trip: int, parties: list[int]) -> None:
    import django
    from django.conf import settings

    django.setup()
    settings.ALLOWED_HOSTS = ["testserver"]
    ready = Barrier(len(parties))
    with ThreadPoolExecutor(len(parties)) as crowd:
        answers = list(crowd.map(lambda party: _press(trip, party, ready), parties))
    json.dump(answers, sys.stdout)


if __name__ == "__main__":
    main(int(sys.argv[1]), [int(each) for each in sys.argv[2:]])
