"""Charging before the day: which pack in which charger, begun when, full by when."""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import datetime, timedelta

from guiding.flying.craft import Pack
from guiding.flying.defaults import HOUSE, FlyingDefaults
from guiding.flying.pack_plan import Charger, charge_power_w

NEVER_ALONE = "Never leave packs alone while they charge."


@dataclass(frozen=True, slots=True)
class PackToCharge:
    """A pack by its label; its `charged_share` says how full it is before charging."""

    label: str
    pack: Pack


@dataclass(frozen=True, slots=True)
class NamedCharger:
    """A charger by its label."""

    label: str
    charger: Charger


@dataclass(frozen=True, slots=True)
class ChargeTurn:
    """One pack on one slot of one charger; slots are counted from 1."""

    pack: str
    charger: str
    slot: int
    begin_at: datetime
    full_at: datetime
    energy_wh: float


@dataclass(frozen=True, slots=True)
class ChargePlan:
    """The turns in the order in which they begin, and what stands in the way."""

    turns: tuple[ChargeTurn, ...]
    begin_at: datetime | None
    full_at: datetime | None
    problems: tuple[str, ...]


@dataclass(slots=True)
class _Slot:
    label: str
    number: int
    charger: Charger
    queue: list[tuple[PackToCharge, timedelta]]

    @property
    def busy(self) -> timedelta:
        return sum((lasts for _pack, lasts in self.queue), timedelta())


def charge_plan(
    packs: tuple[PackToCharge, ...],
    chargers: tuple[NamedCharger, ...],
    full_by: datetime,
    not_before: datetime | None = None,
    defaults: FlyingDefaults = HOUSE,
) -> ChargePlan:
    """Turns of packs on chargers, as late as they can be and still be full in time.

    full_by, not_before: aware instants; not_before is when charging can begin at the earliest.
    The longest charge goes first, each to the slot that would have it full soonest. Packs are not
    charged days ahead, because a full pack ages in storage. Minutes are whole, rounded up. What
    cannot be done in time comes back in problems with the number of minutes; a pack too cold or too
    hot is left out with its reason. ValueError for an instant without a zone.
    """
    for at in (full_by, not_before):
        if at is not None and at.tzinfo is None:
            raise ValueError(f"The time {at:%d %B %Y %H:%M} has no zone: give it in UTC.")
    slots = [
        _Slot(one.label, number, one.charger, [])
        for one in chargers
        for number in range(1, one.charger.slots + 1)
    ]
    problems: list[str] = []
    due = [one for one in packs if one.pack.charged_share < 1]
    if due and not slots:
        return ChargePlan((), None, None, ("No charger is entered: enter one with its power.",))
    for one in sorted(due, key=lambda one: (-_missing_wh(one.pack), one.label)):
        try:
            _queue(one, slots, defaults)
        except ValueError as refusal:
            problems.append(f"{one.label}: {refusal}")
    begin = min((full_by - slot.busy for slot in slots if slot.queue), default=None)
    late = timedelta()
    if begin is not None and not_before is not None and begin < not_before:
        late = not_before - begin
    turns = [turn for slot in slots for turn in _turns(slot, full_by, not_before)]
    turns.sort(key=lambda turn: (turn.begin_at, turn.charger, turn.slot))
    if late:
        minutes = -(-late // timedelta(minutes=1))
        problems.append(
            f"The packs would be full {minutes} min too late: take a stronger or a second charger, "
            "or leave packs at home."
        )
    return ChargePlan(
        turns=tuple(turns),
        begin_at=min((turn.begin_at for turn in turns), default=None),
        full_at=max((turn.full_at for turn in turns), default=None),
        problems=tuple(problems),
    )


def _missing_wh(pack: Pack) -> float:
    return pack.rated_wh * pack.health_share * (1 - pack.charged_share)


def _queue(one: PackToCharge, slots: list[_Slot], defaults: FlyingDefaults) -> None:
    missing_wh = _missing_wh(one.pack)
    lasts = [
        timedelta(
            minutes=math.ceil(missing_wh / charge_power_w(one.pack, slot.charger, defaults) * 60)
        )
        for slot in slots
    ]
    best = min(range(len(slots)), key=lambda n: (slots[n].busy + lasts[n], n))
    slots[best].queue.append((one, lasts[best]))


def _turns(slot: _Slot, full_by: datetime, not_before: datetime | None) -> list[ChargeTurn]:
    """The queue of a slot back to back, its end at the time wanted, or later if it must be."""
    at = full_by - slot.busy
    if not_before is not None:
        at = max(at, not_before)
    found = []
    for one, lasts in slot.queue:
        energy_wh = _missing_wh(one.pack)
        turn = ChargeTurn(one.label, slot.label, slot.number, at, at + lasts, energy_wh)
        found.append(turn)
        at += lasts
    return found
