"""Every sentence that the rules can say to a client is in the German book."""

from __future__ import annotations

import datetime
import re
from decimal import Decimal

from hypothesis import given
from hypothesis import strategies as st

from bookings.rules.ladder import (
    Cancellation,
    CancelledBy,
    Charge,
    Rung,
    Wish,
    ladder_days,
    settle_cancellation,
)
from bookings.sheets.client_phrases import said_in
from bookings.sheets.client_words import DE, EN

DAY = datetime.date(2026, 6, 13)
ENGLISH = re.compile(r"\b(the|is|of|was|place|trip|nothing|whole|before|charged|kept)\b", re.I)
CHARGES = st.sampled_from(Charge)
SHARES = st.integers(0, 20).map(lambda n: Decimal(n) / 20)
RUNGS = st.lists(
    st.builds(
        lambda days, charge, share, again: (days, charge, share, again),
        st.integers(1, 90),
        CHARGES,
        SHARES,
        st.none() | CHARGES,
    ),
    max_size=4,
    unique_by=lambda row: row[0],
)


def ladder(rows: list[tuple[int, Charge, Decimal, Charge | None]]) -> tuple[Rung, ...]:
    """The rows and a rung from day 0, so that no day is left out."""
    last = (0, Charge.SHARE, Decimal(1), Charge.DEPOSIT)
    return tuple(
        Rung(from_days=days, charge=charge, share=share, if_refilled=again)
        for days, charge, share, again in (*rows, last)
    )


def in_german(sentence: str) -> None:
    said = said_in("de", sentence)
    assert not ENGLISH.search(said), f"{sentence!r} is said as {said!r}"
    assert said_in("en", sentence) == sentence


@given(rows=RUNGS)
def test_every_step_of_a_ladder(rows: list[tuple[int, Charge, Decimal, Charge | None]]) -> None:
    for step in ladder_days(DAY, ladder(rows), on=DAY - datetime.timedelta(days=400)):
        in_german(step.rule)


@given(
    rows=RUNGS,
    by=st.sampled_from(CancelledBy),
    wish=st.sampled_from(Wish),
    days=st.integers(-3, 100),
    refilled=st.booleans(),
    moved=st.booleans(),
)
def test_every_rule_of_a_cancellation(
    rows: list[tuple[int, Charge, Decimal, Charge | None]],
    by: CancelledBy,
    wish: Wish,
    days: int,
    refilled: bool,
    moved: bool,
) -> None:
    facts = Cancellation(
        price=Decimal(300),
        deposit=Decimal(90),
        paid=Decimal(90),
        currency="EUR",
        trip_on=DAY,
        cancelled_on=DAY - datetime.timedelta(days=days),
        by=by,
        wish=wish,
        refilled=refilled,
        moved_before=moved,
    )
    in_german(settle_cancellation(facts, ladder(rows)).rule)


def test_both_languages_have_every_word_with_the_same_fields() -> None:
    assert EN.keys() == DE.keys()
    fields = re.compile(r"\{(\w+)\}")
    for key, text in EN.items():
        assert sorted(fields.findall(text)) == sorted(fields.findall(DE[key])), key
