"""Dates typed on a command line."""

from __future__ import annotations

import datetime

from django.core.management.base import CommandError


def iso_day(typed: str) -> datetime.date:
    """A date written year-month-day, or one sentence about what is wrong with it."""
    try:
        return datetime.date.fromisoformat(typed)
    except ValueError:
        raise CommandError(
            f"{typed!r} is no date: write year, month and day, such as 2026-06-13."
        ) from None
