"""Whether a pack may fly: fit, watch, grounded or retired, and the number that decides."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from enum import StrEnum
from statistics import median

from equipment.rules.packs.electrics import Chemistry, cell_volts
from equipment.rules.packs.health import (
    capacity_health_share,
    cell_spread_mv,
    check_cell_volts,
)
from equipment.rules.packs.limits import PackLimits, check_pack_limits

_DAYS_A_MONTH = 365.2425 / 12
_SIBLINGS_FOR_A_RATIO = 2  # with one sibling nobody knows which of the two is the odd one


class PackState(StrEnum):
    """What may be done with a pack."""

    FIT = "fit"
    WATCH = "watch"
    GROUNDED = "grounded"
    RETIRED = "retired"


class PackEvent(StrEnum):
    """What puts a pack into quarantine at once."""

    CRASH = "crash"
    IMMERSION = "immersion"
    SWELLING = "swelling"
    CRACKED_WRAP = "cracked_wrap"


@dataclass(frozen=True, slots=True)
class PackFacts:
    """What is known of a pack on a day. Empty tuples and None: not measured.

    `cells_new_mohm`: the first reading of each cell. `siblings_mohm`: the mean resistance per cell
    of each pack of the same kind. `open_events`: events nobody has signed off.
    """

    chemistry: Chemistry
    cells_in_series: int
    rated_ah: float
    cycles: int
    bought_on: date | None = None
    checked_on: date | None = None
    capacity_ah: float | None = None
    cells_v: tuple[float, ...] = ()
    cells_mohm: tuple[float, ...] = ()
    cells_new_mohm: tuple[float, ...] = ()
    siblings_mohm: tuple[float, ...] = ()
    temperature_c: float | None = None
    open_events: tuple[PackEvent, ...] = ()
    open_defects: tuple[str, ...] = ()
    retired_on: date | None = None


@dataclass(frozen=True, slots=True)
class PackFinding:
    """One thing found: the state it asks for, the number and the limit it passed."""

    state: PackState
    what: str
    value: float | None
    limit: float | None
    reason: str


@dataclass(frozen=True, slots=True)
class PackVerdict:
    """State of a pack, the sentence that decides, its health, and everything found, worst first."""

    state: PackState
    reason: str
    health_share: float | None
    findings: tuple[PackFinding, ...]


_ORDER = {state: rank for rank, state in enumerate(reversed(PackState))}

_EVENT_WORDS = {
    PackEvent.CRASH: "crash",
    PackEvent.IMMERSION: "under water",
    PackEvent.SWELLING: "swollen",
    PackEvent.CRACKED_WRAP: "cracked wrap",
}


def pack_state(*, facts: PackFacts, on: date, limits: PackLimits | None = None) -> PackVerdict:
    """State of a flight pack on a day, with the reason that names the deciding number and limit.

    Crash, immersion, swelling or a cracked wrap ground it at once, until signed off. Capacity,
    resistance, cycles and age retire it; spread and a low or overcharged cell ground it; less than
    that is watched. Limits: `PackLimits`, defaults marked there; the maker's manual goes first.
    Raises ValueError for readings that cannot be right (5 V in a cell, a check before purchase).
    """
    chosen = limits or PackLimits()
    check_pack_limits(limits=chosen)
    _check_facts(facts, on)
    findings = sorted(
        (
            *_by_people(facts, on),
            *_by_cells(facts, chosen),
            *_by_capacity(facts, chosen),
            *_by_resistance(facts, chosen),
            *_by_life(facts, on, chosen),
            *_by_check(facts, on, chosen),
        ),
        key=lambda finding: _ORDER[finding.state],
    )
    health_share = (
        capacity_health_share(capacity_ah=facts.capacity_ah, rated_ah=facts.rated_ah)
        if facts.capacity_ah is not None
        else None
    )
    if not findings:
        return PackVerdict(PackState.FIT, _fit_words(facts, health_share), health_share, ())
    return PackVerdict(findings[0].state, findings[0].reason, health_share, tuple(findings))


def _by_people(facts: PackFacts, on: date) -> Iterator[PackFinding]:
    if facts.retired_on is not None and facts.retired_on <= on:
        day = f"{facts.retired_on.day} {facts.retired_on:%B %Y}"
        yield PackFinding(PackState.RETIRED, "retired", None, None, f"Retired on {day}.")
    for event in facts.open_events:
        yield PackFinding(
            PackState.GROUNDED,
            event.value,
            None,
            None,
            f"Quarantine: {_EVENT_WORDS[event]}, not signed off. Do not charge it.",
        )
    for defect in facts.open_defects:
        yield PackFinding(
            PackState.GROUNDED, "defect", None, None, f"Defect not signed off: {defect}."
        )


def _by_cells(facts: PackFacts, limits: PackLimits) -> Iterator[PackFinding]:
    if facts.cells_v:
        yield from _by_spread(facts, limits)
        yield from _by_volts(facts, limits)
    if facts.temperature_c is not None and facts.temperature_c > limits.watch_temperature_c:
        yield PackFinding(
            PackState.WATCH,
            "temperature",
            facts.temperature_c,
            limits.watch_temperature_c,
            f"{facts.temperature_c:.0f} °C, limit {limits.watch_temperature_c:.0f} °C.",
        )


def _by_volts(facts: PackFacts, limits: PackLimits) -> Iterator[PackFinding]:
    low_v, high_v = min(facts.cells_v), max(facts.cells_v)
    li_ion = facts.chemistry is Chemistry.LI_ION
    low_limit_v = limits.ground_cell_liion_v if li_ion else limits.ground_cell_v
    full_v = cell_volts(chemistry=facts.chemistry).full_v
    if low_v < low_limit_v:
        number = facts.cells_v.index(low_v) + 1
        yield PackFinding(
            PackState.GROUNDED,
            "low cell",
            low_v,
            low_limit_v,
            f"Cell {number} rests at {low_v:.2f} V, limit {low_limit_v:.2f} V.",
        )
    if high_v > full_v + limits.overcharge_v:
        number = facts.cells_v.index(high_v) + 1
        yield PackFinding(
            PackState.GROUNDED,
            "overcharged cell",
            high_v,
            full_v,
            f"Cell {number} reads {high_v:.2f} V, full is {full_v:.2f} V.",
        )


def _by_spread(facts: PackFacts, limits: PackLimits) -> Iterator[PackFinding]:
    spread_mv = cell_spread_mv(cells_v=facts.cells_v)
    if spread_mv < limits.watch_spread_mv:
        return
    grounds = spread_mv > limits.ground_spread_mv
    limit_mv = limits.ground_spread_mv if grounds else limits.watch_spread_mv
    yield PackFinding(
        PackState.GROUNDED if grounds else PackState.WATCH,
        "spread",
        spread_mv,
        limit_mv,
        f"{spread_mv:.0f} mV between the cells at rest, limit {limit_mv:.0f} mV.",
    )


def _by_capacity(facts: PackFacts, limits: PackLimits) -> Iterator[PackFinding]:
    if facts.capacity_ah is None:
        return
    share = capacity_health_share(capacity_ah=facts.capacity_ah, rated_ah=facts.rated_ah)
    if share < limits.retire_health_share:
        state, limit = PackState.RETIRED, limits.retire_health_share
    elif share < limits.watch_health_share:
        state, limit = PackState.WATCH, limits.watch_health_share
    else:
        return
    yield PackFinding(
        state,
        "capacity",
        share,
        limit,
        f"{facts.capacity_ah:.2f} Ah is {share:.1%} of rated, limit {limit:.0%}.",
    )


def _by_resistance(facts: PackFacts, limits: PackLimits) -> Iterator[PackFinding]:
    if facts.cells_mohm and facts.cells_new_mohm:
        grown = [now / new for now, new in zip(facts.cells_mohm, facts.cells_new_mohm, strict=True)]
        factor = max(grown)
        if factor >= limits.watch_resistance_factor:
            retires = factor >= limits.retire_resistance_factor
            limit = limits.retire_resistance_factor if retires else limits.watch_resistance_factor
            yield PackFinding(
                PackState.RETIRED if retires else PackState.WATCH,
                "resistance",
                factor,
                limit,
                f"Resistance of cell {grown.index(factor) + 1} is {factor:.2f} times its new "
                f"value, limit {limit:g}.",
            )
    if facts.cells_mohm and len(facts.siblings_mohm) >= _SIBLINGS_FOR_A_RATIO:
        ratio = median(facts.cells_mohm) / median(facts.siblings_mohm)
        if ratio >= limits.retire_sibling_factor:
            yield PackFinding(
                PackState.RETIRED,
                "resistance to siblings",
                ratio,
                limits.retire_sibling_factor,
                f"Resistance is {ratio:.2f} times that of its siblings, "
                f"limit {limits.retire_sibling_factor:g}.",
            )


def _by_life(facts: PackFacts, on: date, limits: PackLimits) -> Iterator[PackFinding]:
    ages: list[tuple[str, float, float, float]] = [
        ("cycles", facts.cycles, limits.watch_cycles, limits.retire_cycles)
    ]
    if facts.bought_on is not None:
        months = (on - facts.bought_on).days / _DAYS_A_MONTH
        ages.append(("months", months, limits.watch_age_months, limits.retire_age_months))
    for unit, value, watch, retire in ages:
        if value >= watch:
            limit = retire if value >= retire else watch
            yield PackFinding(
                PackState.RETIRED if value >= retire else PackState.WATCH,
                unit,
                value,
                limit,
                f"{int(value)} {unit}, limit {limit:g} {unit}.",
            )


def _by_check(facts: PackFacts, on: date, limits: PackLimits) -> Iterator[PackFinding]:
    if facts.checked_on is None:
        yield PackFinding(PackState.WATCH, "check", None, None, "No check on record.")
        return
    days = (on - facts.checked_on).days
    if days > limits.watch_check_days:
        yield PackFinding(
            PackState.WATCH,
            "check",
            days,
            limits.watch_check_days,
            f"Last check {days} day{'s' * (days != 1)} ago, limit {limits.watch_check_days:g}.",
        )


def _fit_words(facts: PackFacts, health_share: float | None) -> str:
    known = [f"{facts.cycles} cycle{'s' * (facts.cycles != 1)}"]
    if health_share is not None:
        known.insert(0, f"{health_share:.1%} of rated")
    if facts.cells_v:
        known.append(f"{cell_spread_mv(cells_v=facts.cells_v):.0f} mV spread")
    return f"Within every limit: {', '.join(known)}."


def _check_facts(facts: PackFacts, on: date) -> None:
    if facts.cycles < 0:
        raise ValueError(f"{facts.cycles} cycles: give zero or more.")
    if facts.cells_v:
        check_cell_volts(cells_v=facts.cells_v)
    for name in ("cells_v", "cells_mohm", "cells_new_mohm"):
        readings: tuple[float, ...] = getattr(facts, name)
        if readings and len(readings) != facts.cells_in_series:
            raise ValueError(
                f"{len(readings)} readings in {name} for {facts.cells_in_series} cells in series: "
                "enter one a cell."
            )
    for name in ("cells_mohm", "cells_new_mohm", "siblings_mohm"):
        for reading in getattr(facts, name):
            if not 0 < reading < float("inf"):
                raise ValueError(f"{name} holds {reading}: give milliohms above zero.")
    if facts.checked_on and facts.bought_on and facts.checked_on < facts.bought_on:
        raise ValueError(
            f"The check of {facts.checked_on:%-d %B %Y} is before the purchase on "
            f"{facts.bought_on:%-d %B %Y}: "
            "correct one of the dates."
        )
    for name, day in (("checked_on", facts.checked_on), ("bought_on", facts.bought_on)):
        if day is not None and day > on:
            raise ValueError(
                f"{name} is {day:%-d %B %Y}, after {on:%-d %B %Y}: ask about a later day."
            )
