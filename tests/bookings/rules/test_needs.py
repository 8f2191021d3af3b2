"""What a case needs next; the order is the house's own."""

from __future__ import annotations

import datetime
from decimal import Decimal
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bookings.rules.needs import LAST_OF_OURS, CaseFacts, next_need

AT = datetime.datetime(2027, 6, 1, 9, tzinfo=datetime.UTC)
ON = AT.date()
DAY = datetime.timedelta(days=1)
BOOKED: dict[str, Any] = {"quote": "accepted", "booking": "confirmed", "trip_at": AT + 20 * DAY}
NAMED: dict[str, Any] = BOOKED | {"named": 2}


def _need(**facts: Any) -> tuple[str, Decimal]:
    need = next_need(CaseFacts(asked_at=AT - 3 * DAY, heads=2, **facts), at=AT, on=ON)
    return need.words, need.money


@pytest.mark.parametrize(
    ("facts", "words", "money"),
    [
        ({}, "wants a date and a price", 0),
        (BOOKED | {"ask_since": AT}, "asks for a change", 0),
        ({"quote": "draft"}, "price note not sent yet", 0),
        ({"quote": "sent", "booking": "tentative"}, "has our price, no answer yet", 0),
        (
            {"quote": "sent", "booking": "tentative", "hold_until": AT + DAY / 2},
            "has our price, the hold ends within a day",
            0,
        ),
        ({"quote": "lapsed"}, "price note lapsed: ask or close", 0),
        ({"quote": "accepted"}, "price agreed, wants a date", 0),
        ({"waits_since": AT}, "waits for a place", 0),
        (BOOKED | {"named": 1}, "1 name missing", 0),
        (BOOKED, "2 names missing", 0),
        (NAMED, "all set", 0),
        (
            BOOKED | {"overdue": Decimal(90), "left": Decimal(290), "due_on": ON - DAY},
            "owes money that is late",
            90,
        ),
        (NAMED | {"left": Decimal(200), "due_on": ON + 7 * DAY}, "balance due soon", 200),
        (
            NAMED | {"left": Decimal(200), "due_on": ON + 8 * DAY},
            "all set but for the balance",
            200,
        ),
        (NAMED | {"over": Decimal(10)}, "has paid more than is owed", 10),
        (
            {"quote": "accepted", "choice_since": AT, "theirs": Decimal(87)},
            "has not chosen: money back or another day",
            87,
        ),
        (NAMED | {"trip_at": AT - DAY}, "fished: settle and close", 0),
    ],
)
def test_the_next_thing_and_its_money(facts: dict[str, Any], words: str, money: int) -> None:
    assert _need(**facts) == (words, money)


_WHEN = st.none() | st.integers(-500, 500).map(lambda days: AT + days * DAY)
_SUM = st.sampled_from([Decimal(0), Decimal("0.01"), Decimal(290)])


@given(
    st.builds(
        CaseFacts,
        asked_at=st.just(AT),
        heads=st.integers(1, 6),
        named=st.integers(0, 6),
        ask_since=_WHEN,
        quote=st.sampled_from(["", "draft", "sent", "accepted", "lapsed"]),
        quote_at=_WHEN,
        booking=st.sampled_from(["", "tentative", "confirmed"]),
        trip_at=_WHEN,
        hold_until=_WHEN,
        waits_since=_WHEN,
        left=_SUM,
        overdue=_SUM,
        due_on=st.none() | st.just(ON),
        over=_SUM,
        choice_since=_WHEN,
        theirs=_SUM,
    )
)
def test_every_case_needs_one_thing_and_a_question_comes_first(facts: CaseFacts) -> None:
    need = next_need(facts, at=AT, on=ON)
    assert need.words
    assert need.since.tzinfo is not None
    assert need.money >= 0
    assert (need.urgency == 0) == (facts.ask_since is not None)
    if facts.overdue and facts.booking == "confirmed" and not facts.ask_since:
        assert need.urgency <= 12
    assert (
        need.urgency <= LAST_OF_OURS
        or not (facts.quote == "draft" and not facts.booking)
        or (facts.over or facts.choice_since or facts.waits_since)
    )
