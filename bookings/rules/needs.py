"""What a case needs next, from its facts: the one thing to do, why, since when, and the money."""

from __future__ import annotations

import datetime
from collections.abc import Callable
from dataclasses import dataclass
from decimal import Decimal

_NOTHING = Decimal(0)
_DAY = datetime.timedelta(days=1)
# Up to here somebody waits for the guide; what ranks behind it waits for the client or the day.
LAST_OF_OURS = 10


@dataclass(frozen=True, slots=True)
class CaseFacts:
    """What stands in the books of a case. Sums of money are 0 or more, in its currency.

    `quote` is the state of the newest price note or empty, `booking` that of the newest booking
    that is not cancelled. `overdue` is what is late, `due_on` the day of the next part, `over` what
    was paid beyond the price, `choice_since` when a day was called off of which the client has not
    yet chosen what becomes of the money, `theirs`.
    """

    asked_at: datetime.datetime
    heads: int
    named: int = 0
    ask_since: datetime.datetime | None = None
    quote: str = ""
    quote_at: datetime.datetime | None = None
    booking: str = ""
    trip_at: datetime.datetime | None = None
    hold_until: datetime.datetime | None = None
    waits_since: datetime.datetime | None = None
    left: Decimal = _NOTHING
    overdue: Decimal = _NOTHING
    due_on: datetime.date | None = None
    over: Decimal = _NOTHING
    choice_since: datetime.datetime | None = None
    theirs: Decimal = _NOTHING


@dataclass(frozen=True, slots=True)
class Need:
    """The next thing: `urgency` sorts, small first; `money` is what the words are about, if any."""

    words: str
    urgency: int
    since: datetime.datetime
    money: Decimal = _NOTHING


def next_need(facts: CaseFacts, *, at: datetime.datetime, on: datetime.date) -> Need:
    """The first of the house's needs that the facts call for, at the moment `at`, the day `on`.

    What the client waits for comes first, then money that is late, then what the client owes us in
    words and names, last what only waits for its day. Source: house rule.
    """
    for need in _NEEDS:
        found = need(facts, at, on)
        if found is not None:
            return found
    return Need("all set", 50, facts.quote_at or facts.asked_at)


def _asks(facts: CaseFacts, at: datetime.datetime, on: datetime.date) -> Need | None:
    if facts.ask_since is None:
        return None
    return Need("asks for a change", 0, facts.ask_since)


def _price(facts: CaseFacts, at: datetime.datetime, on: datetime.date) -> Need | None:
    """From the first question to a day at a price; a confirmed booking is past all this."""
    if facts.booking == "confirmed":
        return None
    since = facts.quote_at or facts.asked_at
    if facts.choice_since or facts.over:
        return None  # a called-off day comes first
    if facts.waits_since and not facts.booking:
        return None
    if not facts.quote:
        return Need("wants a date and a price", 1, facts.asked_at)
    if facts.quote == "accepted":
        return Need("price agreed, wants a date", 2, since)
    if facts.quote == "draft":
        return Need("price note not sent yet", 5, since)
    if facts.quote == "lapsed":
        return Need("price note lapsed: ask or close", 10, since)
    if facts.hold_until and facts.hold_until - at < _DAY:
        return Need("has our price, the hold ends within a day", 15, since)
    return None


def _give_back(facts: CaseFacts, at: datetime.datetime, on: datetime.date) -> Need | None:
    if facts.choice_since:
        words = "has not chosen: money back or another day"
        return Need(words, 12, facts.choice_since, facts.theirs)
    if facts.over:
        return Need("has paid more than is owed", 8, facts.quote_at or facts.asked_at, facts.over)
    return None


def _late(facts: CaseFacts, at: datetime.datetime, on: datetime.date) -> Need | None:
    if not facts.overdue:
        return None
    since = facts.due_on or on
    midnight = datetime.datetime.combine(since, datetime.time(), at.tzinfo)
    return Need("owes money that is late", 11, midnight, facts.overdue)


def _names(facts: CaseFacts, at: datetime.datetime, on: datetime.date) -> Need | None:
    missing = facts.heads - facts.named
    if facts.booking != "confirmed" or missing <= 0 or _is_over(facts, at):
        return None
    word = "name" if missing == 1 else "names"
    return Need(f"{missing} {word} missing", 20, facts.quote_at or facts.asked_at)


def _soon_due(facts: CaseFacts, at: datetime.datetime, on: datetime.date) -> Need | None:
    if facts.due_on is None or not facts.left or facts.due_on - on > 7 * _DAY:
        return None
    return Need("balance due soon", 25, facts.quote_at or facts.asked_at, facts.left)


def _waits(facts: CaseFacts, at: datetime.datetime, on: datetime.date) -> Need | None:
    if facts.waits_since is None or facts.booking == "confirmed":
        return None
    return Need("waits for a place", 28, facts.waits_since)


def _no_answer(facts: CaseFacts, at: datetime.datetime, on: datetime.date) -> Need | None:
    if facts.booking == "confirmed" or facts.quote != "sent":
        return None
    return Need("has our price, no answer yet", 30, facts.quote_at or facts.asked_at)


def _fished(facts: CaseFacts, at: datetime.datetime, on: datetime.date) -> Need | None:
    if facts.booking != "confirmed" or not _is_over(facts, at):
        return None
    return Need("fished: settle and close", 40, facts.trip_at or at, facts.left)


def _paid_later(facts: CaseFacts, at: datetime.datetime, on: datetime.date) -> Need | None:
    if not facts.left:
        return None
    return Need("all set but for the balance", 45, facts.quote_at or facts.asked_at, facts.left)


def _is_over(facts: CaseFacts, at: datetime.datetime) -> bool:
    return facts.trip_at is not None and facts.trip_at < at


_NEEDS: tuple[Callable[[CaseFacts, datetime.datetime, datetime.date], Need | None], ...] = (
    _asks,
    _price,
    _give_back,
    _late,
    _names,
    _soon_due,
    _waits,
    _no_answer,
    _fished,
    _paid_later,
)
