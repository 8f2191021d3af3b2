"""Whether bait may be flown out, and with what: papers and gear, asked for a day."""

from __future__ import annotations

import datetime
from collections.abc import Iterable
from dataclasses import dataclass

from django.db.models import QuerySet

from equipment.queries.gear import GearState, gear_list
from guiding.days.models import Charger, DayPlan, DropPermit, DropSetup, PlannedRig, Spot
from guiding.days.queries.flights import chargers, logged_drops
from guiding.days.queries.flying import flying_defaults
from guiding.flying.defaults import HOUSE, FlyingDefaults
from guiding.flying.learned import LoggedDrop
from guiding.flying.permission import DropPermission, Permission, PermissionKind, drop_permission


def permits() -> QuerySet[DropPermit]:
    """Every permission on record with its spots, aviation first, the newest first."""
    return DropPermit.objects.prefetch_related("spots")


def permission_on(*, spot: Spot, on: datetime.date) -> DropPermission:
    """The gate for a place and a day: both permissions proven, or cast only with the reasons.

    Uses the spot's permits where they were fetched along with it.
    """
    return drop_permission(drop_papers(spot), spot.name, on)


def drop_papers(spot: Spot) -> tuple[Permission, ...]:
    """The permissions on record for a place as plain values, for asking about many days."""
    return tuple(_paper(permit, spot) for permit in spot.permits.all())


def _paper(permit: DropPermit, spot: Spot) -> Permission:
    return Permission(
        kind=PermissionKind(permit.kind),
        authority=permit.authority,
        number=permit.number,
        places=(spot.name,),
        valid_from=permit.valid_from,
        valid_to=permit.holds_until,
        covers_dropping=permit.covers_dropping,
        on_file=permit.is_on_file,
        height_limit_m=permit.height_limit_m,
        people_distance_m=permit.people_distance_m,
    )


@dataclass(frozen=True, slots=True)
class PlannedGear:
    """What a plan takes to fly and fish with, each thing in the state it is in on the day."""

    craft: GearState | None
    packs: tuple[GearState, ...]
    reels: tuple[GearState, ...]
    rigs: tuple[PlannedRig, ...]
    setup: DropSetup
    chargers: tuple[Charger, ...]
    log: tuple[LoggedDrop, ...]
    defaults: FlyingDefaults = HOUSE


def planned_gear(
    *,
    plan: DayPlan,
    on: datetime.date,
    known: Iterable[GearState] = (),
    then: datetime.datetime | None = None,
) -> PlannedGear:
    """The gear of a plan in its order of use; a fixed number of queries.

    The log teaches what was flown before the session: a day is not judged by its own drops.

    `known` are states of that day that were asked for already; the rest is asked for here, what
    has been retired since it was chosen too.
    """
    packs = [row.pk for row in plan.packs.all()]
    reels = [row.pk for row in plan.reels.all()]
    wanted = [*packs, *reels, *([plan.craft_id] if plan.craft_id else [])]
    states = {state.thing_id: state for state in known}
    missing = [pk for pk in wanted if pk not in states]
    if missing:
        asked = gear_list(on=on, drop_m=plan.drop_m, things=missing, with_retired=True)
        states |= {state.thing_id: state for state in asked}
    defaults = flying_defaults(at=then)
    rigs = plan.planned_rigs.select_related("rig").prefetch_related("rig__parts")
    return PlannedGear(
        craft=states.get(plan.craft_id) if plan.craft_id else None,
        packs=tuple(states[pk] for pk in packs if pk in states),
        reels=tuple(states[pk] for pk in reels if pk in states),
        rigs=tuple(rigs),
        setup=DropSetup.objects.filter(plan=plan).first() or DropSetup(plan=plan),
        chargers=tuple(chargers()),
        log=logged_drops(
            craft=plan.craft_id,
            before=plan.session_start,
            newest=defaults.learn_newest_drops,
        )
        if plan.craft_id
        else (),
        defaults=defaults,
    )
