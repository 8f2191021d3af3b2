"""How packs lie: which to bring to storage charge, which to fly as pairs, which may travel."""

from __future__ import annotations

import datetime
from collections.abc import Sequence
from dataclasses import dataclass

from django.utils import timezone

from equipment.models import FlightPack
from equipment.queries.packs import PackSheet, limits
from equipment.queries.use import NO_USE, counts
from equipment.rules.packs import (
    AirlineClass,
    PackLimits,
    PackState,
    PairCandidate,
    PairingAdvice,
    StorageAdvice,
    airline_class,
    cell_volts,
    pack_pairs,
    storage_advice,
)


@dataclass(frozen=True, slots=True)
class Stored:
    """How one pack lies. Without `advice` nobody noted its charge since it last flew."""

    sheet: PackSheet
    advice: StorageAdvice | None
    act: bool
    act_by: datetime.date | None
    reason: str


def stored(
    *,
    sheets: Sequence[PackSheet],
    on: datetime.date,
    booked: Sequence[datetime.date] = (),
) -> list[Stored]:
    """How each pack lies on a day, those to act on first."""
    ids = [sheet.pack_id for sheet in sheets]
    noted = {
        pk: (full, store)
        for pk, full, store in FlightPack.objects.filter(pk__in=ids).values_list(
            "pk", "charged_full_at", "stored_at"
        )
    }
    used = counts(on=on, things=ids)
    chosen = limits()
    next_trip_on = min((day for day in booked if day >= on), default=None)
    rows = [
        _stored(
            sheet,
            *noted.get(sheet.pack_id, (None, None)),
            used.get(sheet.pack_id, NO_USE).last_at,
            on,
            next_trip_on,
            chosen,
        )
        for sheet in sheets
    ]
    return sorted(rows, key=lambda row: (not row.act, row.act_by or datetime.date.max))


def _stored(
    sheet: PackSheet,
    full_at: datetime.datetime | None,
    stored_at: datetime.datetime | None,
    flown_at: datetime.datetime | None,
    on: datetime.date,
    next_trip_on: datetime.date | None,
    chosen: PackLimits,
) -> Stored:
    volts = cell_volts(chemistry=sheet.chemistry)
    cells = sheet.cells_series
    known = [
        (at, cells_v)
        for at, cells_v in (
            (full_at, (volts.full_v,) * cells),
            (stored_at, (volts.storage_v,) * cells),
            (sheet.volts_at, sheet.facts.cells_v),
        )
        if at is not None and cells_v and timezone.localdate(at) <= on
    ]
    newest = max(known, default=None, key=lambda one: one[0])
    if newest is None or (flown_at is not None and flown_at > newest[0]):
        return _not_noted(sheet, flown_at, on, chosen)
    advice = storage_advice(
        chemistry=sheet.chemistry,
        cells_v=newest[1],
        since=timezone.localdate(newest[0]),
        on=on,
        next_trip_on=next_trip_on,
        limits=chosen,
    )
    return Stored(sheet, advice, advice.act, advice.act_by, advice.reason)


def _not_noted(
    sheet: PackSheet, flown_at: datetime.datetime | None, on: datetime.date, chosen: PackLimits
) -> Stored:
    if flown_at is None:
        return Stored(sheet, None, False, None, "No charge noted yet.")
    flown_on = timezone.localdate(flown_at)
    act_by = flown_on + datetime.timedelta(days=int(chosen.stored_full_days))
    days = (on - flown_on).days
    return Stored(
        sheet,
        None,
        on > act_by,
        act_by,
        f"No charge noted for {days} day{'s' * (days != 1)}, since it last flew: measure it, or "
        f"bring it to {cell_volts(chemistry=sheet.chemistry).storage_v:.2f} V a cell.",
    )


def pairs(*, sheets: Sequence[PackSheet]) -> PairingAdvice:
    """Which packs to fly as pairs, among those that may fly and whose capacity is known."""
    may_fly = (PackState.FIT, PackState.WATCH)
    return pack_pairs(
        packs=tuple(
            PairCandidate(
                label=sheet.label,
                chemistry=sheet.chemistry,
                cells_in_series=sheet.cells_series,
                rated_ah=sheet.rated_ah,
                health_share=sheet.health_share,
                cell_mohm=sheet.cell_mohm,
            )
            for sheet in sheets
            if sheet.verdict.state in may_fly and sheet.health_share is not None
        ),
        limits=limits(),
    )


def travel(*, sheets: Sequence[PackSheet]) -> list[tuple[PackSheet, AirlineClass]]:
    """The class of each pack in passenger baggage by its watt-hours."""
    return [(sheet, airline_class(energy_wh=sheet.rated_wh)) for sheet in sheets]
