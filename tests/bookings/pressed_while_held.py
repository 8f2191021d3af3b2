"""Run as a program: press 'Hold the places' while somebody else has the trip, and once more after.

`python -m tests.bookings.pressed_while_held TRIP PARTY` prints what each press was answered.
"""

from __future__ import annotations

import json
import sys


def main(trip: int, party: int) -> None:
    import django
    from django.conf import settings

    django.setup()
    settings.ALLOWED_HOSTS = ["testserver"]
    from django.contrib.auth.models import User
    from django.db import connection
    from django.test import Client

    from bookings.models import Booking

    browser = Client()
    browser.force_login(
        User.objects.get(is_superuser=True),
        backend="allauth.account.auth_backends.AuthenticationBackend",
    )
    somebody = connection.copy()
    with connection.cursor() as mine, somebody.cursor() as theirs:
        if connection.vendor == "postgresql":
            mine.execute("SET lock_timeout = '200ms'")
            theirs.execute("BEGIN")
            theirs.execute("SELECT 1 FROM bookings_trip WHERE id = %s FOR UPDATE", [trip])
        else:
            mine.execute("PRAGMA busy_timeout = 200")
            theirs.execute("BEGIN IMMEDIATE")
        answers = []
        for _ in range(2):
            answer = browser.post(f"/trips/{trip}/hold/", {"party": party, "heads": 1})
            answers.append([answer.status_code, answer.content.decode(), Booking.objects.count()])
            if len(answers) == 1:
                theirs.execute("ROLLBACK")
    somebody.close()
    json.dump(answers, sys.stdout)


if __name__ == "__main__":
    main(int(sys.argv[1]), int(sys.argv[2]))
