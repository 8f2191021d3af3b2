"""Questions about rigs: recipes, what lies in the box, what the log says of losses."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass

from django.db.models import Count, Q, QuerySet

from guiding.days.models import Drop, Rig, Tackle

# Fewer drops say nothing yet about how many rigs the bottom keeps. House default.
LEARN_LOSSES_AFTER = 20


@dataclass(frozen=True, slots=True)
class RigLosses:
    """Drops flown with a rig, and how many rigs they cost."""

    drops: int
    lost: int

    @property
    def share(self) -> float | None:
        """Rigs lost per drop, once there are enough drops to say."""
        return self.lost / self.drops if self.drops >= LEARN_LOSSES_AFTER else None


def rigs(*, shelved: bool = False) -> QuerySet[Rig]:
    """Recipes with their parts, by name; those put aside only when asked for."""
    return Rig.objects.filter(shelved_on__isnull=not shelved).prefetch_related("parts")


def tackle() -> QuerySet[Tackle]:
    return Tackle.objects.all()


def losses(*, rigs: Collection[int]) -> dict[int, RigLosses]:
    """What the standing entries of the log say of each rig, by its id."""
    rows = (
        Drop.objects.filter(rig__in=rigs, reverses=None, reversed_by=None)
        .order_by()
        .values("rig_id")
        .annotate(drops=Count("pk"), lost=Count("pk", filter=Q(rig_lost=True)))
    )
    return {row["rig_id"]: RigLosses(row["drops"], row["lost"]) for row in rows}
