"""What a thing has been through: its use log replayed into one state.

The log is only ever added to. A wrong entry is taken out by a later entry that names it, and the
state is a sum over what stands, so it depends neither on the order in which entries arrive nor on
how often one is delivered.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum


class UseKind(StrEnum):
    """What an entry of the use log counts."""

    TRIP = "trip"
    FLIGHT = "flight"
    CYCLE = "cycle"
    DROP = "drop"
    CUT_BACK_M = "cut_back_m"
    LOST_M = "lost_m"
    FISH = "fish"
    HOURS = "hours"
    KM = "km"
    LINE_REVERSED = "line_reversed"
    IMMERSION = "immersion"
    CRASH = "crash"
    SWELLING = "swelling"
    REVERSAL = "reversal"


COUNTED_KINDS = frozenset(
    {
        UseKind.TRIP,
        UseKind.FLIGHT,
        UseKind.CYCLE,
        UseKind.DROP,
        UseKind.FISH,
        UseKind.LINE_REVERSED,
        UseKind.IMMERSION,
        UseKind.CRASH,
        UseKind.SWELLING,
    }
)
EVENT_KINDS = frozenset({UseKind.IMMERSION, UseKind.CRASH, UseKind.SWELLING})


@dataclass(frozen=True, slots=True)
class UseEntry:
    """One line of the use log. `key` is unique in the log; `reverses` names the entry taken out."""

    key: str
    kind: UseKind
    amount: float
    at: datetime
    trip: str = ""
    reverses: str = ""


@dataclass(frozen=True, slots=True)
class UseEvent:
    """A hard event that still stands."""

    kind: UseKind
    at: datetime
    key: str


@dataclass(frozen=True, slots=True)
class UseState:
    """Sums of what stands in the log, its hard events, and what does not fit together."""

    trips: int
    flights: int
    cycles: int
    drops: int
    fish: int
    hours: float
    km: float
    cut_back_m: float
    lost_m: float
    line_reversed: int
    events: tuple[UseEvent, ...]
    first_at: datetime | None
    last_at: datetime | None
    entries_standing: int
    problems: tuple[str, ...]


def replay_use(
    *,
    entries: tuple[UseEntry, ...],
    since: datetime | None = None,
    until: datetime | None = None,
) -> UseState:
    """The state a use log adds up to, over the entries with `since` <= at < `until`.

    A reversal takes out the entry it names, whatever its own time (it corrects the record); the
    reversal of a reversal puts the entry back. An entry delivered twice counts once. A reversal
    whose target is not in the log is listed under problems. Trips are distinct trip names plus
    the unnamed trip entries. Raises ValueError for one key with two contents, reversals that name
    each other, or an entry that `check_use_entry` refuses.
    """
    by_key = _by_key(entries)
    problems = tuple(
        f"Entry {entry.key} reverses {entry.reverses}, which is not in the log."
        for entry in sorted(by_key.values(), key=lambda entry: entry.key)
        if entry.reverses and entry.reverses not in by_key
    )
    standing = [
        entry
        for entry in _standing(by_key)
        if (since is None or entry.at >= since) and (until is None or entry.at < until)
    ]
    return _sum_up(standing, problems)


def check_use_entry(*, entry: UseEntry) -> None:
    """Whether one entry may stand in a use log at all; raises ValueError with the reason if not.

    Amounts are finite and above zero; trips, flights, cycles, drops, fish and events are whole;
    times carry a zone; a reversal names another entry, and only a reversal does.
    """
    if not entry.key:
        raise ValueError("A use entry has no key: give every entry its own.")
    if not (math.isfinite(entry.amount) and entry.amount > 0):
        raise ValueError(
            f"Entry {entry.key}: the amount is {entry.amount}; give a number above zero, and take "
            "a wrong entry out with a reversal."
        )
    if entry.kind in COUNTED_KINDS and entry.amount != int(entry.amount):
        raise ValueError(
            f"Entry {entry.key}: {entry.amount} is not a whole number of {entry.kind.value}."
        )
    if entry.at.tzinfo is None:
        raise ValueError(f"Entry {entry.key}: the time has no zone; give it in UTC.")
    if (entry.kind is UseKind.REVERSAL) != bool(entry.reverses):
        raise ValueError(
            f"Entry {entry.key}: a reversal names the entry it takes out, and nothing else does."
        )
    if entry.reverses == entry.key:
        raise ValueError(f"Entry {entry.key} reverses itself: name the wrong entry.")


def _by_key(entries: Iterable[UseEntry]) -> dict[str, UseEntry]:
    by_key: dict[str, UseEntry] = {}
    for entry in entries:
        check_use_entry(entry=entry)
        known = by_key.setdefault(entry.key, entry)
        if known != entry:
            raise ValueError(
                f"Entry {entry.key} is in the log with two contents: give the new one its own key."
            )
    return by_key


def _standing(by_key: dict[str, UseEntry]) -> list[UseEntry]:
    """Entries that no standing reversal takes out.

    Taken from the reversals nothing reverses downwards, so a long chain needs no deep recursion.
    """
    reversed_by: dict[str, list[str]] = {}
    for entry in by_key.values():
        if entry.reverses in by_key:
            reversed_by.setdefault(entry.reverses, []).append(entry.key)
    open_reversers = {key: len(reversed_by.get(key, ())) for key in by_key}
    ready = [key for key, count in open_reversers.items() if count == 0]
    stands: dict[str, bool] = {}
    while ready:
        key = ready.pop()
        stands[key] = not any(stands[reverser] for reverser in reversed_by.get(key, ()))
        target = by_key[key].reverses
        if target in by_key:
            open_reversers[target] -= 1
            if open_reversers[target] == 0:
                ready.append(target)
    if len(stands) < len(by_key):
        names = ", ".join(sorted(set(by_key) - set(stands)))
        raise ValueError(f"Entries {names} reverse each other in a ring: take one of them out.")
    return [
        entry for key, entry in by_key.items() if stands[key] and entry.kind is not UseKind.REVERSAL
    ]


def _sum_up(standing: list[UseEntry], problems: tuple[str, ...]) -> UseState:
    amounts: dict[UseKind, list[float]] = {kind: [] for kind in UseKind}
    for entry in standing:
        amounts[entry.kind].append(entry.amount)

    def count(kind: UseKind) -> int:
        return int(math.fsum(amounts[kind]))

    def total(kind: UseKind) -> float:
        # fsum rounds once, so the sum does not depend on the order of the entries.
        return math.fsum(amounts[kind])

    named_trips = {entry.trip for entry in standing if entry.trip}
    unnamed_trips = math.fsum(
        entry.amount for entry in standing if entry.kind is UseKind.TRIP and not entry.trip
    )
    times = [entry.at for entry in standing]
    events = tuple(
        sorted(
            (UseEvent(e.kind, e.at, e.key) for e in standing if e.kind in EVENT_KINDS),
            key=lambda event: (event.at, event.key),
        )
    )
    return UseState(
        trips=len(named_trips) + int(unnamed_trips),
        flights=count(UseKind.FLIGHT),
        cycles=count(UseKind.CYCLE),
        drops=count(UseKind.DROP),
        fish=count(UseKind.FISH),
        hours=total(UseKind.HOURS),
        km=total(UseKind.KM),
        cut_back_m=total(UseKind.CUT_BACK_M),
        lost_m=total(UseKind.LOST_M),
        line_reversed=count(UseKind.LINE_REVERSED),
        events=events,
        first_at=min(times, default=None),
        last_at=max(times, default=None),
        entries_standing=len(standing),
        problems=problems,
    )
