"""Message texts with named fields, when they go out, and how long to wait after a refusal."""

from __future__ import annotations

import datetime
import string
from collections.abc import Mapping
from dataclasses import dataclass
from zoneinfo import ZoneInfo

_HOUR = datetime.timedelta(hours=1)
_FIRST_WAIT = datetime.timedelta(minutes=1)
_LONGEST_WAIT = datetime.timedelta(hours=4)

# What a text of every kind may name, and what only some may.
_EVERYWHERE = {
    "first_name": "given name of the one who reads it",
    "business": "name of the business",
    "guide": "name of the guide",
    "guide_phone": "telephone of the guide",
}
_OF_A_TRIP = {
    "trip": "name of the offer",
    "day": "day of the trip",
    "meet_time": "when we meet",
    "meet_place": "where we meet",
    "back_time": "back at the latest",
    "spot": "name of the spot",
    "heads": "how many of the party come",
    "decision_time": "when go, hold or call off is told",
}
# Only in what goes to the one who booked: whoever has it sees what the party owes.
_OWN_PAGE = {"page": "link to the party's own page"}
_ANSWER = {"answer": "link to say yes or no"}
_OF_KIND: dict[str, dict[str, str]] = {
    "price_note": {
        "offer": "name of the offer",
        "total": "the price",
        "deposit": "the deposit",
        "valid_until": "until when the price stands",
        "yours": "with what the day becomes theirs",
        **_OWN_PAGE,
    },
    "confirmation": _OF_A_TRIP | _ANSWER,
    "change": _OF_A_TRIP | _ANSWER | {"moved": "what has moved, new and old, one line each"},
    "taken_off": _OF_A_TRIP,
    "forms": _OF_A_TRIP
    | {"missing": "what is missing, one line each", "sign": "links to sign, one line each"},
    "copy": {
        "trip": _OF_A_TRIP["trip"],
        "day": _OF_A_TRIP["day"],
        "signed_for": "for whom it was signed",
        "copies": "what was signed, one line each",
    },
    "balance": _OF_A_TRIP
    | {
        "due": "what is still owed",
        "due_day": "by when",
        "yours": "that the day becomes theirs with it, where it does",
    }
    | _OWN_PAGE,
    "reminder": {
        "trip": _OF_A_TRIP["trip"],
        "day": _OF_A_TRIP["day"],
        "due": "what is overdue",
        "since": "since when",
        "invoices": "the invoices it stands on, one line each",
        "pay": "account, payment reference and amount, one line each",
        **_OWN_PAGE,
    },
    "go": _OF_A_TRIP | {"reason": "why, in your words"},
    "hold": _OF_A_TRIP | {"reason": "why, in your words"},
    "call_off": _OF_A_TRIP | {"reason": "why, in your words", "choices": "what they may choose"},
    "trip_sheet": _OF_A_TRIP,
    "overdue": _OF_A_TRIP | {"overdue_time": "when the party counts as overdue"},
    "thanks": _OF_A_TRIP | {"catch": "what was caught, one line each"},
    "statement": {"balance": "what is owed or held"} | _OWN_PAGE,
    "test": {},
}
KINDS = tuple(_OF_KIND)
# What concerns safety or was asked for this minute goes out at any hour.
URGENT = frozenset({"go", "hold", "call_off", "overdue", "test", "price_note", "copy"})


def message_fields(kind: str) -> dict[str, str]:
    """The fields that a text of this kind may name, each with what it stands for."""
    if kind not in _OF_KIND:
        raise ValueError(f"{kind!r} is no kind of message; known are {', '.join(KINDS)}.")
    return _EVERYWHERE | _OF_KIND[kind]


def text_problems(kind: str, text: str) -> tuple[str, ...]:
    """What is wrong with a text, a sentence each; empty when it can be used.

    A field is a plain name in curly brackets; doubled brackets stand for themselves.
    """
    known = message_fields(kind)
    problems = []
    try:
        parts = list(string.Formatter().parse(text))
    except ValueError:
        return ("A curly bracket is not closed or not opened; write {first_name}, or {{ for {.",)
    for _before, name, form, conversion in parts:
        if name is None:
            continue
        if form or conversion:
            problems.append(f"{{{name}}} stands alone; nothing may follow the name inside.")
        elif name not in known:
            problems.append(
                f"{{{name}}} is not known in this message; known are {', '.join(sorted(known))}."
            )
    return tuple(dict.fromkeys(problems))


def filled_text(kind: str, text: str, values: Mapping[str, str]) -> str:
    """A text with its fields filled in; ValueError for a field that is unknown or has no value.

    Values are put in as they are: a bracket in a name is not a field.
    """
    problems = text_problems(kind, text)
    if problems:
        raise ValueError(problems[0])
    out = []
    for before, name, _form, _conversion in string.Formatter().parse(text):
        out.append(before)
        if name is None:
            continue
        if name not in values:
            raise ValueError(f"There is nothing to put in for {{{name}}} yet.")
        out.append(values[name])
    return "".join(out)


def one_line(text: str) -> str:
    """A subject line: no breaks, no control characters, 200 letters at most."""
    flat = " ".join("".join(c if c.isprintable() else " " for c in text).split())
    return flat if len(flat) <= 200 else flat[:199].rstrip() + "…"


@dataclass(frozen=True, slots=True)
class Quiet:
    """The hours of a local day in which nobody is disturbed; from equal to until: none."""

    start: datetime.time
    end: datetime.time
    zone: str


def after_quiet(at: datetime.datetime, quiet: Quiet) -> datetime.datetime:
    """The first moment from `at` on that is not in the quiet hours."""
    local = at.astimezone(ZoneInfo(quiet.zone))
    clock = local.time()
    start, end = quiet.start, quiet.end
    if start == end:
        return at
    over_midnight = start > end
    inside = clock >= start or clock < end if over_midnight else start <= clock < end
    if not inside:
        return at
    day = local.date()
    if over_midnight and clock >= start:
        day += datetime.timedelta(days=1)
    return datetime.datetime.combine(day, end, ZoneInfo(quiet.zone)).astimezone(datetime.UTC)


def before_event(
    event: datetime.datetime, hours: int, quiet: Quiet, not_before: datetime.datetime
) -> datetime.datetime:
    """When to write so many hours before an event: not in quiet hours, never in the past.

    A moment in the quiet hours is told the morning after, unless the event would be over: then
    at the end of the day before.
    """
    wanted = max(event - hours * _HOUR, not_before)
    later = after_quiet(wanted, quiet)
    return later if later < event else wanted


def next_reminder(
    due_at: datetime.datetime,
    told: int,
    last_told: datetime.datetime | None,
    *,
    hours: int,
    again_hours: int,
    most: int,
) -> datetime.datetime | None:
    """When to ask for late money next: so many hours after `due_at`, then so many after the last.

    `due_at` is when the sum was due, which is never before its bill was written.
    `told` counts what was asked for this sum, `last_told` is the last time anything of the same
    account was. None once it was asked `most` times. Source: house rule.
    """
    if told >= most:
        return None
    first = due_at + hours * _HOUR
    return first if last_told is None else max(first, last_told + again_hours * _HOUR)


def wait_after(attempts: int) -> datetime.timedelta:
    """How long to wait after so many failed attempts: 1, 2, 4 minutes … 4 hours at most."""
    if attempts < 1:
        raise ValueError("There is nothing to wait for before the first attempt.")
    doublings: int = 2 ** min(attempts - 1, 12)
    return min(_FIRST_WAIT * doublings, _LONGEST_WAIT)
