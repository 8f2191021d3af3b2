"""What a unit of each driver costs on a day."""

from __future__ import annotations

import datetime

from django.db.models import Q, QuerySet

from guiding.days.models import CostBasis, CostRate


def rates_on(*, on: datetime.date) -> QuerySet[CostRate]:
    """The rates in force on a day, in the order they were entered."""
    return CostRate.objects.filter(Q(valid_until=None) | Q(valid_until__gte=on), valid_from__lte=on)


def basis_on(*, on: datetime.date) -> CostBasis | None:
    """What a season carries and what the guide's hour is worth, as of a day."""
    return CostBasis.objects.filter(valid_from__lte=on).order_by("-valid_from").first()
