"""The demo's safety: papers in date, what the spots are like, two near misses."""

from __future__ import annotations

import datetime
import json
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from bookings.models import Business
from bookings.queries.trips import next_trips
from equipment.models import Thing
from guiding.days.models import Spot
from guiding.safety.actions.assessment import save_day_marks, save_spot_safety
from guiding.safety.actions.incidents import (
    add_follow_up,
    close_incident,
    enter_incident,
    finish_follow_up,
)
from guiding.safety.actions.papers import save_paper, save_paper_kind
from guiding.safety.models import Hazard, PaperKind


def make_safety(
    source: Path, *, business: Business, spots: dict[str, Spot], today: datetime.date
) -> None:
    """Everything that safety needs to be looked at, from the file beside the season."""
    told: dict[str, Any] = json.loads(source.read_text(encoding="utf-8"))
    for entry in told["papers"]:
        _paper(entry, list(spots.values()), today)
    for name, fields in told["spots"].items():
        save_spot_safety(spot=spots[name], **fields)
    noon = datetime.datetime.combine(today, datetime.time(12), business.tz)
    for trip in next_trips(at=noon).filter(plan__isnull=False):
        save_day_marks(trip=trip, **told["day"])
    for entry in told["near_misses"]:
        _near_miss(entry, business, spots, noon)


def _paper(entry: dict[str, Any], spots: Sequence[Spot], today: datetime.date) -> None:
    """A paper that is asked for and held; one each for craft or vehicles, one for all spots."""
    kind = save_paper_kind(kind=PaperKind.objects.get(name=entry["kind"]), in_force=True)
    each = entry.get("each", "")
    things: list[Thing | None] = [None]
    if each in {Thing.Kind.CRAFT, Thing.Kind.VEHICLE}:
        things = list(Thing.objects.filter(kind=each, retired_on=None))
    for n, thing in enumerate(things):
        save_paper(
            kind=kind,
            thing=thing,
            spots=spots if each == "spot" else (),
            number=f"{entry['number']}{chr(97 + n) if thing else ''}",
            issuer=entry["issuer"],
            valid_from=today + datetime.timedelta(days=entry["valid_from"]),
            valid_until=today + datetime.timedelta(days=entry["valid_until"]),
            conditions=entry.get("conditions", ""),
            copy_kept="folder 4",
        )


def _near_miss(
    entry: dict[str, Any], business: Business, spots: dict[str, Spot], noon: datetime.datetime
) -> None:
    at = noon - datetime.timedelta(days=entry["days_ago"])
    found = enter_incident(
        business=business,
        at=at + datetime.timedelta(hours=6),
        kind="near miss",
        happened_at=at,
        spot=spots[entry["spot"]],
        hazard=Hazard.objects.get(key=entry["hazard"]),
        what=entry["what"],
        causes=entry.get("causes", ""),
        lessons=entry.get("lessons", ""),
    )
    day = at.date() + datetime.timedelta(days=14)
    evening, later = at + datetime.timedelta(hours=6), at + datetime.timedelta(days=14)
    item = add_follow_up(incident=found, what=entry["todo"], due_on=day, at=evening)
    if entry["done"]:
        finish_follow_up(follow_up=item, on=day, note=entry["done"], at=later)
        close_incident(incident=found, at=later)
