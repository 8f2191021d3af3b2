"""Packs put away: what storage costs them, and when to bring them to storage charge."""

from __future__ import annotations

import math
from bisect import bisect_right
from dataclasses import dataclass
from datetime import date, timedelta
from enum import StrEnum

from equipment.rules.packs.electrics import Chemistry, cell_volts
from equipment.rules.packs.health import check_cell_volts
from equipment.rules.packs.limits import PackLimits

# Yearly loss by storage temperature (°C, loss), from a widely reproduced table of recoverable
# capacity. The row of a full cell at 60 °C covers three months only.
_LOSS_AT_40_PERCENT = ((0.0, 0.02), (25.0, 0.04), (40.0, 0.15))
_LOSS_FULL = ((0.0, 0.06), (25.0, 0.20))
_LOSS_FULL_HOT = ((25.0, 0.20 / 4), (60.0, 0.40))  # in three months

_FULL_DOWN_V = 0.15  # PX4 takes a LiPo cell as full from 4.05 V, that is 0.15 V below its limit
_EMPTY_V = {Chemistry.LIPO: 3.6, Chemistry.LIHV: 3.6, Chemistry.LI_ION: 3.0}


class ChargeLevel(StrEnum):
    """Where a resting pack stands."""

    FULL = "full"
    STORAGE = "storage"
    EMPTY = "empty"


@dataclass(frozen=True, slots=True)
class StorageAdvice:
    """Whether to act on a pack that lies, since when it has lain so, and by which day to act."""

    level: ChargeLevel
    act: bool
    days: int
    act_by: date | None
    storage_v: float
    reason: str


def storage_recoverable_share(*, temperature_c: float, charge_share: float, months: float) -> float:
    """Share of capacity recovered after lying at a temperature and state of charge.

    Between the rows of a widely reproduced table: 40 % to full charge, 0 to 40 °C at 40 % and 0 to
    25 °C full for up to 12 months, full up to 60 °C for up to 3 months; linear in temperature,
    charge and time, which the table does not prove. Raises ValueError outside.
    """
    if not 0.4 <= charge_share <= 1 or not 0 <= months <= 12:
        raise ValueError("The storage table covers 40 to 100 % charge and 0 to 12 months.")
    if temperature_c > 25 and charge_share == 1 and months <= 3:
        return 1 - _between(_LOSS_FULL_HOT, temperature_c) * months / 3
    full_loss = 0.0
    if charge_share > 0.4:
        full_loss = _between(_LOSS_FULL, temperature_c)
    part_full = (charge_share - 0.4) / 0.6
    part_loss = _between(_LOSS_AT_40_PERCENT, temperature_c)
    return 1 - (part_loss * (1 - part_full) + full_loss * part_full) * months / 12


def storage_advice(
    *,
    chemistry: Chemistry,
    cells_v: tuple[float, ...],
    since: date,
    on: date,
    next_trip_on: date | None = None,
    limits: PackLimits | None = None,
) -> StorageAdvice:
    """Whether a resting pack should be brought to storage charge, and by which day.

    Full: mean cell within 0.15 V of its charge limit; empty: lowest cell under 3.6 V (Li-ion
    3.0 V). Published: no longer than about a week full or empty. A trip within the limit spares a
    full pack. `since` is the day it was last charged or flown. Raises ValueError for readings that
    cannot be right or a day before `since`.
    """
    check_cell_volts(cells_v=cells_v)
    if on < since:
        raise ValueError(
            f"The pack lies since {since:%-d %B %Y}, after {on:%-d %B %Y}: ask about a later day."
        )
    days_limit = int((limits or PackLimits()).stored_full_days)
    storage_v = cell_volts(chemistry=chemistry).storage_v
    level = _level(chemistry, cells_v)
    days = (on - since).days
    if level is ChargeLevel.STORAGE:
        return StorageAdvice(
            level, False, days, None, storage_v, "At rest, neither full nor empty."
        )
    act_by = since + timedelta(days=days_limit)
    if level is ChargeLevel.FULL and next_trip_on is not None and on <= next_trip_on <= act_by:
        return StorageAdvice(
            level,
            False,
            days,
            None,
            storage_v,
            f"Full for the trip in {(next_trip_on - on).days} d.",
        )
    return StorageAdvice(
        level,
        on > act_by,
        days,
        act_by,
        storage_v,
        f"Lies {level.value} for {days} day{'s' * (days != 1)}, limit {days_limit}: bring it to "
        f"{storage_v:.2f} V a cell.",
    )


def _level(chemistry: Chemistry, cells_v: tuple[float, ...]) -> ChargeLevel:
    if math.fsum(cells_v) / len(cells_v) >= cell_volts(chemistry=chemistry).full_v - _FULL_DOWN_V:
        return ChargeLevel.FULL
    if min(cells_v) < _EMPTY_V[chemistry]:
        return ChargeLevel.EMPTY
    return ChargeLevel.STORAGE


def _between(rows: tuple[tuple[float, float], ...], at: float) -> float:
    if not rows[0][0] <= at <= rows[-1][0]:
        raise ValueError(
            f"The storage table covers {rows[0][0]:g} to {rows[-1][0]:g} °C at that charge, "
            f"not {at:g} °C."
        )
    upper = min(bisect_right([row[0] for row in rows], at), len(rows) - 1)
    (low_at, low), (high_at, high) = rows[upper - 1], rows[upper]
    return low + (high - low) * (at - low_at) / (high_at - low_at)
