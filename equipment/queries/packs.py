"""Flight packs: what was measured, what state that makes, how long they are likely to last."""

from __future__ import annotations

import datetime
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from django.db.models import BooleanField, ExpressionWrapper, Q, QuerySet
from django.utils import timezone

from equipment.models import Defect, FlightPack, PackCheck, PackLimit
from equipment.queries.defects import open_defects
from equipment.queries.use import NO_USE, Counts, counts, end_of
from equipment.rules.packs import (
    Chemistry,
    PackEvent,
    PackFacts,
    PackLimits,
    PackState,
    PackVerdict,
    cell_spread_mv,
    cell_volts,
    pack_energy_wh,
    pack_state,
)

_EVENTS = {"crash": PackEvent.CRASH, "immersion": PackEvent.IMMERSION,
           "swelling": PackEvent.SWELLING}  # fmt: skip


_COLUMNS = ("label", "model_note", "bought_on", "retired_on", "chemistry", "cells_series",
            "rated_ah", "cycles_before", "expected_cycles", "fits")  # fmt: skip

_CHECK_COLUMNS = ("at", "cells_v", "cells_mohm", "capacity_ah", "temperature_c")


@dataclass(frozen=True, slots=True)
class PackSheet:
    """One pack on one day: its facts, the verdict on it, and the number that decides."""

    pack_id: int
    label: str
    model_note: str
    chemistry: Chemistry
    cells_series: int
    rated_ah: float
    rated_wh: float
    fits_id: int | None
    bought_on: datetime.date | None
    cycles: int
    expected_cycles: int
    facts: PackFacts
    verdict: PackVerdict
    volts_at: datetime.datetime | None

    @property
    def spread_mv(self) -> float | None:
        return cell_spread_mv(cells_v=self.facts.cells_v) if self.facts.cells_v else None

    @property
    def health_share(self) -> float | None:
        return self.verdict.health_share

    @property
    def cell_mohm(self) -> float | None:
        readings = self.facts.cells_mohm
        return sum(readings) / len(readings) if readings else None


def limits() -> PackLimits:
    """The limits packs are judged by: the defaults, with what the guide set in their place."""
    return PackLimits(**dict(PackLimit.objects.values_list("name", "value")))


def rated_wh(*, pack: FlightPack) -> float:
    """Watt-hours printed on a pack: nominal volts times rated capacity."""
    volts = cell_volts(chemistry=Chemistry(pack.chemistry)).nominal_v * pack.cells_series
    return pack_energy_wh(voltage_v=round(volts, 6), capacity_ah=pack.rated_ah)


def pack_sheets(
    *,
    on: datetime.date,
    packs: QuerySet[FlightPack] | None = None,
    sums: Mapping[int, Counts] | None = None,
    defects: Mapping[int, list[Defect]] | None = None,
) -> list[PackSheet]:
    """Every pack in use on a day with its verdict, by label. The number of queries is fixed."""
    if packs is None:
        packs = FlightPack.objects.filter(
            Q(retired_on=None) | Q(retired_on__gt=on), Q(bought_on=None) | Q(bought_on__lte=on)
        ).order_by("label")
    rows = list(packs.only(*_COLUMNS))
    ids = [row.pk for row in rows]
    newest = _newest_checks(ids, on)
    if sums is None:
        sums = counts(on=on, things=ids)
    if defects is None:
        defects = open_defects(on=on, things=ids)
    chosen = limits()
    facts = {
        row.pk: _facts(
            row,
            newest.get(row.pk, _Newest()),
            sums.get(row.pk, NO_USE),
            defects.get(row.pk, []),
        )
        for row in rows
    }
    siblings = _sibling_resistance(facts)
    return [
        _sheet(
            row,
            _with_siblings(facts[row.pk], siblings, row.pk),
            newest.get(row.pk, _Newest()).volts,
            on,
            chosen,
        )
        for row in rows
    ]


@dataclass(slots=True)
class _Newest:
    """The newest check of a pack, and the newest that holds each measure."""

    check: PackCheck | None = None
    volts: PackCheck | None = None
    capacity: PackCheck | None = None
    mohm: PackCheck | None = None
    first_mohm: PackCheck | None = None


def _flag(*conditions: Q, **named: bool) -> ExpressionWrapper:
    """A condition as a column."""
    return ExpressionWrapper(Q(*conditions, **named), output_field=BooleanField())


def _newest_checks(packs: Sequence[int], on: datetime.date) -> dict[int, _Newest]:
    """The checks that count, pack by pack. What each check holds is asked first, in rows of a few
    numbers, so that readings are only fetched of those that count."""
    rows = (
        PackCheck.objects.filter(pack__in=packs, at__lt=end_of(on), struck_out_reason="")
        .order_by("at", "pk")
        .values_list(
            "pk",
            "pack_id",
            _flag(cell_low_v__isnull=False),
            _flag(capacity_ah__isnull=False),
            _flag(~Q(cells_mohm=[])),
        )
    )
    ids: dict[int, dict[str, int]] = {}
    for pk, pack_id, has_volts, has_capacity, has_mohm in rows:
        held = ids.setdefault(pack_id, {})
        held["check"] = pk
        if has_volts:
            held["volts"] = pk
        if has_capacity:
            held["capacity"] = pk
        if has_mohm:
            held["mohm"] = pk
            held.setdefault("first_mohm", pk)
    checks = PackCheck.objects.only(*_CHECK_COLUMNS).in_bulk(
        {pk for held in ids.values() for pk in held.values()}
    )
    return {
        pack_id: _Newest(**{name: checks[pk] for name, pk in held.items()})
        for pack_id, held in ids.items()
    }


def _facts(row: FlightPack, newest: _Newest, counted: Counts, defects: list[Defect]) -> PackFacts:
    return PackFacts(
        chemistry=Chemistry(row.chemistry),
        cells_in_series=row.cells_series,
        rated_ah=row.rated_ah,
        cycles=row.cycles_before + counted.cycles,
        bought_on=row.bought_on,
        checked_on=timezone.localdate(newest.check.at) if newest.check else None,
        capacity_ah=newest.capacity.capacity_ah if newest.capacity else None,
        cells_v=tuple(newest.volts.cells_v) if newest.volts else (),
        cells_mohm=tuple(newest.mohm.cells_mohm) if newest.mohm else (),
        cells_new_mohm=tuple(newest.first_mohm.cells_mohm) if newest.first_mohm else (),
        temperature_c=newest.check.temperature_c if newest.check else None,
        open_events=tuple(_EVENTS[d.event] for d in defects if d.event in _EVENTS),
        open_defects=tuple(d.what for d in defects if d.event not in _EVENTS),
        retired_on=row.retired_on,
    )


def _sibling_resistance(facts: Mapping[int, PackFacts]) -> dict[tuple, dict[int, float]]:
    """Mean milliohms a cell of every pack of one kind, by the id of the pack."""
    found: dict[tuple, dict[int, float]] = {}
    for pk, one in facts.items():
        if one.cells_mohm:
            mean = sum(one.cells_mohm) / len(one.cells_mohm)
            found.setdefault(_make(one), {})[pk] = mean
    return found


def _make(facts: PackFacts) -> tuple:
    return facts.chemistry, facts.cells_in_series, facts.rated_ah


def _with_siblings(
    facts: PackFacts, siblings: Mapping[tuple, dict[int, float]], pk: int
) -> PackFacts:
    others = tuple(mean for other, mean in siblings.get(_make(facts), {}).items() if other != pk)
    return replace(facts, siblings_mohm=others)


def _sheet(
    row: FlightPack,
    facts: PackFacts,
    volts: PackCheck | None,
    on: datetime.date,
    chosen: PackLimits,
) -> PackSheet:
    return PackSheet(
        pack_id=row.pk,
        label=row.label,
        model_note=row.model_note,
        chemistry=facts.chemistry,
        cells_series=row.cells_series,
        rated_ah=row.rated_ah,
        rated_wh=rated_wh(pack=row),
        fits_id=row.fits_id,
        bought_on=row.bought_on,
        cycles=facts.cycles,
        expected_cycles=row.expected_cycles,
        facts=facts,
        verdict=_verdict(facts, on, chosen),
        volts_at=volts.at if volts else None,
    )


def _verdict(facts: PackFacts, on: datetime.date, chosen: PackLimits) -> PackVerdict:
    """The verdict of the rules; readings that contradict each other ground the pack, and say so."""
    try:
        return pack_state(facts=facts, on=on, limits=chosen)
    except ValueError as error:
        return PackVerdict(PackState.GROUNDED, f"Cannot be judged. {error}", None, ())


def check_history(*, pack: FlightPack) -> list[PackCheck]:
    """Every check of a pack, newest first, struck out ones too."""
    return list(PackCheck.objects.filter(pack=pack.pk).order_by("-at", "-pk")[:200])
