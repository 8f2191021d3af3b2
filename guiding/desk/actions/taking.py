"""Writes what is advised to take along on the plan of a trip."""

from __future__ import annotations

from django.core.exceptions import ValidationError
from django.db import transaction

from bookings.models import Business
from equipment.models import Craft, FlightPack, Reel
from guiding.days.actions.plans import change_plan
from guiding.days.models import DayPlan
from guiding.desk.sheets.gather import gather
from guiding.desk.sheets.taking import Taking, what_to_take

_ROUNDS = 4


@transaction.atomic
def take_advice(*, trip_pk: int, business: Business) -> DayPlan:
    """Put on the plan what goes, in the order of the advice.

    How many packs are needed follows from those that are along: what was advised without any is
    looked at again with them, until plan and advice agree.
    """
    plan: DayPlan | None = None
    for _round in range(_ROUNDS):
        file = gather(trip_pk, business=business)
        found = what_to_take(file) if file else None
        if file is None or file.plan is None or found is None:
            raise ValidationError("This trip has no plan yet: choose its spot first.")
        plan = file.plan
        if found.as_planned:
            break
        _put_on(plan, found)
    assert plan is not None  # noqa: S101  there is a round at least
    return plan


def _put_on(plan: DayPlan, found: Taking) -> None:
    advice = found.suggestions
    craft, packs, reels = (
        [one.fitness.thing_id for one in things if one.take]
        for things in (advice.craft, advice.packs, advice.reels)
    )
    pack_rows, reel_rows = FlightPack.objects.in_bulk(packs), Reel.objects.in_bulk(reels)
    change_plan(
        plan=plan,
        craft=Craft.objects.filter(pk__in=craft[:1]).first(),
        packs=[pack_rows[number] for number in packs],
        reels=[reel_rows[number] for number in reels],
    )
