"""The limits a pack is judged by: defaults, each with its mark, all open to the guide."""

from __future__ import annotations

from dataclasses import dataclass, field, fields
from typing import Any

from equipment.rules.marks import Mark


def _limit(default: float, unit: str, mark: Mark, source: str = "") -> Any:
    return field(default=default, metadata={"unit": unit, "mark": mark, "source": source})


@dataclass(frozen=True, slots=True)
class PackLimits:
    """Limits of a flight pack; every default carries a mark, see `pack_limits_table`."""

    retire_health_share: float = _limit(
        0.80, "share", Mark.PUBLISHED, "a cell maker's convention for cycle life"
    )
    watch_health_share: float = _limit(0.85, "share", Mark.HOUSE)
    retire_resistance_factor: float = _limit(2.0, "x own new value", Mark.COMMON)
    retire_sibling_factor: float = _limit(1.5, "x its siblings", Mark.COMMON)
    watch_resistance_factor: float = _limit(1.5, "x own new value", Mark.HOUSE)
    ground_spread_mv: float = _limit(100.0, "mV", Mark.PUBLISHED, "an aircraft maker's list")
    watch_spread_mv: float = _limit(50.0, "mV", Mark.COMMON)
    ground_cell_v: float = _limit(3.3, "V", Mark.PUBLISHED, "an aircraft maker's list")
    ground_cell_liion_v: float = _limit(3.0, "V", Mark.PUBLISHED, "PX4 user guide, no load")
    overcharge_v: float = _limit(0.05, "V above full", Mark.HOUSE)
    watch_temperature_c: float = _limit(60.0, "°C", Mark.PUBLISHED, "a hobby aircraft wiki")
    watch_cycles: float = _limit(150, "cycles", Mark.HOUSE)
    retire_cycles: float = _limit(300, "cycles", Mark.HOUSE)
    watch_age_months: float = _limit(24, "months", Mark.HOUSE)
    retire_age_months: float = _limit(30, "months", Mark.HOUSE)
    watch_check_days: float = _limit(45, "days", Mark.HOUSE)
    stored_full_days: float = _limit(7, "days", Mark.PUBLISHED, "a drone course text")
    pair_health_share: float = _limit(0.05, "share apart", Mark.HOUSE)
    pair_resistance_factor: float = _limit(1.25, "x the other", Mark.HOUSE)


@dataclass(frozen=True, slots=True)
class LimitRow:
    """One limit as set, its default, its unit and where the default comes from."""

    name: str
    value: float
    default: float
    unit: str
    mark: Mark
    source: str


def pack_limits_table(*, limits: PackLimits | None = None) -> tuple[LimitRow, ...]:
    """Every pack limit with its value, default, unit and mark, in the order of the set-up page."""
    defaults = PackLimits()
    chosen = limits or defaults
    check_pack_limits(limits=chosen)
    return tuple(
        LimitRow(
            one.name,
            getattr(chosen, one.name),
            getattr(defaults, one.name),
            one.metadata["unit"],
            one.metadata["mark"],
            one.metadata["source"],
        )
        for one in fields(PackLimits)
    )


def check_pack_limits(*, limits: PackLimits) -> None:
    """Whether a set of limits makes sense; raises ValueError naming the pair that does not."""
    for one in fields(PackLimits):
        value = getattr(limits, one.name)
        if not 0 < value < float("inf"):
            raise ValueError(f"The limit {one.name} is {value}: give a number above zero.")
    for sooner, later in (
        (limits.retire_health_share, limits.watch_health_share),
        (limits.watch_spread_mv, limits.ground_spread_mv),
        (limits.watch_resistance_factor, limits.retire_resistance_factor),
        (limits.watch_cycles, limits.retire_cycles),
        (limits.watch_age_months, limits.retire_age_months),
    ):
        if sooner > later:
            raise ValueError(
                f"A watch limit must come before the limit it warns of: {sooner:g} and {later:g} "
                "are the wrong way round."
            )
