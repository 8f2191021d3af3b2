"""What has to be done to the gear, soonest first, and before which booked trip."""

from __future__ import annotations

import datetime
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from equipment.models.thing import thing_url
from equipment.queries.gear import DUE, FIT, GROUNDED, RETIRED, WATCH, GearState, gear_list
from equipment.queries.storage import stored
from equipment.rules.line import LineAdvice
from equipment.rules.packs import PackState
from equipment.rules.service import ServiceState

_ORDER = {GROUNDED: 0, DUE: 1, WATCH: 2, FIT: 3}


@dataclass(frozen=True, slots=True)
class DueItem:
    """One thing to be done. `rule` is the service rule, empty where it is no service.

    `used` of `limit` is where the count that decides stands, in `measure`; `due_on` the last day
    it may stay as it is; `before_trip_on` the booked trip before which it has to be done.
    """

    thing_id: int
    kind: str
    label: str
    what: str
    rule: str
    state: str
    measure: str
    used: float | None
    limit: float | None
    due_on: datetime.date | None
    before_trip_on: datetime.date | None
    reason: str

    @property
    def url(self) -> str:
        return thing_url(self.kind, self.thing_id)

    @property
    def key(self) -> str:
        """What names a service that is due, in a form."""
        return f"{self.thing_id}:{self.rule}"


@dataclass(frozen=True, slots=True)
class DueGroup:
    """What has to be done by the same time. `before` is the next booked trip of the first group,
    the trip after it of the second; None where no trip is booked."""

    later: bool
    before: datetime.date | None
    items: tuple[DueItem, ...]


def due_groups(
    items: Sequence[DueItem], *, booked: Sequence[datetime.date] = ()
) -> tuple[DueGroup, ...]:
    """What to do now or before the next booked trip, then what only a later trip will ask for.

    What is past its limit is passed by the next trip as well, so it never waits. Keeps the order of
    `items`; a group without items is left out.
    """
    next_on = min(booked, default=None)
    now = tuple(item for item in items if item.before_trip_on in {None, next_on})
    later = tuple(item for item in items if item.before_trip_on not in {None, next_on})
    first = min((item.before_trip_on for item in later if item.before_trip_on), default=None)
    groups = (DueGroup(False, next_on, now), DueGroup(True, first, later))
    return tuple(group for group in groups if group.items)


def due_list(*, on: datetime.date, booked: Sequence[datetime.date] = ()) -> list[DueItem]:
    """Everything that is due on a day or before a booked trip: defects, services, packs, line and
    storage. The number of queries is fixed."""
    states = gear_list(on=on, booked=booked)
    found = [item for state in states for item in _of_state(state, booked, on)]
    sheets = [state.pack for state in states if state.pack is not None]
    for row in stored(sheets=sheets, on=on, booked=booked):
        if row.act:
            found.append(
                DueItem(
                    thing_id=row.sheet.pack_id,
                    kind="pack",
                    label=row.sheet.label,
                    what="Storage charge",
                    rule="",
                    state=WATCH,
                    measure="days",
                    used=None,
                    limit=None,
                    due_on=row.act_by,
                    before_trip_on=None,
                    reason=row.reason,
                )
            )
    return sorted(found, key=_urgency)


def _urgency(item: DueItem) -> tuple[int, datetime.date, datetime.date, str, str]:
    return (
        _ORDER.get(item.state, 0),
        item.before_trip_on or datetime.date.max,
        item.due_on or datetime.date.max,
        item.kind,
        item.label,
    )


def _of_state(
    state: GearState, booked: Sequence[datetime.date], on: datetime.date
) -> Iterator[DueItem]:
    if state.state == RETIRED:
        return
    next_trip_on = min((day for day in booked if day >= on), default=None)
    if state.open_defects and state.pack is None:
        yield _item(state, "Defect", GROUNDED, state.reason, before=next_trip_on)
    for due in state.due:
        if due.state is ServiceState.FIT and due.before_trip_on is None:
            continue
        yield DueItem(
            thing_id=state.thing_id,
            kind=state.kind,
            label=state.label,
            what=due.rule,
            rule=due.rule,
            state=due.state.value,
            measure=due.measure,
            used=due.used,
            limit=due.limit,
            due_on=due.due_on,
            before_trip_on=due.before_trip_on,
            reason=due.reason,
        )
    yield from _of_pack(state, next_trip_on)
    yield from _of_line(state, next_trip_on)


def _of_pack(state: GearState, next_trip_on: datetime.date | None) -> Iterator[DueItem]:
    if state.pack is None:
        return
    for finding in state.pack.verdict.findings:
        word = GROUNDED if finding.state is PackState.RETIRED else finding.state.value
        what = "Retire it" if finding.state is PackState.RETIRED else finding.what.capitalize()
        yield _item(
            state, what, word, finding.reason, finding.value, finding.limit, before=next_trip_on
        )


def _of_line(state: GearState, next_trip_on: datetime.date | None) -> Iterator[DueItem]:
    reel = state.reel
    if reel is None or (reel.advice is not None and reel.advice.advice is LineAdvice.KEEP):
        return
    what = reel.advice.advice.value.replace("_", " ").capitalize() if reel.advice else "Spool"
    reason = reel.advice.reason if reel.advice else "No line on it."
    yield _item(state, what, DUE, reason, reel.left_m, reel.need_m, before=next_trip_on)


def _item(
    state: GearState,
    what: str,
    word: str,
    reason: str,
    used: float | None = None,
    limit: float | None = None,
    *,
    before: datetime.date | None,
) -> DueItem:
    return DueItem(
        thing_id=state.thing_id,
        kind=state.kind,
        label=state.label,
        what=what,
        rule="",
        state=word,
        measure="metres" if state.reel else "",
        used=used,
        limit=limit,
        due_on=None,
        before_trip_on=before,
        reason=reason,
    )
