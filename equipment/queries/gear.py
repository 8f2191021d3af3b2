"""The state of every thing on a day, with the number that decides: the gear list, and what is fit
for a trip."""

from __future__ import annotations

import datetime
import uuid
from collections.abc import Collection, Sequence
from dataclasses import dataclass

from django.db.models import Q

from equipment.models import Defect, FlightPack, Overrule, Thing
from equipment.models.thing import thing_url
from equipment.queries.defects import open_defects
from equipment.queries.lines import USUAL_DROP_M, ReelSheet, reel_sheets
from equipment.queries.packs import PackSheet, pack_sheets
from equipment.queries.service import Standing, expected_trips, standings
from equipment.queries.use import NO_USE, Counts, counts
from equipment.rules.line import LineAdvice
from equipment.rules.packs import PackState
from equipment.rules.service import ServiceDue, ServiceState, ThingVerdict, service_state

FIT, WATCH, DUE, GROUNDED, RETIRED = "fit", "watch", "due", "grounded", "retired"
_WORST_FIRST = {RETIRED: 0, GROUNDED: 1, DUE: 2, WATCH: 3, FIT: 4}
_KIND_LABELS = dict(Thing.Kind.choices)
_KIND_ORDER = {kind: place for place, kind in enumerate(Thing.Kind.values)}
_COLUMNS = ("kind", "label", "model_note", "bought_on", "expires_on", "retired_on")


@dataclass(frozen=True, slots=True)
class GearState:
    """One thing on one day. A flight pack is fit, watch, grounded or retired; other gear is fit,
    due, grounded or retired. `value` and `limit` are the numbers behind the reason, in `measure`.
    """

    thing_id: int
    kind: str
    kind_label: str
    label: str
    model_note: str
    state: str
    reason: str
    measure: str
    value: float | None
    limit: float | None
    due: tuple[ServiceDue, ...]
    counts: Counts
    pack: PackSheet | None = None
    reel: ReelSheet | None = None
    open_defects: int = 0

    @property
    def url(self) -> str:
        return thing_url(self.kind, self.thing_id)

    @property
    def next_due(self) -> ServiceDue | None:
        """The service that comes first, due already or not."""
        return self.due[0] if self.due else None


@dataclass(frozen=True, slots=True)
class Fitness:
    """Whether a thing may go along: fit, watch or grounded, and the number that decides.

    `take` is the guide's own word where there is one, with `overruled` as its reason. What is
    grounded stays grounded whatever the guide says: it has to be signed off first.
    """

    thing_id: int
    kind: str
    label: str
    state: str
    reason: str
    measure: str
    value: float | None
    limit: float | None
    take: bool | None = None
    overruled: str = ""


def gear_list(
    *,
    on: datetime.date,
    booked: Sequence[datetime.date] = (),
    drop_m: float = USUAL_DROP_M,
    kinds: Collection[str] | None = None,
    things: Collection[int] | None = None,
    with_retired: bool = False,
) -> list[GearState]:
    """Every thing owned on a day with its state, what flies first; a fixed number of queries.

    `booked` are the days of trips to come: services are forecast against them.
    """
    rows = _owned(on, kinds, things, with_retired)
    ids = None if things is None and kinds is None else [row.pk for row in rows]
    sums = counts(on=on, things=ids)
    defects = open_defects(on=on, things=ids)
    chosen = {row.kind for row in rows}
    packs: dict[int, PackSheet] = {}
    if Thing.Kind.PACK in chosen:
        pack_ids = [row.pk for row in rows if row.kind == Thing.Kind.PACK]
        queryset = FlightPack.objects.filter(pk__in=pack_ids).order_by("label")
        sheets = pack_sheets(on=on, packs=queryset, sums=sums, defects=defects)
        packs = {sheet.pack_id: sheet for sheet in sheets}
    reels: dict[int, ReelSheet] = {}
    if Thing.Kind.REEL in chosen:
        reels = {
            sheet.reel_id: sheet
            for sheet in reel_sheets(on=on, drop_m=drop_m, reels=ids, with_trips=False)
        }
    cycles_before = {pk: sheet.cycles - sums.get(pk, NO_USE).cycles for pk, sheet in packs.items()}
    stand = standings(things=rows, sums=sums, on=on, cycles_before=cycles_before)
    booked = tuple(sorted({day for day in booked if day >= on}))
    return [
        _state(
            row,
            on,
            stand[row.pk],
            sums.get(row.pk, NO_USE),
            booked,
            defects.get(row.pk, []),
            packs.get(row.pk),
            reels.get(row.pk),
        )
        for row in rows
    ]


def _owned(
    on: datetime.date,
    kinds: Collection[str] | None,
    things: Collection[int] | None,
    with_retired: bool,
) -> list[Thing]:
    rows = Thing.objects.filter(Q(bought_on=None) | Q(bought_on__lte=on))
    if not with_retired:
        rows = rows.filter(Q(retired_on=None) | Q(retired_on__gt=on))
    if kinds is not None:
        rows = rows.filter(kind__in=kinds)
    if things is not None:
        rows = rows.filter(pk__in=things)
    return sorted(rows.only(*_COLUMNS), key=lambda row: (_KIND_ORDER[row.kind], row.label))


def _state(
    row: Thing,
    on: datetime.date,
    stand: Standing,
    counted: Counts,
    booked: tuple[datetime.date, ...],
    defects: list[Defect],
    pack: PackSheet | None,
    reel: ReelSheet | None,
) -> GearState:
    verdict = service_state(
        rules=stand.rules,
        facts=stand.facts,
        on=on,
        booked=expected_trips(counted=counted, booked=booked),
        open_defects=() if pack else tuple(defect.what for defect in defects),
        retired_on=row.retired_on,
    )
    findings = [_of_service(verdict, len(defects), is_pack=pack is not None)]
    if pack is not None:
        findings.append(_of_pack(pack))
    if reel is not None and row.retired_on is None:
        findings.append(_of_line(reel))
    state, reason, measure, value, limit = min(
        reversed(findings), key=lambda one: _WORST_FIRST[one[0]]
    )
    return GearState(
        thing_id=row.pk,
        kind=row.kind,
        kind_label=_KIND_LABELS[row.kind],
        label=row.label,
        model_note=row.model_note,
        state=state,
        reason=reason,
        measure=measure,
        value=value,
        limit=limit,
        due=verdict.due,
        counts=counted,
        pack=pack,
        reel=reel,
        open_defects=len(defects),
    )


_Finding = tuple[str, str, str, float | None, float | None]


def _of_service(verdict: ThingVerdict, defects: int, *, is_pack: bool) -> _Finding:
    state = verdict.state.value
    if is_pack and state == DUE:
        state = WATCH
    if verdict.state is ServiceState.RETIRED or (defects and not is_pack):
        return state, verdict.reason, "", None, None
    first = verdict.due[0] if verdict.due else None
    if first is None or first.state is ServiceState.FIT:
        return state, verdict.reason, "", None, None
    return state, verdict.reason, first.measure, first.used, first.limit


def _of_pack(sheet: PackSheet) -> _Finding:
    verdict = sheet.verdict
    first = verdict.findings[0] if verdict.findings else None
    state, reason = verdict.state.value, verdict.reason
    if verdict.state is PackState.RETIRED and first is not None and first.what != "retired":
        # Past its life by the numbers, but the guide has not retired it yet.
        state, reason = GROUNDED, f"{reason} Past its life: retire it."
    if first is None:
        return state, reason, "", None, None
    return state, reason, first.what, first.value, first.limit


def _of_line(sheet: ReelSheet) -> _Finding:
    if sheet.advice is None:
        return DUE, "No line on it: spool one.", "metres", 0.0, sheet.need_m
    if sheet.advice.advice is LineAdvice.KEEP:
        return FIT, f"{sheet.left_m:.0f} m left.", "metres", sheet.left_m, sheet.need_m
    words = sheet.advice.advice.value.replace("_", " ").capitalize()
    return DUE, f"{words}: {sheet.advice.reason}", "metres", sheet.left_m, sheet.need_m


# ---------------------------------------------------------------- fit for a trip


def fit_for(
    *,
    on: datetime.date,
    trip_uid: uuid.UUID | None = None,
    drop_m: float = USUAL_DROP_M,
    kinds: Collection[str] | None = None,
    things: Collection[int] | None = None,
) -> list[Fitness]:
    """Per thing fit, watch or grounded on the day of a trip, with the number that decides.

    Judged on what is known now for that day: a check, a paper or a service that runs out before it
    counts as run out. With `trip_uid` the guide's own choices for that trip are given too. A reel
    whose line is too short for `drop_m` is grounded for this trip, not for others.
    """
    chosen = own_words(trip_uid=trip_uid)
    return [
        fitness(state, chosen.get(state.thing_id))
        for state in gear_list(on=on, drop_m=drop_m, kinds=kinds, things=things)
    ]


def own_words(*, trip_uid: uuid.UUID | None) -> dict[int, Overrule]:
    """What the guide said against the advice for a trip, by the id of the thing."""
    if trip_uid is None:
        return {}
    return {one.thing_id: one for one in Overrule.objects.filter(trip_uid=trip_uid)}


def fitness(state: GearState, choice: Overrule | None) -> Fitness:
    """One thing as a trip sees it: what is due is to be watched, what is too short stays."""
    word = WATCH if state.state == DUE else state.state
    reel = state.reel
    reason = state.reason
    if reel is not None and word != GROUNDED and (reel.left_m or 0.0) < reel.need_m:
        word = GROUNDED
        if reel.left_m is not None:
            reason = (
                f"{reel.left_m:.0f} m left, {reel.need_m:.0f} m needed for {reel.drop_m:.0f} m out."
            )
    return Fitness(
        thing_id=state.thing_id,
        kind=state.kind,
        label=state.label,
        state=GROUNDED if word == RETIRED else word,
        reason=reason,
        measure=state.measure,
        value=state.value,
        limit=state.limit,
        take=choice.take if choice else None,
        overruled=choice.reason if choice else "",
    )
