"""What a number may be, told in words at its field before the database would refuse the row."""

from __future__ import annotations

from collections.abc import Mapping
from math import inf, isfinite

from django.core.exceptions import ValidationError
from django.db.models import Model

Ranges = Mapping[str, tuple[float, float]]


def check_ranges(row: Model, ranges: Ranges) -> None:
    """ValidationError with a sentence for every number of the row outside its range.

    Both ends belong to a range; a number that is not known yet is left to its field.
    """
    problems = {}
    for name, (least, most) in ranges.items():
        number = getattr(row, name)
        if number is None or (isfinite(number) and least <= number <= most):
            continue
        wanted = f"{least:g} or more" if most == inf else f"{least:g} to {most:g}"
        problems[name] = f"{number:g} cannot be used here: give {wanted}."
    if problems:
        raise ValidationError(problems)
