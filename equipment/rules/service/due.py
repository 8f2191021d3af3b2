"""When a thing is due for service: by count, days or printed date, whichever comes first."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, timedelta
from enum import StrEnum

from equipment.rules.marks import Mark


class ServiceState(StrEnum):
    """Whether a thing may be used, and whether it wants service."""

    FIT = "fit"
    DUE = "due"
    GROUNDED = "grounded"
    RETIRED = "retired"


@dataclass(frozen=True, slots=True)
class UseCounts:
    """Use of a thing, since its last service or on one trip."""

    trips: float = 0
    flights: float = 0
    cycles: float = 0
    hours: float = 0
    metres: float = 0
    km: float = 0


@dataclass(frozen=True, slots=True)
class ServiceRule:
    """A service to be done; of the limits that are set, the one reached first decides.

    `by_printed_date` uses the date printed on the thing. `lead_share` of a count and `lead_days`
    of a date are the warning before the limit. A rule that grounds stops the thing once overdue.
    """

    name: str
    every_days: int | None = None
    every_trips: float | None = None
    every_flights: float | None = None
    every_cycles: float | None = None
    every_hours: float | None = None
    every_metres: float | None = None
    every_km: float | None = None
    by_printed_date: bool = False
    lead_days: int = 14
    lead_share: float = 0.1
    grounds: bool = True
    mark: Mark = Mark.HOUSE


@dataclass(frozen=True, slots=True)
class ServiceFacts:
    """What is known of a thing for one rule: when it was last served, and its use since then."""

    counted_from: date
    since: UseCounts
    printed_on: date | None = None


@dataclass(frozen=True, slots=True)
class BookedTrip:
    """A trip already booked and the use it is expected to bring."""

    on: date
    expected: UseCounts = UseCounts(trips=1)


@dataclass(frozen=True, slots=True)
class ServiceDue:
    """Where one rule stands on a day.

    `measure` is the limit that decides, `used` and `limit` its numbers (days for dates). `due_on`
    is the last day it may still be used by the calendar; `before_trip_on` the booked trip before
    which the service has to be done, None where no booked trip reaches the limit.
    """

    rule: str
    state: ServiceState
    measure: str
    used: float
    limit: float
    due_on: date | None
    before_trip_on: date | None
    reason: str


@dataclass(frozen=True, slots=True)
class ThingVerdict:
    """The state of a thing over all its rules and defects, and the reason that decides."""

    state: ServiceState
    reason: str
    due: tuple[ServiceDue, ...]


_COUNTS = ("trips", "flights", "cycles", "hours", "metres", "km")
_ORDER = {
    ServiceState.RETIRED: 0,
    ServiceState.GROUNDED: 1,
    ServiceState.DUE: 2,
    ServiceState.FIT: 3,
}


def service_due(
    *,
    rule: ServiceRule,
    facts: ServiceFacts,
    on: date,
    booked: tuple[BookedTrip, ...] = (),
) -> ServiceDue:
    """Where one service rule stands on a day, with the limit that decides and the trip it meets.

    A count is overdue above its limit, a date the day after it. Booked trips from `on` onwards are
    taken in order of date with the use they are expected to bring: the service is due before the
    first one that would pass a limit. Raises ValueError for a rule without any limit, a limit that
    is not positive, negative use, or a rule by printed date for a thing that has none.
    """
    _check_rule(rule)
    _check_counts(facts.since)
    reached = [*_by_counts(rule, facts, on, booked), *_by_dates(rule, facts, on, booked)]
    return min((_due(rule, one) for one in reached), key=_urgency)


def service_state(
    *,
    rules: tuple[ServiceRule, ...],
    facts: tuple[ServiceFacts, ...],
    on: date,
    booked: tuple[BookedTrip, ...] = (),
    open_defects: tuple[str, ...] = (),
    retired_on: date | None = None,
) -> ThingVerdict:
    """The state of a thing on a day: retired, grounded, due or fit, with the reason.

    `facts` holds one entry a rule, in the same order. An open defect grounds until it is signed
    off. Raises ValueError where the two do not match, or as `service_due` does.
    """
    if len(rules) != len(facts):
        raise ValueError(
            f"{len(rules)} service rules but {len(facts)} facts: give one entry of facts a rule."
        )
    due = sorted(
        (
            service_due(rule=rule, facts=known, on=on, booked=booked)
            for rule, known in zip(rules, facts, strict=True)
        ),
        key=_urgency,
    )
    if retired_on is not None and retired_on <= on:
        return ThingVerdict(
            ServiceState.RETIRED, f"Retired on {_day(retired_on)} {retired_on.year}.", tuple(due)
        )
    if open_defects:
        more = f" and {len(open_defects) - 1} more" if len(open_defects) > 1 else ""
        return ThingVerdict(
            ServiceState.GROUNDED,
            f"Defect not signed off: {open_defects[0]}{more}.",
            tuple(due),
        )
    if due and due[0].state is not ServiceState.FIT:
        return ThingVerdict(due[0].state, due[0].reason, tuple(due))
    return ThingVerdict(ServiceState.FIT, "No service due, no defect open.", tuple(due))


@dataclass(frozen=True, slots=True)
class _Reached:
    """How far one limit of a rule has been used up."""

    measure: str
    used: float
    limit: float
    due_on: date | None
    before_trip_on: date | None
    over: bool
    warn: bool
    words: str


def _by_counts(
    rule: ServiceRule, facts: ServiceFacts, on: date, booked: tuple[BookedTrip, ...]
) -> Iterator[_Reached]:
    for measure in _COUNTS:
        limit: float | None = getattr(rule, f"every_{measure}")
        if limit is None:
            continue
        used: float = getattr(facts.since, measure)
        left = limit - used
        yield _Reached(
            measure=measure,
            used=used,
            limit=limit,
            due_on=None,
            before_trip_on=_trip_past_count(measure, left, on, booked),
            over=left < 0,
            warn=left <= limit * rule.lead_share,
            words=f"{rule.name}: {used:g} of {limit:g} {_named(measure, limit)}",
        )


def _by_dates(
    rule: ServiceRule, facts: ServiceFacts, on: date, booked: tuple[BookedTrip, ...]
) -> Iterator[_Reached]:
    dates: list[tuple[str, date]] = []
    if rule.every_days is not None:
        dates.append(("days", facts.counted_from + timedelta(days=rule.every_days)))
    if rule.by_printed_date:
        if facts.printed_on is None:
            raise ValueError(f"{rule.name}: the thing has no printed date; enter it first.")
        dates.append(("printed date", facts.printed_on))
    for measure, due_on in dates:
        yield _Reached(
            measure=measure,
            used=float((on - facts.counted_from).days),
            limit=float((due_on - facts.counted_from).days),
            due_on=due_on,
            before_trip_on=min(
                (t.on for t in booked if t.on >= on and t.on > due_on), default=None
            ),
            over=on > due_on,
            warn=(due_on - on).days <= rule.lead_days,
            words=f"{rule.name}: good to {_day(due_on)} {due_on.year}",
        )


def _due(rule: ServiceRule, reached: _Reached) -> ServiceDue:
    words = reached.words
    state = ServiceState.DUE if reached.over or reached.warn else ServiceState.FIT
    if reached.over:
        words = f"{words}, overdue"
        state = ServiceState.GROUNDED if rule.grounds else ServiceState.DUE
    if reached.before_trip_on is not None:
        words = f"{words}; due before the trip of {_day(reached.before_trip_on)}"
    return ServiceDue(
        rule=rule.name,
        state=state,
        measure=reached.measure,
        used=reached.used,
        limit=reached.limit,
        due_on=reached.due_on,
        before_trip_on=reached.before_trip_on,
        reason=f"{words}.",
    )


def _trip_past_count(
    measure: str, left: float, on: date, booked: tuple[BookedTrip, ...]
) -> date | None:
    """The first booked trip that would take the count past its limit."""
    for trip in sorted((t for t in booked if t.on >= on), key=lambda t: t.on):
        left -= getattr(trip.expected, measure)
        if left < 0:
            return trip.on
    return None


def _urgency(due: ServiceDue) -> tuple[int, date, date, float]:
    """Worst state first, then the nearest trip, the nearest date, the least share left."""
    share_left = 1 - due.used / due.limit if due.limit else 0.0
    return (
        _ORDER[due.state],
        due.before_trip_on or date.max,
        due.due_on or date.max,
        share_left,
    )


def _check_rule(rule: ServiceRule) -> None:
    limits = [getattr(rule, f"every_{measure}") for measure in ("days", *_COUNTS)]
    if not rule.by_printed_date and all(limit is None for limit in limits):
        raise ValueError(f"{rule.name}: the rule sets no limit; give days, a count or a date.")
    for limit in limits:
        if limit is not None and not 0 < limit < math.inf:
            raise ValueError(f"{rule.name}: a limit of {limit} is no limit; give one above zero.")
    if rule.lead_days < 0 or not 0 <= rule.lead_share < 1:
        raise ValueError(f"{rule.name}: the warning lead must be 0 days or more, and below 100 %.")


def _check_counts(counts: UseCounts) -> None:
    for measure in _COUNTS:
        value = getattr(counts, measure)
        if not 0 <= value < math.inf:
            raise ValueError(f"Use of {value} {measure} since the last service: give 0 or more.")


def _day(day: date) -> str:
    return f"{day.day} {day:%B}"


def _named(measure: str, count: float) -> str:
    return measure.removesuffix("s") if count == 1 else measure
