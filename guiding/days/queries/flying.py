"""The figures for flying as they hold now: the house's, and what the guide chose instead."""

from __future__ import annotations

import datetime
from dataclasses import fields
from typing import Any

from guiding.days.models import FlyingChoice
from guiding.flying.defaults import FlyingDefaults


def flying_choice(*, at: datetime.datetime | None = None) -> FlyingChoice:
    """The row of what was chosen, now or at an instant; an empty one where nothing was."""
    rows = FlyingChoice.objects.all() if at is None else FlyingChoice.history.as_of(at)
    return rows.first() or FlyingChoice()


def flying_defaults(*, at: datetime.datetime | None = None) -> FlyingDefaults:
    """What every computation of a flight, a line and a rig goes by; one query.

    A name that is no figure any more is passed over. `at` asks for those of a past instant.
    """
    known = {field.name for field in fields(FlyingDefaults)}
    chosen = flying_choice(at=at).figures
    figures: dict[str, Any] = {
        name: tuple(value) if isinstance(value, list) else value
        for name, value in chosen.items()
        if name in known
    }
    return FlyingDefaults(**figures)
