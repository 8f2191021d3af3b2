"""The demo's craft, packs, reels and kit, and what they have been through."""

from __future__ import annotations

import datetime
import uuid
from dataclasses import dataclass
from decimal import Decimal
from random import Random
from typing import Any

from bookings.models import Trip
from equipment.actions.checks import record_check
from equipment.actions.lines import spool_line
from equipment.actions.service import record_service
from equipment.actions.things import add_thing
from equipment.actions.use import NewUse, record_uses
from equipment.models import Craft, FlightPack, Reel, ServiceRule, Thing
from guiding.days.models import DayPlan

_CHECK_EVERY_DAYS = 45
_NAMES = uuid.UUID("5a0d5a1c-0000-4000-8000-000000000026")  # keys of the log, the same each time


@dataclass(frozen=True, slots=True)
class Gear:
    craft: dict[str, Craft]
    packs: list[FlightPack]
    reels: list[Reel]
    kit: list[Thing]


def make_gear(season: dict[str, Any], *, today: datetime.date, dice: Random) -> Gear:
    def ago(days: int) -> datetime.date:
        return today - datetime.timedelta(days=days)

    craft = {
        entry["label"]: add_thing(
            kind="craft",
            bought_on=ago(720),
            price=Decimal(entry["price"]),
            salvage=Decimal(entry["salvage"]),
            **{k: v for k, v in entry.items() if k not in {"price", "salvage"}},
        )
        for entry in season["craft"]
    }
    packs = [_pack(entry, craft, ago) for entry in season["packs"]]
    reels = [_reel(entry, ago, _noon(today)) for entry in season["reels"]]
    printed = season["printed_dates_ahead"]
    kit = [
        add_thing(
            kind=kind,
            label=label,
            bought_on=ago(800),
            expires_on=ago(-printed[label]) if label in printed else None,
        )
        for kind, label in season["kit"]
    ]
    return Gear(craft, packs, reels, kit)  # type: ignore[arg-type]


def _pack(entry: dict[str, Any], craft: dict[str, Any], ago: Any) -> FlightPack:
    pack = add_thing(
        kind="pack",
        label=entry["label"],
        fits=craft[entry["fits"]],
        cells_series=entry["cells"],
        rated_ah=entry["rated_ah"],
        bought_on=ago(entry["age_days"]),
        price=Decimal(190),
        cycles_before=entry["cycles_before"],
    )
    assert isinstance(pack, FlightPack)  # noqa: S101  what the kind promises
    return pack


def _noon(day: datetime.date) -> datetime.datetime:
    return datetime.datetime.combine(day, datetime.time(12), datetime.UTC)


def _reel(entry: dict[str, Any], ago: Any, now: datetime.datetime) -> Reel:
    reel = add_thing(
        kind="reel",
        label=entry["label"],
        bought_on=ago(800),
        rated_m=800,
        rated_mm=0.30,
        price=Decimal(260),
    )
    assert isinstance(reel, Reel)  # noqa: S101  what the kind promises
    spool_line(
        reel=reel,
        spooled_m=entry["spooled_m"],
        diameter_mm=entry["diameter_mm"],
        strength_kgf=entry["strength_kgf"],
        colour=entry["colour"],
        price_per_m=Decimal("0.09"),
        on=ago(300),
        now=now,
    )
    return reel


def log_use(season: dict[str, Any], *, gear: Gear, today: datetime.date, dice: Random) -> None:
    """The log of the trips fished, and a check of every pack now and then."""
    fished = DayPlan.objects.filter(trip__status=Trip.Status.FISHED).select_related("trip", "craft")
    uses = [
        use
        for plan in fished.prefetch_related("packs", "reels").order_by("session_start")
        for use in _uses_of(plan, season, dice)
    ]
    record_uses(uses=uses, now=_noon(today))
    for entry, pack in zip(season["packs"], gear.packs, strict=True):
        _check(entry, pack, today, dice)
    _serve(season, today)


def _serve(season: dict[str, Any], today: datetime.date) -> None:
    """Every rule was kept not long ago, but for what the season's file leaves due."""
    now = datetime.datetime.combine(today, datetime.time(20), datetime.UTC)
    left = {(label, rule) for label, rule in season["left_due"]}
    rules = list(ServiceRule.objects.filter(thing=None, in_force=True))
    for thing in Thing.objects.order_by("pk"):
        for rule in rules:
            if rule.kind != thing.kind or (thing.label, rule.name) in left:
                continue
            if rule.by_printed_date:
                continue  # nothing is done about a date before it comes near
            days = max((rule.every_days or 40) // 8, 1)
            record_service(
                thing=thing,
                rule_name=rule.name,
                done_at=now - datetime.timedelta(days=days),
                done_by="Orla Tern",
                now=now,
            )


def _uses_of(plan: DayPlan, season: dict[str, Any], dice: Random) -> list[NewUse]:
    uid, at = plan.trip.uid, plan.session_end

    def use(thing: Thing, kind: str, amount: float = 1.0) -> NewUse:
        key = uuid.uuid5(_NAMES, f"{uid} {thing.pk} {kind}")
        return NewUse(thing.pk, kind, at, float(amount), uid, key=key)

    found = []
    if plan.craft:
        # Flights and cycles come from the drops that were logged one by one.
        found += [use(thing, "trip") for thing in (plan.craft, *plan.packs.all())]
    metres = {entry["label"]: entry["metres_a_trip"] for entry in season["reels"]}
    for reel in plan.reels.all():
        found += [
            use(reel, "trip"),
            use(reel, "cut_back_m", metres[reel.label] + dice.randrange(-2, 3)),
            use(reel, "fish", dice.randrange(1, 6)),
        ]
        if dice.random() < 0.12:
            found.append(use(reel, "lost_m", dice.randrange(10, 45)))
    return found


def _check(entry: dict[str, Any], pack: FlightPack, today: datetime.date, dice: Random) -> None:
    """Checks since the pack was bought, fading as the season's file says."""
    at = datetime.datetime.combine(pack.bought_on or today, datetime.time(19), datetime.UTC)
    end = datetime.datetime.combine(today, datetime.time(), datetime.UTC)
    ages = range(20, (end - at).days, _CHECK_EVERY_DAYS)
    logged = sum(pack.uses.filter(kind="cycle").values_list("amount", flat=True))
    total = entry["cycles_before"] + logged
    for number, days in enumerate(ages, 1):
        last = number == len(ages)
        cycles = round(total * days / max((end - at).days, 1))
        fade = entry["fade"] * cycles + dice.uniform(-0.004, 0.004)
        spread = entry.get("spread_mv", 12) / 1000 if last else 0.01
        cell = 3.82 + dice.uniform(-0.01, 0.01)
        aged = 1 + (entry["resistance"] - 1) * days / max((end - at).days, 1)
        record_check(
            pack=pack,
            at=at + datetime.timedelta(days=days),
            cycles=cycles,
            cells_v=[round(cell - (spread if n == 2 else 0), 3) for n in range(entry["cells"])],
            cells_mohm=[
                round(6.0 * aged + dice.uniform(-0.1, 0.1), 2) for _ in range(entry["cells"])
            ],
            capacity_ah=round(entry["rated_ah"] * (1 - fade), 3),
            temperature_c=round(18 + dice.uniform(-4, 6), 1),
            swollen=bool(last and entry.get("swollen")),
            now=end,
        )
