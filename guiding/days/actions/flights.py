"""Writing the log of drops: adding entries with their wear, and taking a wrong one out."""

from __future__ import annotations

import datetime
import uuid
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone

from equipment.actions.defects import ground
from equipment.actions.use import CLOCK_SLACK, NewUse, record_uses
from equipment.models import Craft, FlightPack, Reel, Thing, UseEntry
from guiding.days.models import DayPlan, Drop, Rig, Spot
from guiding.days.queries.flights import (
    UNMEASURED_HEALTH,
    flight_of,
    pack_figures,
    wear_key,
    wear_of,
)

Use, _DROP = UseEntry.Kind, UseEntry.Source.DROP
Result = Drop.Result
_FIGURES = (
    "plan_id", "spot_id", "at", "craft_id", "pack_id", "clip_id", "reel_id", "rig_id", "rig_lost",
    "from_percent", "to_percent", "new_charge", "distance_m", "height_m", "wind_ms",
    "wind_off_path_deg", "payload_g", "line_mm", "pack_rated_wh", "pack_health_share", "pack_c",
    "result",
)  # fmt: skip
# What a second delivery must repeat; the pack's health is filled in here and may have moved since.
_CONTENT = tuple(name for name in _FIGURES if not name.startswith("pack_") or name == "pack_id")
# Rows that the caller holds already, and a key that was looked up: not asked for again.
_IN_HAND = {"key", "plan", "spot", "craft", "pack", "clip", "reel", "rig", "entered_by", "reverses"}


@dataclass(frozen=True, slots=True)
class NewDrop:
    """One drop to be written. The same key twice is the same drop, and is written once.

    Percents are read off the pack's gauge. `new_charge` says that it was the first flight since
    the pack was charged: that is what counts as a cycle.
    """

    craft: Craft
    pack: FlightPack
    at: datetime.datetime
    from_percent: float
    to_percent: float
    distance_m: float
    wind_ms: float
    payload_g: float
    line_mm: float
    height_m: float = 15.0
    wind_off_path_deg: float | None = None
    pack_c: float = 20.0
    new_charge: bool = False
    result: str = Result.RELEASED
    plan: DayPlan | None = None
    spot: Spot | None = None
    clip: Thing | None = None
    reel: Reel | None = None
    rig: Rig | None = None
    rig_lost: bool = False
    note: str = ""
    key: uuid.UUID = field(default_factory=uuid.uuid4)


@transaction.atomic
def record_drop(*, drop: NewDrop, by: Any = None, now: datetime.datetime | None = None) -> Drop:
    """Add one drop to the log; with a key that is in the log already, give back that entry."""
    written = record_drops(drops=[drop], by=by, now=now)
    return written[0] if written else Drop.objects.get(key=drop.key)


@transaction.atomic
def record_drops(
    *, drops: Sequence[NewDrop], by: Any = None, now: datetime.datetime | None = None
) -> list[Drop]:
    """Add a batch to the log, whole or not at all, with the wear of craft, pack, clip and reel.

    Neither order nor repetition matters. Returns the entries that were not there before.
    """
    now = now or timezone.now()
    # The things are locked first, in one order: two batches on them wait for each other.
    ids = {thing.pk for drop in drops for thing in _things(drop)}
    list(Thing.objects.select_for_update().filter(pk__in=ids).order_by("pk"))
    fresh = _not_in_the_log(drops)
    figures = _figures(fresh)
    rows = [_row(drop, figures, by, now) for drop in fresh]
    for row in rows:
        row.save(force_insert=True)
    record_uses(uses=[use for row in rows for use in _uses(row)], by=by, now=now)
    for row in rows:
        if row.result == Result.STUCK and row.clip is not None:
            ground(thing=row.clip, what="Did not open over the spot.", found_at=row.at)
    return rows


def _things(drop: NewDrop) -> list[Thing]:
    return [thing for thing in (drop.craft, drop.pack, drop.clip, drop.reel) if thing is not None]


def _not_in_the_log(drops: Sequence[NewDrop]) -> list[NewDrop]:
    by_key: dict[uuid.UUID, NewDrop] = {}
    for drop in drops:
        if by_key.setdefault(drop.key, drop) != drop:
            raise ValidationError("Two drops of one batch have the same key but differ.")
    for row in Drop.objects.filter(key__in=list(by_key)):
        drop = by_key.pop(row.key)
        if row.reverses_id or _content(_bare(drop)) != _content(row):
            raise ValidationError(
                "This drop is in the log with another content. Reload the page, and take the "
                "wrong entry out of the log instead."
            )
    return list(by_key.values())


def _content(row: Drop) -> tuple[object, ...]:
    return tuple(getattr(row, name) for name in _CONTENT)


def _bare(drop: NewDrop) -> Drop:
    """The row of a drop without what is filled in from the gear list."""
    spot = drop.spot or (drop.plan.spot if drop.plan else None)
    return Drop(
        key=drop.key, plan=drop.plan, spot=spot, at=drop.at, craft=drop.craft, pack=drop.pack,
        clip=drop.clip, reel=drop.reel, rig=drop.rig, rig_lost=drop.rig_lost,
        from_percent=drop.from_percent, to_percent=drop.to_percent, new_charge=drop.new_charge,
        distance_m=drop.distance_m, height_m=drop.height_m, wind_ms=drop.wind_ms,
        wind_off_path_deg=drop.wind_off_path_deg, payload_g=drop.payload_g, line_mm=drop.line_mm,
        pack_c=drop.pack_c, result=drop.result, note=drop.note.strip(),
    )  # fmt: skip


def _figures(drops: Sequence[NewDrop]) -> dict[tuple[int, datetime.date], tuple[float, float]]:
    """Watt-hours and health of each pack on each day of a batch."""
    by_day: dict[datetime.date, dict[int, FlightPack]] = {}
    for drop in drops:
        by_day.setdefault(_day(drop.at), {})[drop.pack.pk] = drop.pack
    return {
        (pk, day): (rated_wh, UNMEASURED_HEALTH if health is None else health)
        for day, packs in by_day.items()
        for pk, (rated_wh, health) in pack_figures(packs=packs.values(), on=day).items()
    }


def _day(at: datetime.datetime) -> datetime.date:
    if at.tzinfo is None:
        raise ValidationError({"at": "The time has no zone: give it in UTC."})
    return timezone.localdate(at)


def _row(
    drop: NewDrop,
    figures: dict[tuple[int, datetime.date], tuple[float, float]],
    by: Any,
    now: datetime.datetime,
) -> Drop:
    row = _bare(drop)
    row.entered_by = by
    rated_wh, health = figures[drop.pack.pk, _day(drop.at)]
    row.pack_rated_wh, row.pack_health_share = rated_wh, min(health, 1.0)
    if drop.at > now + CLOCK_SLACK:
        raise ValidationError({"at": "That landing is still to come; enter it then."})
    if drop.to_percent >= drop.from_percent:
        raise ValidationError(
            {"to_percent": "The pack must hold less after landing than at take-off."}
        )
    if drop.clip is not None and drop.clip.kind != Thing.Kind.CLIP:
        raise ValidationError({"clip": f"{drop.clip} is no release clip."})
    if drop.pack.fits_id not in (None, drop.craft.pk):
        raise ValidationError({"pack": f"{drop.pack} fits {drop.pack.fits}, not {drop.craft}."})
    row.full_clean(exclude=_IN_HAND)
    try:
        flight_of(row)
    except ValueError as refusal:
        raise ValidationError(str(refusal)) from None
    return row


def _uses(row: Drop) -> list[NewUse]:
    """The wear of one drop, each use with a key of its own made from the drop's."""
    trip_uid = row.plan.trip.uid if row.plan else None
    return [
        NewUse(thing, kind, row.at, 1.0, trip_uid, key=wear_key(row, thing, kind), source=_DROP)
        for thing, kind in wear_of(row)
    ]


@transaction.atomic
def reverse_drop(
    *,
    drop: Drop,
    reason: str,
    at: datetime.datetime | None = None,
    key: uuid.UUID | None = None,
    by: Any = None,
    now: datetime.datetime | None = None,
) -> Drop:
    """Take a drop and its wear out of the log by another entry; both stay readable.

    A clip that was grounded because it did not open stays grounded until it is signed off.
    """
    key, at = key or uuid.uuid4(), at or timezone.now()
    if known := Drop.objects.filter(key=key).first():
        if known.reverses_id != drop.pk:
            raise ValidationError("This key belongs to another entry. Reload the page.")
        return known
    if not reason.strip():
        raise ValidationError({"reason": "Say why the entry is wrong."})
    drop = Drop.objects.select_for_update(of=("self",)).get(pk=drop.pk)
    if drop.reverses_id:
        raise ValidationError(
            "This entry takes another one out. Enter that drop again instead of reversing it."
        )
    if Drop.objects.filter(reverses=drop).exists():
        raise ValidationError("This drop has been taken out of the log already.")
    taken_out = Drop(
        key=key, reverses=drop, note=reason.strip(), entered_by=by,
        **{name: getattr(drop, name) for name in _FIGURES},
    )  # fmt: skip
    taken_out.full_clean(exclude=_IN_HAND)
    taken_out.save(force_insert=True)
    record_uses(
        uses=[
            NewUse(
                use.thing_id, Use.REVERSAL, at, 1.0, use.trip_uid, note=reason.strip(),
                key=uuid.uuid5(key, str(use.key)), reverses=use.key,
            )
            for use in _uses(drop)
        ],
        by=by,
        now=now,
    )  # fmt: skip
    return taken_out
