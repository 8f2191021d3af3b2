"""A day's prep: what to buy, tie, thaw and charge, and what to load, each with its tick."""

from __future__ import annotations

import datetime
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from zoneinfo import ZoneInfo

from equipment.models import FlightPack
from guiding.days.models import Charger, PlannedRig, PrepMark
from guiding.days.queries.flights import chargers
from guiding.days.queries.prep import marks_of
from guiding.days.queries.rigs import losses, tackle
from guiding.days.rules.prep import GROUP_WORDS, PrepTimes, prep_times
from guiding.days.sheets.drop_rods import STAND_IN_LINE, alike
from guiding.days.sheets.drops import DropsOfDay
from guiding.days.sheets.flying import charger_of
from guiding.days.sheets.load import load_entries
from guiding.flying.charge_plan import (
    NEVER_ALONE,
    ChargePlan,
    NamedCharger,
    PackToCharge,
    charge_plan,
)
from guiding.flying.craft import Pack
from guiding.flying.rig_lists import (
    RigPlan,
    ShoppingLine,
    Stock,
    TieLine,
    shopping_list,
    tie_list,
    trip_bait_kg,
)
from guiding.flying.strength import as_sold, strength_n_from_kgf
from guiding.papers.formats import clock

# A pack at storage charge is this full; a full one counts for so long. House defaults.
_STORED_SHARE = 0.4
_STAYS_FULL = datetime.timedelta(days=4)


@dataclass(frozen=True, slots=True)
class PrepItem:
    """One line to tick. `key` stays the same for the same thing; `warning` is said beside it."""

    key: str
    text: str
    count: int = 1
    group: str = ""
    warning: str = ""
    who: str = ""
    done_at: datetime.datetime | None = None
    back_at: datetime.datetime | None = None


@dataclass(frozen=True, slots=True)
class PrepSection:
    """One list of a day: by when, what, and what must be known about it."""

    name: str
    title: str
    by: datetime.datetime | None
    items: tuple[PrepItem, ...]
    notes: tuple[str, ...] = ()
    comes_back: bool = False

    @property
    def open(self) -> int:
        """Lines still to tick."""
        return sum(1 for item in self.items if item.done_at is None)


@dataclass(frozen=True, slots=True)
class DayPrep:
    """Everything that gets a day ready, in the order of the deadlines."""

    drops: DropsOfDay
    times: PrepTimes
    sections: tuple[PrepSection, ...]
    tie: tuple[TieLine, ...]
    shopping: tuple[ShoppingLine, ...]
    bait_kg: float
    charge: ChargePlan

    @property
    def open(self) -> int:
        return sum(section.open for section in self.sections)


def day_prep(
    *,
    drops: DropsOfDay,
    zone: str,
    locale: str = "en_IE",
    heads: int,
    minors: int,
    at: datetime.datetime | None = None,
) -> DayPrep:
    """The lists of a planned day for a party of so many heads; `at` is now, where it counts.

    Clock times within a line are read in `zone`, as `locale` reads its clocks.
    """
    plan = drops.plan
    times = prep_times(leave_at=plan.trip.starts_at, zone=zone)
    rigs, refused = _rig_plans(drops)
    defaults = drops.defaults
    tie = tie_list(rigs, defaults)
    shopping = shopping_list(rigs, _stock(), defaults)
    bait_kg = trip_bait_kg(rigs, defaults)
    charge = _charge(drops, times, at)
    marks = marks_of(plan=plan)
    bait = _bait_words(drops)
    sections = (
        PrepSection("buy", "Buy", times.bought_by, _marked(_to_buy(shopping), marks)),
        PrepSection(
            "tie", "Tie", times.tied_by, _marked(_to_tie(drops, tie, rigs), marks), refused
        ),
        PrepSection("thaw", "Thaw", times.thaw_from, _marked(_to_thaw(bait_kg, bait), marks)),
        PrepSection(
            "charge",
            "Charge",
            times.charged_by,
            _marked(_to_charge(drops, charge, ZoneInfo(zone), locale), marks),
            _charge_notes(drops, charge),
        ),
        PrepSection(
            "load",
            "Load",
            times.loaded_by,
            _marked(
                [
                    PrepItem(
                        entry.key, entry.text, entry.count, GROUP_WORDS[entry.group], entry.warning
                    )
                    for entry in load_entries(
                        drops=drops, heads=heads, minors=minors, tie=tie, bait_kg=bait_kg, bait=bait
                    )
                ],
                marks,
            ),
            comes_back=True,
        ),
    )
    return DayPrep(drops, times, sections, tie, shopping, bait_kg, charge)


def _marked(items: Iterable[PrepItem], marks: dict[str, PrepMark]) -> tuple[PrepItem, ...]:
    """Each line with its tick, and with who takes it."""
    found = []
    for item in items:
        mark = marks.get(item.key)
        if mark is None:
            found.append(item)
            continue
        found.append(
            PrepItem(
                item.key, item.text, item.count, item.group, item.warning,
                mark.who, mark.done_at or item.done_at, mark.back_at,
            )
        )  # fmt: skip
    return tuple(found)


# ---------------------------------------------------------------- rigs and bait


def _rig_plans(drops: DropsOfDay) -> tuple[tuple[RigPlan, ...], tuple[str, ...]]:
    """Each recipe with its rods and its part of the drops; and those that must not be tied.

    A recipe on several lines is held against the weakest of them.
    """
    by_rig: dict[int, list[tuple[PlannedRig, float, int]]] = {}
    for numbers, rod in alike(drops.rods):
        if rod.planned is not None:
            line_n = (rod.line or STAND_IN_LINE).strength_n
            if rod.line is None:
                line_n = strength_n_from_kgf(rod.planned.rig.main_strength_kgf)
            by_rig.setdefault(rod.planned.rig_id, []).append((rod.planned, line_n, len(numbers)))
    rods = [sum(count for _one, _line, count in kinds) for kinds in by_rig.values()]
    shares = _shared_out(drops.plan.drops, rods)
    lost = losses(rigs=by_rig.keys())
    plans, refused = [], []
    for (pk, kinds), count, share in zip(by_rig.items(), rods, shares, strict=True):
        planned = kinds[0][0]
        made = next(rod.rig for rod in drops.rods if rod.planned and rod.planned.rig_id == pk)
        plan = RigPlan(
            rig=made,
            main_strength_n=min(line_n for _one, line_n, _count in kinds),
            rods=count,
            drops=share,
            tied=planned.rig.ready,
            loss_share=lost[pk].share if pk in lost else None,
        )
        try:
            tie_list((plan,), drops.defaults)
        except ValueError as refusal:
            refused.append(str(refusal))
        else:
            plans.append(plan)
    if not by_rig:
        refused.append("No rig is chosen for this day: choose them with its drops.")
    return tuple(plans), tuple(refused)


def _shared_out(drops: int, rods: Sequence[int]) -> list[int]:
    """Drops by rods, whole and adding up: the rest goes to the first rigs."""
    total = sum(rods)
    if not total:
        return []
    parts = [drops * count // total for count in rods]
    for index in range(drops - sum(parts)):
        parts[index % len(parts)] += 1
    return parts


def _stock() -> tuple[Stock, ...]:
    return tuple(Stock(row.name, row.quantity, row.sold_in) for row in tackle())


def _amount(amount: float, unit: str) -> str:
    """Pieces whole, metres to the decimetre."""
    return f"{amount:.0f}" if unit == "pieces" else f"{amount:.1f} m"


def _to_buy(shopping: Sequence[ShoppingLine]) -> list[PrepItem]:
    return [
        PrepItem(
            f"buy:{line.name}",
            f"{line.name}: {_amount(line.buy, line.unit)} (needed {_amount(line.need, line.unit)}, "
            f"in the box {_amount(line.have, line.unit)})",
        )
        for line in shopping
        if line.buy > 0
    ]


def _to_tie(drops: DropsOfDay, tie: Sequence[TieLine], plans: Sequence[RigPlan]) -> list[PrepItem]:
    items = [
        PrepItem(
            f"tie:{line.rig}",
            f"{line.rig}: {line.to_tie} to tie ({line.ready} wanted, {plan.tied} lie ready)",
        )
        for line, plan in zip(tie, plans, strict=True)
    ]
    chosen = [rod.planned.weak_link_kgf for rod in drops.rods if rod.planned]
    links = dict.fromkeys(kgf for kgf in chosen if kgf is not None and not drops.cast_only)
    items += [
        PrepItem(f"link:{kgf:g}", f"Weak links of {as_sold(strength_n_from_kgf(kgf))}, one a drop")
        for kgf in links
    ]
    return items


def _bait_words(drops: DropsOfDay) -> str:
    names = dict.fromkeys(rod.planned.rig.bait for rod in drops.rods if rod.planned)
    return ", ".join(name for name in names if name) or "bait"


def _to_thaw(bait_kg: float, bait: str) -> list[PrepItem]:
    return [PrepItem("thaw", f"{bait_kg:.1f} kg of {bait}")] if bait_kg else []


# ---------------------------------------------------------------- charging


def _charge(drops: DropsOfDay, times: PrepTimes, at: datetime.datetime | None) -> ChargePlan:
    """The packs that fly, in the chargers at home, full in time and no sooner."""
    if drops.cast_only:
        return ChargePlan((), None, None, ())
    rows = {row.label: row for row in drops.plan.packs.all()}
    packs = tuple(
        PackToCharge(
            line.label,
            Pack(
                line.rated_wh,
                line.health_share or 1.0,
                charged_share=1.0 if _is_full(rows[line.label], drops.plan) else _STORED_SHARE,
            ),
        )
        for line in drops.packs
        if line.fit and line.label in rows
    )
    owned = tuple(
        NamedCharger(row.label, charger_of(row)) for row in chargers(places=[Charger.Place.HOME])
    )
    return charge_plan(packs, owned, times.charged_by, not_before=at, defaults=drops.defaults)


def _is_full(pack: FlightPack, plan: object) -> bool:
    """Charged full a few days before the day at most, and not put to storage since."""
    full_at, stored_at = pack.charged_full_at, pack.stored_at
    leave_at = plan.trip.starts_at  # type: ignore[attr-defined]
    if full_at is None or (stored_at is not None and stored_at > full_at):
        return False
    return bool(leave_at - _STAYS_FULL <= full_at <= leave_at)


def _to_charge(
    drops: DropsOfDay, charge: ChargePlan, zone: ZoneInfo, locale: str
) -> list[PrepItem]:
    if drops.cast_only:
        return []
    turns = {turn.pack: turn for turn in charge.turns}
    rows = {row.label: row for row in drops.plan.packs.all()}
    items = []
    for line in drops.packs:
        key = f"charge:{line.label}"
        if not line.fit:
            items.append(PrepItem(key, f"{line.label} stays at home", warning=line.reason))
        elif line.label in turns:
            turn = turns[line.label]
            begin, full = (clock(at, zone, locale) for at in (turn.begin_at, turn.full_at))
            items.append(
                PrepItem(
                    key,
                    f"{line.label} in {turn.charger}, slot {turn.slot}: begin {begin}, full {full}",
                )
            )
        elif line.label in rows and _is_full(rows[line.label], drops.plan):
            full_at = rows[line.label].charged_full_at
            items.append(PrepItem(key, f"{line.label} is full already", done_at=full_at))
        else:
            items.append(PrepItem(key, f"{line.label}: no charger for it"))
    return items


def _charge_notes(drops: DropsOfDay, charge: ChargePlan) -> tuple[str, ...]:
    if drops.cast_only:
        return (f"{drops.cast_only} Craft and packs stay at home.",)
    notes = list(charge.problems)
    if drops.pack_plan is not None:
        notes.append(drops.pack_plan.sentence)
    if charge.turns:
        notes.append(NEVER_ALONE)
    return tuple(notes)
