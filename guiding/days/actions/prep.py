"""Writes about getting ready: how drops are planned, what is ticked, what is owned."""

from __future__ import annotations

import datetime
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone

from guiding.days.models import (
    Charger,
    DayPlan,
    DropSetup,
    LoadLine,
    PlannedRig,
    PrepMark,
    Rig,
)
from guiding.days.rules.prep import HOUSE_LOAD


@dataclass(frozen=True, slots=True)
class ChosenRig:
    """A recipe for so many rods of a day, with the weak link that the day's wind asks for."""

    rig: Rig
    rods: int
    weak_link_kgf: float | None = None


@transaction.atomic
def plan_drops(
    *, plan: DayPlan, rigs: Sequence[ChosenRig] | None = None, **conditions: Any
) -> DropSetup:
    """What the drops of a day are planned on: wind, sea, place, and the rigs in rod order."""
    setup = DropSetup.objects.filter(plan=plan).first() or DropSetup(plan=plan)
    for name, value in conditions.items():
        setattr(setup, name, value)
    setup.keep_words(conditions)
    if setup.gust_ms is not None and setup.wind_ms is None:
        raise ValidationError({"wind_ms": "Enter the mean wind along with the gusts."})
    if setup.gust_ms is not None and setup.gust_ms < (setup.wind_ms or 0):
        raise ValidationError({"gust_ms": "Gusts are never below the mean wind."})
    setup.full_clean()
    setup.save()
    if rigs is not None:
        _choose_rigs(plan, rigs)
    return setup


def _choose_rigs(plan: DayPlan, rigs: Sequence[ChosenRig]) -> None:
    rods = sum(one.rods for one in rigs)
    if rods > plan.rods:
        raise ValidationError(
            {"rigs": f"{rods} rods are given a rig, and {plan.rods} are planned."}
        )
    if len({one.rig.pk for one in rigs}) < len(rigs):
        raise ValidationError({"rigs": "One rig is chosen twice: give it all its rods at once."})
    plan.planned_rigs.all().delete()
    for position, one in enumerate(rigs, 1):
        row = PlannedRig(
            plan=plan,
            rig=one.rig,
            rods=one.rods,
            position=position,
            weak_link_kgf=one.weak_link_kgf,
        )
        row.keep_words({"weak_link_kgf": one.weak_link_kgf})
        row.full_clean()
        row.save()


@transaction.atomic
def mark_prep(
    *,
    plan: DayPlan,
    item: str,
    done: bool | None = None,
    back: bool | None = None,
    who: str | None = None,
    at: datetime.datetime | None = None,
    by: Any = None,
) -> PrepMark:
    """Set what is known of one line of a day's lists. Setting the same again changes nothing.

    None leaves a mark as it is; `done` False takes a tick back.
    """
    at = at or timezone.now()
    mark, _ = PrepMark.objects.select_for_update().get_or_create(plan=plan, item=item)
    if who is not None:
        mark.who = " ".join(who.split())
    if done is not None and done != (mark.done_at is not None):
        mark.done_at, mark.by = (at if done else None), by
    if back is not None and back != (mark.back_at is not None):
        mark.back_at, mark.by = (at if back else None), by
    mark.full_clean()
    mark.save()
    return mark


@transaction.atomic
def assign_prep(*, plan: DayPlan, who: dict[str, str]) -> None:
    """Who takes what: names by the lines of a day's lists, written together."""
    known = {mark.item: mark for mark in plan.prep_marks.all()}
    for item, name in who.items():
        held = known[item].who if item in known else ""
        if " ".join(name.split()) != held:
            mark_prep(plan=plan, item=item, who=name)


@transaction.atomic
def save_charger(*, charger: Charger | None = None, **fields: Any) -> Charger:
    """A charger for flight packs."""
    charger = charger or Charger()
    for name, value in fields.items():
        setattr(charger, name, value)
    charger.full_clean()
    charger.save()
    return charger


@transaction.atomic
def save_load_line(*, line: LoadLine | None = None, **fields: Any) -> LoadLine:
    """Something that goes along on every day."""
    line = line or LoadLine()
    for name, value in fields.items():
        setattr(line, name, value)
    line.full_clean()
    line.save()
    return line


@transaction.atomic
def copy_house_load() -> int:
    """Write the house's list down as the guide's own, to change; done again it adds nothing."""
    if LoadLine.objects.exists():
        return 0
    places: dict[str, int] = {}
    rows = []
    for group, text, count, per in HOUSE_LOAD:
        places[group] = places.get(group, 0) + 1
        rows.append(
            LoadLine(group=group.value, text=text, count=count, per=per, position=places[group])
        )
    LoadLine.objects.bulk_create(rows)
    return len(rows)
