"""Writes about spots and rates."""

from __future__ import annotations

import datetime
from collections.abc import Sequence
from math import inf
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction

from guiding.days.actions.ranges import check_ranges
from guiding.days.models import CostBasis, CostRate, Spot, WindLimit
from guiding.days.rules.gpx import Waypoint

_SPOT = {
    "wave_caution_m": (0.1, 30),
    "wave_stop_m": (0.1, 30),
    "period_caution_s": (1, 60),
    "wind_stop_ms": (1, 100),
}
_BASIS = {
    "guide_rate": (0, inf),
    "overhead": (0, inf),
    "days_run": (1, 366),
    "days_called_off": (0, 366),
    "call_off_cost": (0, inf),
    "fee_percent": (0, 99.99),
    "fee_fixed": (0, inf),
    "wished_margin_percent": (0, 99.99),
}


@transaction.atomic
def save_spot(
    *, spot: Spot | None = None, wind_limits: Sequence[WindLimit] | None = None, **fields: Any
) -> Spot:
    """A spot with its limits; `wind_limits` replace those of before where they are given."""
    spot = spot or Spot()
    for name, value in fields.items():
        setattr(spot, name, value)
    spot.keep_words(fields)
    check_ranges(spot, _SPOT)
    problems = _out_of_order(spot)
    if problems:
        raise ValidationError(problems)
    spot.full_clean()
    spot.save()
    if wind_limits is not None:
        _set_wind_limits(spot, wind_limits)
    return spot


def _out_of_order(spot: Spot) -> dict[str, str]:
    problems = {}
    if spot.wave_stop_m < spot.wave_caution_m:
        problems["wave_stop_m"] = "The stop limit for waves lies below the caution limit."
    if spot.period_stop_s is not None and spot.period_stop_s < spot.period_caution_s:
        problems["period_stop_s"] = "The stop limit for the period lies below the caution limit."
    over, under = spot.fish_over_m, spot.fish_under_m
    if over is not None and under is not None and under <= over:
        problems["fish_under_m"] = "No tide is over the first height and under the second."
    return problems


def _set_wind_limits(spot: Spot, limits: Sequence[WindLimit]) -> None:
    for number, limit in enumerate(limits, 1):
        limit.spot = spot
        try:
            limit.full_clean(exclude=["spot"])
        except ValidationError as wrong:
            words = " ".join(wrong.messages)
            raise ValidationError({"wind_limits": f"Wind limit {number}: {words}"}) from None
    spot.wind_limits.all().delete()
    WindLimit.objects.bulk_create(limits)


@transaction.atomic
def move_spots(*, places: Sequence[tuple[Spot, Waypoint]]) -> int:
    """Move spots to the waypoints of a file; all of them or none. How many were moved."""
    for spot, point in places:
        spot.latitude, spot.longitude = point.latitude_deg, point.longitude_deg
        spot.full_clean()
        spot.save()
    return len(places)


@transaction.atomic
def save_rate(*, rate: CostRate | None = None, **fields: Any) -> CostRate:
    """A rate from a day on. The old one of a changed rate ends the day before: reports repeat."""
    rate = rate or CostRate()
    for name, value in fields.items():
        setattr(rate, name, value)
    if rate.per is not None and rate.per <= 0:
        raise ValidationError({"per": "A rate is for more than 0 units."})
    if rate.valid_until and rate.valid_until < rate.valid_from:
        raise ValidationError({"valid_until": "The rate ends before it begins."})
    rate.full_clean()
    rate.save()
    return rate


@transaction.atomic
def save_basis(*, valid_from: datetime.date, **fields: Any) -> CostBasis:
    """What a season carries from a day on; entered again for the same day it is replaced."""
    basis = CostBasis.objects.filter(valid_from=valid_from).first() or CostBasis()
    basis.valid_from = valid_from
    for name, value in fields.items():
        setattr(basis, name, value)
    check_ranges(basis, _BASIS)
    basis.full_clean()
    basis.save()
    return basis
