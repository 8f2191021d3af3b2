"""Line: onto a reel, from reel to reel, turned, cut back, taken off."""

from __future__ import annotations

import datetime
import uuid
from decimal import Decimal
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import formats, timezone

from equipment.actions.use import record_use
from equipment.models import Line, Reel, Spooling, Thing, UseEntry
from equipment.rules.line import line_capacity_m


@transaction.atomic
def spool_line(
    *,
    reel: Reel,
    spooled_m: float,
    diameter_mm: float,
    strength_kgf: float,
    material: str = Line.Material.BRAID,
    colour: str = "",
    price_per_m: Decimal = Decimal(0),
    backing_m: float = 0.0,
    on: datetime.date | None = None,
    now: datetime.datetime | None = None,
) -> Spooling:
    """Put a new line on a reel; the line that was on it comes off on the same day. The same line
    sent twice is put on once."""
    day = on or timezone.localdate(now)
    _lock(reel)
    line = Line(
        material=material,
        strength_kgf=strength_kgf,
        diameter_mm=diameter_mm,
        colour=colour,
        spooled_m=spooled_m,
        price_per_m=price_per_m,
        bought_on=day,
    )
    line.keep_words(
        {"spooled_m": spooled_m, "diameter_mm": diameter_mm, "strength_kgf": strength_kgf}
    )
    line.full_clean()
    _check_fill(reel, line)
    before = Spooling.objects.filter(reel=reel.pk, on_until=None, on_from=day).first()
    if before is not None and before.line.used_m == 0 and _alike(before.line, line):
        return before
    line.save()
    return _put_on(reel, line, day, backing_m, turned=False, now=now)


@transaction.atomic
def move_line(
    *,
    line: Line,
    reel: Reel,
    on: datetime.date | None = None,
    backing_m: float = 0.0,
    turned: bool = True,
) -> Spooling:
    """Wind a line from its reel onto another. Wound over directly the worn end comes to lie
    inside (`turned`); wound over twice it stays outside."""
    day = on or timezone.localdate()
    _lock(reel)
    _check_fill(reel, line)
    before = Spooling.objects.filter(line=line, on_until=None).select_related("reel").first()
    worn_inside = bool(before and before.reversed)
    if before is not None:
        if before.reel_id == reel.pk:
            raise ValidationError({"reel": f"The line is on {reel.label} already."})
        _take_off(before, day)
    return _put_on(reel, line, day, backing_m, turned=worn_inside != turned)


@transaction.atomic
def take_off_line(*, reel: Reel, on: datetime.date | None = None) -> Spooling:
    """Leave a reel bare; the line and its history are kept."""
    _lock(reel)
    spooling = _on_the_reel(reel)
    _take_off(spooling, on or timezone.localdate())
    return spooling


def cut_back(
    *,
    reel: Reel,
    metres: float,
    at: datetime.datetime | None = None,
    trip_uid: uuid.UUID | None = None,
    note: str = "",
    key: uuid.UUID | None = None,
    by: Any = None,
) -> UseEntry:
    """Cut metres off the working end."""
    return record_use(
        thing=reel,
        kind=UseEntry.Kind.CUT_BACK_M,
        amount=metres,
        at=at,
        trip_uid=trip_uid,
        note=note,
        key=key,
        by=by,
    )


def reverse_line(
    *,
    reel: Reel,
    at: datetime.datetime | None = None,
    note: str = "",
    key: uuid.UUID | None = None,
    by: Any = None,
) -> UseEntry:
    """Turn the line on its reel, so that the worn end lies inside."""
    return record_use(
        thing=reel, kind=UseEntry.Kind.LINE_REVERSED, at=at, note=note, key=key, by=by
    )


def _lock(reel: Reel) -> None:
    """Two hands at one reel wait for each other."""
    Thing.objects.select_for_update().get(pk=reel.pk)


def _alike(one: Line, other: Line) -> bool:
    names = ("material", "strength_kgf", "diameter_mm", "colour", "spooled_m", "price_per_m")
    return all(getattr(one, name) == getattr(other, name) for name in names)


def _on_the_reel(reel: Reel) -> Spooling:
    spooling = Spooling.objects.select_for_update().filter(reel=reel.pk, on_until=None).first()
    if spooling is None:
        raise ValidationError(f"{reel.label} has no line on it.")
    return spooling


def _check_fill(reel: Reel, line: Line) -> None:
    """Refuse more line than the spool holds, where the maker's capacity is known."""
    if reel.rated_m is None or reel.rated_mm is None:
        return
    room_m = line_capacity_m(
        rated_length_m=reel.rated_m,
        rated_diameter_mm=reel.rated_mm,
        new_diameter_mm=line.diameter_mm,
    )
    if line.left_m > room_m * 1.001:
        raise ValidationError(
            {
                "spooled_m": f"{reel.label} holds {room_m:.0f} m of {line.diameter_mm:g} mm line; "
                f"{line.left_m:g} m do not fit. Spool less, or a thinner line."
            }
        )


def _put_on(
    reel: Reel,
    line: Line,
    day: datetime.date,
    backing_m: float,
    *,
    turned: bool,
    now: datetime.datetime | None = None,
) -> Spooling:
    if day > timezone.localdate(now):
        raise ValidationError({"on": "That day is still to come; spool it then."})
    if reel.bought_on and day < reel.bought_on:
        raise ValidationError({"on": f"{reel.label} had not been bought by then."})
    if reel.retired_on is not None:
        raise ValidationError(f"{reel.label} is retired; take it back into use first.")
    old = Spooling.objects.select_for_update().filter(reel=reel.pk, on_until=None).first()
    if old is not None:
        _take_off(old, day)
    row = Spooling(reel=reel, line=line, on_from=day, backing_m=backing_m, reversed=turned)
    row.full_clean()
    row.save()
    return row


def _take_off(spooling: Spooling, day: datetime.date) -> None:
    if day < spooling.on_from:
        since = formats.date_format(spooling.on_from, "j F Y")
        raise ValidationError({"on": f"The line on {spooling.reel} went on later, on {since}."})
    spooling.on_until = day
    spooling.save(update_fields=["on_until"])
