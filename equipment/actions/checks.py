"""What was measured on flight packs, and how they were put away."""

from __future__ import annotations

import datetime
import uuid
from collections.abc import Collection, Sequence
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import formats, timezone

from equipment.actions.use import CLOCK_SLACK, FIRST_DAY, record_use, reverse_use
from equipment.models import FlightPack, PackCheck, PackLimit, Thing, UseEntry
from equipment.queries.use import NO_USE, counts
from equipment.rules.packs import (
    PackLimits,
    capacity_health_share,
    check_cell_volts,
    check_pack_limits,
)

_SWELLING_SEEN = uuid.UUID("5f1c39d2-8a6e-4a0e-9a55-6cfb2f2a7d10")  # names entries made here
_MOST_MOHM = 1000.0


@transaction.atomic
def record_check(
    *,
    pack: FlightPack,
    at: datetime.datetime | None = None,
    cycles: int | None = None,
    cells_v: Sequence[float] = (),
    cells_mohm: Sequence[float] = (),
    capacity_ah: float | None = None,
    temperature_c: float | None = None,
    swollen: bool = False,
    by: str = "",
    entered_by: Any = None,
    now: datetime.datetime | None = None,
) -> PackCheck:
    """Record a check of a pack; without `cycles` those of the log are taken. A swollen pack goes
    into quarantine at once."""
    now = now or timezone.now()
    at = at or now
    _check_day(pack, at, now)
    _check_figures(pack, cells_v, cells_mohm, capacity_ah)
    if not (cells_v or cells_mohm or capacity_ah or temperature_c is not None or swollen):
        raise ValidationError("Nothing was measured: enter at least one figure, or leave it out.")
    if cycles is None:
        logged = counts(on=timezone.localdate(at), things=[pack.pk]).get(pack.pk, NO_USE)
        cycles = pack.cycles_before + logged.cycles
    row = PackCheck(
        pack=pack,
        at=at,
        cycles=cycles,
        cells_v=list(cells_v),
        cell_low_v=min(cells_v, default=None),
        cell_high_v=max(cells_v, default=None),
        cells_mohm=list(cells_mohm),
        capacity_ah=capacity_ah,
        temperature_c=temperature_c,
        swollen=swollen,
        by=by,
    )
    row.full_clean()
    Thing.objects.select_for_update().get(pk=pack.pk)  # a form sent twice waits here
    before = PackCheck.objects.filter(pack=pack, at=at, struck_out_reason="").first()
    if before is not None:
        return _same_again(before, row)
    row.save()
    if swollen:
        record_use(
            thing=pack,
            kind=UseEntry.Kind.SWELLING,
            at=at,
            note="seen at the check",
            key=_swelling_key(row),
            by=entered_by,
            now=now,
        )
    return row


def _same_again(before: PackCheck, row: PackCheck) -> PackCheck:
    """A form sent twice enters a check once; another check at the same minute is a mistake."""
    for name in ("cells_v", "cells_mohm", "capacity_ah", "temperature_c", "swollen"):
        if getattr(before, name) != getattr(row, name):
            raise ValidationError(
                {"at": f"{row.pack.label} has a check at that time with other figures: "
                 "strike that one out first, or give another time."}
            )  # fmt: skip
    return before


def _check_day(pack: FlightPack, at: datetime.datetime, now: datetime.datetime) -> None:
    day = timezone.localdate(at)
    if at > now + CLOCK_SLACK:
        raise ValidationError({"at": "That time is still to come; enter the check then."})
    if day < FIRST_DAY:
        raise ValidationError({"at": "That is too long ago; give a day from the year 2000 on."})
    if pack.bought_on and day < pack.bought_on:
        bought = formats.date_format(pack.bought_on, "j F Y")
        raise ValidationError(
            {"at": f"{pack.label} was bought on {bought}; a check before that cannot be right."}
        )


def _check_figures(
    pack: FlightPack,
    cells_v: Sequence[float],
    cells_mohm: Sequence[float],
    capacity_ah: float | None,
) -> None:
    problems: dict[str, str] = {}
    for name, readings in (("cells_v", cells_v), ("cells_mohm", cells_mohm)):
        if readings and len(readings) != pack.cells_series:
            problems[name] = (
                f"{len(readings)} readings for {pack.cells_series} cells: enter one a cell."
            )
    if cells_v and "cells_v" not in problems:
        try:
            check_cell_volts(cells_v=tuple(cells_v))
        except ValueError as error:
            problems["cells_v"] = str(error)
    for number, reading in enumerate(cells_mohm, start=1):
        if not 0 < reading <= _MOST_MOHM:
            problems["cells_mohm"] = (
                f"Cell {number} reads {reading:g} mΩ: give milliohms above 0, up to 1000."
            )
    if capacity_ah is not None:
        try:
            capacity_health_share(capacity_ah=capacity_ah, rated_ah=pack.rated_ah)
        except ValueError as error:
            problems["capacity_ah"] = str(error)
    if problems:
        raise ValidationError(problems)


def _swelling_key(check: PackCheck) -> uuid.UUID:
    return uuid.uuid5(_SWELLING_SEEN, str(check.pk))


@transaction.atomic
def strike_out_check(*, check: PackCheck, reason: str, by: Any = None) -> PackCheck:
    """Say that a check is wrong; it stays readable and counts no more."""
    if not reason.strip():
        raise ValidationError({"reason": "Say why the check is wrong."})
    if check.struck_out_reason:
        return check
    check.struck_out_reason = reason.strip()
    check.save(update_fields=["struck_out_reason"])
    entry = UseEntry.objects.filter(key=_swelling_key(check), reversed_by=None).first()
    if entry is not None:
        reverse_use(entry=entry, reason=reason, by=by)
    return check


@transaction.atomic
def put_at_charge(
    *, packs: Collection[FlightPack], full: bool, at: datetime.datetime | None = None
) -> None:
    """Note that packs were charged full, or brought to storage charge."""
    at = at or timezone.now()
    if at > timezone.now() + CLOCK_SLACK:
        raise ValidationError({"at": "That time is still to come."})
    for pack in packs:
        if full:
            pack.charged_full_at = at
        else:
            pack.stored_at = at
        pack.save()


@transaction.atomic
def set_pack_limits(*, values: dict[str, float]) -> PackLimits:
    """Set limits that packs are judged by; a value equal to the default is not kept apart."""
    defaults = PackLimits()
    try:
        chosen = PackLimits(**values)
        check_pack_limits(limits=chosen)
    except (TypeError, ValueError) as error:
        raise ValidationError(str(error)) from None
    PackLimit.objects.all().delete()
    PackLimit.objects.bulk_create(
        PackLimit(name=name, value=value)
        for name, value in values.items()
        if value != getattr(defaults, name)
    )
    return chosen
