"""Questions about the log of drops flown: its entries, and what a craft's log teaches."""

from __future__ import annotations

import datetime
import uuid
from collections.abc import Collection, Iterable
from dataclasses import dataclass

from django.db.models import Count, QuerySet

from equipment.models import FlightPack, UseEntry
from equipment.queries.packs import pack_sheets
from equipment.queries.use import end_of
from equipment.queries.use import standing as use_log
from guiding.days.models import Charger, Drop
from guiding.flying.craft import Pack
from guiding.flying.defaults import HOUSE
from guiding.flying.flight import DropFlight
from guiding.flying.learned import LoggedDrop

# A pack whose capacity was never measured is reckoned a little worn. House default.
UNMEASURED_HEALTH = 0.90
# Only a drop that went as planned can be compared with the model: the load was on all the way out.
_COMPARABLE = (Drop.Result.RELEASED,)
_Result, Use = Drop.Result, UseEntry.Kind
_FLOWN_OUT = {_Result.RELEASED, _Result.EARLY, _Result.STUCK, _Result.PARTED}
_EVENTS = {_Result.CRASHED: Use.CRASH, _Result.DITCHED: Use.IMMERSION}


def drop_log(
    *, craft: int | None = None, pack: int | None = None, plan: int | None = None
) -> QuerySet[Drop]:
    """Entries of the log, newest first, those taken out too; of one craft, pack or day if asked."""
    rows = Drop.objects.select_related(
        "craft", "pack", "spot", "plan__trip", "rig", "reel", "reverses", "reversed_by"
    ).order_by("-at", "-pk")
    wanted = {"craft": craft, "pack": pack, "plan": plan}
    return rows.filter(**{name: value for name, value in wanted.items() if value is not None})


def standing() -> QuerySet[Drop]:
    """Entries that count: none that takes another out, and none that was taken out."""
    return Drop.objects.filter(reverses=None, reversed_by=None)


def logged_drops(
    *,
    craft: int,
    on: datetime.date | None = None,
    before: datetime.datetime | None = None,
    newest: int = HOUSE.learn_newest_drops,
) -> tuple[LoggedDrop, ...]:
    """The craft's newest comparable drops, oldest first: what the percent per drop is learned from.

    `on` leaves out what was flown after that day and `before` what was flown from that instant on,
    so that an old answer can be repeated.
    """
    rows = standing().filter(craft=craft, result__in=_COMPARABLE)
    if on is not None:
        rows = rows.filter(at__lt=end_of(on))
    if before is not None:
        rows = rows.filter(at__lt=before)
    found = rows.order_by("-at", "-pk")[:newest]
    return tuple(_logged(row) for row in reversed(list(found)))


def _logged(row: Drop) -> LoggedDrop:
    return LoggedDrop(
        flight=flight_of(row),
        pack=Pack(row.pack_rated_wh, row.pack_health_share, row.pack_c),
        used_percent=row.used_percent,
    )


def flight_of(row: Drop) -> DropFlight:
    """The flight of an entry as the model takes it; ValueError with a sentence where it cannot."""
    return DropFlight(
        distance_m=row.distance_m,
        payload_g=row.payload_g,
        wind_ms=row.wind_ms,
        line_mm=row.line_mm,
        height_m=row.height_m,
        wind_off_path_deg=row.wind_off_path_deg,
    )


def wear_of(drop: Drop) -> list[tuple[int, str]]:
    """What a drop wore: pairs of a thing's id and the kind of use. A crash or a dip is no drop."""
    found: list[tuple[int | None, str]] = [(drop.craft_id, Use.FLIGHT), (drop.pack_id, Use.FLIGHT)]
    if drop.new_charge:
        found.append((drop.pack_id, Use.CYCLE))
    if drop.result in _FLOWN_OUT:
        found += [(thing, Use.DROP) for thing in (drop.craft_id, drop.clip_id, drop.reel_id)]
    if event := _EVENTS.get(Drop.Result(drop.result)):
        found += [(drop.craft_id, event), (drop.pack_id, event)]
    return [(thing, kind) for thing, kind in found if thing is not None]


def wear_key(drop: Drop, thing: int, kind: str) -> uuid.UUID:
    """The key in the use log of one use that a drop caused."""
    return uuid.uuid5(drop.key, f"{thing} {kind}")


def drops_with_wrong_wear() -> list[Drop]:
    """Drops whose wear is not in the use log, or still is though they were taken out."""
    counted = set(use_log().values_list("key", flat=True))
    rows = Drop.objects.filter(reverses=None).select_related("craft", "pack", "reversed_by")
    return [
        row
        for row in rows
        if any(
            (wear_key(row, thing, kind) in counted) == _taken_out(row)
            for thing, kind in wear_of(row)
        )
    ]


def _taken_out(row: Drop) -> bool:
    return getattr(row, "reversed_by", None) is not None


def last_of_pack(*, pack: int) -> Drop | None:
    """The newest standing entry of a pack: what its gauge said when it was last flown."""
    return standing().filter(pack=pack).order_by("-at", "-pk").first()


@dataclass(frozen=True, slots=True)
class CraftDrops:
    """How many drops stand in the log of a craft."""

    craft_id: int
    label: str
    drops: int


def drops_by_craft() -> list[CraftDrops]:
    """How many drops stand in the log of each craft, most first."""
    rows = standing().order_by().values("craft_id", "craft__label").annotate(drops=Count("pk"))
    return [
        CraftDrops(row["craft_id"], row["craft__label"], row["drops"])
        for row in rows.order_by("-drops", "craft__label")
    ]


def pack_figures(
    *, packs: Iterable[FlightPack], on: datetime.date
) -> dict[int, tuple[float, float | None]]:
    """Rated watt-hours and measured health of packs on a day, by id; None: never measured."""
    ids = {pack.pk for pack in packs}
    sheets = pack_sheets(on=on, packs=FlightPack.objects.filter(pk__in=ids).order_by("label"))
    return {sheet.pack_id: (sheet.rated_wh, sheet.health_share) for sheet in sheets}


def chargers(*, places: Collection[str] = tuple(Charger.Place)) -> QuerySet[Charger]:
    """Chargers in use, of the home or the beach."""
    return Charger.objects.filter(in_use=True, place__in=places)
