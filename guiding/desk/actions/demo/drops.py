"""The demo's drops: permissions, rigs, chargers, what is loaded, and every drop flown."""

from __future__ import annotations

import datetime
import uuid
from collections.abc import Iterator
from decimal import Decimal
from random import Random
from typing import Any

from bookings.models import Trip
from equipment.models import FlightPack, Thing
from equipment.queries.packs import rated_wh
from guiding.days.actions.flights import NewDrop, record_drops, reverse_drop
from guiding.days.actions.permits import save_permit
from guiding.days.actions.plans import change_plan
from guiding.days.actions.prep import (
    ChosenRig,
    copy_house_load,
    mark_prep,
    plan_drops,
    save_charger,
)
from guiding.days.actions.rigs import save_rig, save_tackle, usual_parts
from guiding.days.models import DayPlan, Drop, Rig, Spot
from guiding.days.queries.flights import UNMEASURED_HEALTH
from guiding.days.sheets.flying import craft_of
from guiding.flying.craft import Craft, Pack
from guiding.flying.flight import DropFlight
from guiding.flying.sortie import full_pack_wh, sortie

_NAMES = uuid.UUID("5a0d5a1c-0000-4000-8000-000000000026")  # keys of the log, the same each time
_LEAST_PERCENT = 32
_PACK_C = 14.0


def make_permits(season: dict[str, Any], *, spots: dict[str, Spot], today: datetime.date) -> None:
    """The permissions to drop: two papers a spot, or the spot is for casting only."""
    for entry in season["permits"]:
        days = {"valid_from", "valid_until", "spots"}
        fields = {name: value for name, value in entry.items() if name not in days}
        save_permit(
            spots=[spots[name] for name in entry["spots"]],
            valid_from=today + datetime.timedelta(days=entry["valid_from"]),
            valid_until=today + datetime.timedelta(days=entry["valid_until"]),
            **fields,
        )


def make_drops(season: dict[str, Any], *, today: datetime.date, dice: Random) -> None:
    """Rigs, chargers and tackle, the rigs of every plan, and the log of the days fished."""
    usual, parts = usual_parts(main_strength_kgf=22.7)
    rigs = {usual["name"]: save_rig(parts=parts, **usual | season["usual_rig"])}
    for entry in season["rigs"]:
        rigs[entry["name"]] = save_rig(**entry)
    for entry in season["chargers"]:
        save_charger(**entry)
    for name, unit, quantity, sold_in in season["tackle"]:
        save_tackle(name=name, unit=unit, quantity=quantity, sold_in=sold_in)
    copy_house_load()
    plans = DayPlan.objects.select_related("trip", "spot", "craft").prefetch_related("packs")
    for plan in plans.order_by("session_start"):
        _choose_rigs(plan, rigs)
    now = datetime.datetime.combine(today, datetime.time(12), datetime.UTC)
    fished = plans.filter(trip__status=Trip.Status.FISHED, craft__isnull=False)
    record_drops(
        drops=[
            drop
            for plan in fished.order_by("session_start")
            for drop in _flown(plan, rigs, season["true_use"], dice)
        ],
        now=now,
    )
    _one_typed_wrong(now)
    _next_day(season, plans.filter(trip__starts_at__gt=now, craft__isnull=False))


def _choose_rigs(plan: DayPlan, rigs: dict[str, Rig]) -> None:
    if plan.craft is None:
        plan_drops(plan=plan, rigs=[ChosenRig(rigs["Ledge rig"], plan.rods)])
        return
    chosen = [
        ChosenRig(rigs["Two droppers"], plan.rods - 1, 1.7),
        ChosenRig(rigs["One big bait"], 1, 1.7),
    ]
    plan_drops(plan=plan, rigs=chosen)


def _next_day(season: dict[str, Any], ahead: Any) -> None:
    """The next day that is flown is a good one: its wind is typed in, its drops fit the packs and
    the line, and it is half prepared. Days after it still show what stops them."""
    plan = ahead.order_by("session_start").first()
    if plan is None:
        return
    told = season["next_drops"]
    fields = told["plan"] | {"bait_kg": Decimal(told["plan"]["bait_kg"])}
    reels = list(plan.reels.order_by("planned__position")[: fields["rods"]])
    change_plan(plan=plan, craft=plan.craft, reels=reels, **fields)
    link = told["weak_link_kgf"]
    rigs = [ChosenRig(one.rig, one.rods, link) for one in plan.planned_rigs.all()]
    rigs[0] = ChosenRig(rigs[0].rig, plan.rods - sum(one.rods for one in rigs[1:]), link)
    plan_drops(plan=plan, rigs=rigs, **season["next_drops"]["conditions"])
    for item in season["next_drops"]["done"]:
        mark_prep(plan=plan, item=item, done=True)
    for item, who in season["next_drops"]["who"].items():
        mark_prep(plan=plan, item=item, who=who)


# ---------------------------------------------------------------- the log


def _flown(plan: DayPlan, rigs: dict[str, Rig], true_use: float, dice: Random) -> Iterator[NewDrop]:
    """A day's drops, pack after pack, each charged when it would not last another drop."""
    if plan.craft is None:
        return
    craft, packs = craft_of(plan.craft), list(plan.packs.all())
    clip = Thing.objects.filter(kind=Thing.Kind.CLIP).order_by("label").first()
    wind_ms = round(dice.uniform(1.5, 6.5), 1)
    gauge: dict[int, float] = {}
    current, at = 0, plan.session_start
    for number in range(dice.randrange(11, 16)):
        wind_ms = min(max(round(wind_ms + dice.uniform(-0.8, 0.8), 1), 0.5), 7.0)
        flight = DropFlight(
            distance_m=round(plan.drop_m + dice.uniform(-25, 15)),
            payload_g=round(dice.uniform(320, 400)),
            wind_ms=wind_ms,
            line_mm=0.30,
            height_m=12,
        )
        fresh = packs[current].pk not in gauge
        before = gauge.get(packs[current].pk, 100.0)
        used = _used_percent(craft, flight, packs[current], true_use * dice.gauss(1, 0.06))
        if before - used < _LEAST_PERCENT:
            gauge.pop(packs[current].pk, None)
            current = (current + 1) % len(packs)
            fresh, before = True, 100.0
            used = _used_percent(craft, flight, packs[current], true_use * dice.gauss(1, 0.06))
        gauge[packs[current].pk] = before - used
        at += datetime.timedelta(minutes=dice.randrange(12, 26))
        big = number % 4 == 3
        yield NewDrop(
            craft=plan.craft, pack=packs[current], at=at, from_percent=before,
            to_percent=before - used, distance_m=flight.distance_m, wind_ms=wind_ms,
            payload_g=flight.payload_g, line_mm=flight.line_mm, height_m=flight.height_m,
            pack_c=_PACK_C, new_charge=fresh, plan=plan, clip=clip,
            rig=rigs["One big bait" if big else "Two droppers"], rig_lost=dice.random() < 0.08,
            result=dice.choices(
                [Drop.Result.RELEASED, Drop.Result.PARTED, Drop.Result.TURNED_BACK], [95, 3, 2]
            )[0],
            key=uuid.uuid5(_NAMES, f"{plan.trip.uid} drop {number}"),
        )  # fmt: skip


def _used_percent(craft: Craft, flight: DropFlight, pack: FlightPack, factor: float) -> float:
    """What the gauge shows for a drop of a craft whose true use is not the model's."""
    full_wh = full_pack_wh(Pack(rated_wh(pack=pack), UNMEASURED_HEALTH, _PACK_C))
    return float(max(round(sortie(craft, flight).energy_wh * factor / full_wh * 100), 1))


def _one_typed_wrong(now: datetime.datetime) -> None:
    """One entry was typed wrong, and taken out by another."""
    drop = Drop.objects.order_by("at").first()
    if drop is not None:
        reverse_drop(
            drop=drop,
            reason="typed for the wrong pack",
            at=drop.at + datetime.timedelta(hours=3),
            key=uuid.uuid5(_NAMES, f"{drop.key} taken out"),
            now=now,
        )
