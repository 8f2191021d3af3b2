"""Rows of messages for tests: valid by default, invented."""

from __future__ import annotations

import datetime

from bookings.actions.outbox import put_in_outbox
from bookings.models import Message
from tests.factories import NOON, BusinessFactory


def queued(
    n: int = 0, *, party: object = None, at: datetime.datetime = NOON, **more: object
) -> Message:
    """One mail in the outbox."""
    BusinessFactory()
    given: dict[str, object] = {
        "kind": "go",
        "cause": f"test {n}",
        "to_mail": f"person{n}@example.org",
        "to_name": f"Person {n}",
        "subject": f"Number {n}",
        "body": f"Words {n}\n.\nA line that begins with a dot follows\n.dot\n",
        "party": party,
        "at": at,
    }
    made = put_in_outbox(**(given | more))  # type: ignore[arg-type]
    assert made is not None
    return made
