"""The figures for flying as they hold now: the house's, and what the guide chose instead."""

from __future__ import annotations

from dataclasses import fields
from typing import Any

from guiding.days.models import FlyingChoice
from guiding.flying.defaults import FlyingDefaults


def flying_choice() -> FlyingChoice:
    """The row of what was chosen; an empty one where nothing was."""
    return FlyingChoice.objects.first() or FlyingChoice()


def flying_defaults() -> FlyingDefaults:
    """What every computation of a flight, a line and a rig goes by; one query.

    A name that is no figure any more is passed over.
    """
    known = {field.name for field in fields(FlyingDefaults)}
    chosen = flying_choice().figures
    figures: dict[str, Any] = {
        name: tuple(value) if isinstance(value, list) else value
        for name, value in chosen.items()
        if name in known
    }
    return FlyingDefaults(**figures)
