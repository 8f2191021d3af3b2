"""When everybody must be on the way out of a trip, and the vehicle off the sand."""

from __future__ import annotations

import datetime

from guiding.desk.sheets.gather import TripFile


def leave_by(file: TripFile) -> datetime.datetime | None:
    """When everybody must leave: the tide, with the waves where they are known, at the sill."""
    return file.conditions.leave_by_at if file.conditions else None


def leave_by_reason(file: TripFile) -> str:
    """What the leave-by is made of; empty where the way out stays open."""
    if file.conditions is None or file.conditions.leave_by_at is None or file.plan is None:
        return ""
    sea, spot = file.conditions.facts.sea, file.plan.spot
    house = file.conditions.facts.house
    waves = (
        f"waves running up {sea.run_up_m:.1f} m"
        if sea.run_up_m is not None
        else f"no waves in it ({sea.run_up_why}): leave earlier in a swell"
    )
    return (
        f"Sill {spot.sill_m:g} m less {house.margin_m:g} m, {waves}; {spot.walk_out_min} min walk, "
        f"{spot.pack_up_min} min pack-up, {house.slack_min:g} min kept."
    )


def last_drive_out(file: TripFile) -> tuple[datetime.datetime | None, str]:
    """When the vehicle must be off the sand, and why."""
    if file.conditions is None:
        return None, ""
    sea = file.conditions.facts.sea
    return sea.last_drive_out_at, sea.drive_why
