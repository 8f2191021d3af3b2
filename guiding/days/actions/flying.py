"""Writes about the figures for flying."""

from __future__ import annotations

from dataclasses import fields
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction

from guiding.days.models import FlyingChoice
from guiding.flying.defaults import HOUSE, FlyingDefaults


@transaction.atomic
def save_flying_choice(**figures: Any) -> FlyingChoice:
    """What the guide chose; a figure that equals the house's is not kept, so that ours may improve.

    ValidationError names the figure that cannot be.
    """
    names = [field.name for field in fields(FlyingDefaults)]
    unknown = sorted(set(figures) - set(names))
    if unknown:
        raise ValidationError(f"There is no figure called {', '.join(unknown)}.")
    try:
        FlyingDefaults(**figures)
    except ValueError as refusal:
        about = next((name for name in names if str(refusal).startswith(name)), None)
        told = {about: "This" + str(refusal).removeprefix(about)} if about else str(refusal)
        raise ValidationError(told) from None
    row = FlyingChoice.objects.select_for_update().first() or FlyingChoice()
    row.figures = {name: value for name, value in figures.items() if value != getattr(HOUSE, name)}
    row.full_clean()
    row.save()
    return row
