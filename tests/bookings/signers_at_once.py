"""Run as a program: many people press 'Sign' at the same moment.

`python -m tests.bookings.signers_at_once TOKEN:PERSON...` signs once for each from a thread of its
own, through the whole of Django, and prints what each was answered.
"""

from __future__ import annotations

import json
import re
import sys
from concurrent.futures import ThreadPoolExecutor
from threading import Barrier


def _sign(token: str, person: int, ready: Barrier) -> int:
    from django.db import connection
    from django.test import Client

    browser = Client()
    address = f"/sign/{token}/{person}/"
    page = browser.get(address).content.decode()
    sent = {
        name: found[1]
        for name in ("once", "texts")
        if (found := re.search(rf'name="{name}" value="([^"]*)"', page))
    }
    sent |= {"signer_name": "Somebody Here", "typed": "Somebody Here", "agrees": "on"}
    sent |= {"allergy": "no", "medicine": "no", "swims": "yes", "photos": "no"}
    ready.wait(120)
    try:
        return browser.post(address, sent).status_code
    finally:
        connection.close()


def main(pairs: list[str]) -> None:
    import django
    from django.conf import settings

    django.setup()
    settings.ALLOWED_HOSTS = ["testserver"]
    ready = Barrier(len(pairs))
    with ThreadPoolExecutor(len(pairs)) as crowd:
        answers = crowd.map(
            lambda pair: _sign(pair.split(":")[0], int(pair.split(":")[1]), ready), pairs
        )
        json.dump(list(answers), sys.stdout)


if __name__ == "__main__":
    main(sys.argv[1:])
