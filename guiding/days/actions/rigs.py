"""Writes about rigs: a recipe is written whole, and only when it is safe to tie."""

from __future__ import annotations

import datetime
from collections.abc import Mapping, Sequence
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone

from guiding.days.models import Rig, RigPart, Tackle
from guiding.days.queries.flying import flying_defaults
from guiding.days.sheets.rigs import recipe
from guiding.flying.rigs import least_dropper_spacing_m, strength_faults, two_dropper_rig
from guiding.flying.strength import strength_kgf_from_n, strength_n_from_kgf


@transaction.atomic
def save_rig(*, rig: Rig | None = None, parts: Sequence[Mapping[str, Any]], **fields: Any) -> Rig:
    """A recipe with its parts, in the order in which they are tied.

    Refused where the order of strength is broken or hooks could meet: such a rig is not tied.
    """
    rig = rig or Rig()
    for name, value in fields.items():
        setattr(rig, name, value)
    rig.keep_words(fields)
    rig.full_clean()
    rows = [_part(n, part) for n, part in enumerate(parts, 1)]
    _judge_parts(rows)
    _judge_whole(rig, rows)
    rig.save()
    rig.parts.all().delete()
    for row in rows:
        row.rig = rig
    RigPart.objects.bulk_create(rows)
    return rig


def _part(position: int, part: Mapping[str, Any]) -> RigPart:
    row = RigPart(position=position, **part)
    row.keep_words(part)
    return row


def _judge_parts(rows: Sequence[RigPart]) -> None:
    """Every line of the recipe by itself, each problem with the number of its line."""
    problems = []
    for row in rows:
        try:
            row.full_clean(exclude=["rig"], validate_unique=False, validate_constraints=False)
        except ValidationError as wrong:
            problems += [
                f"Line {row.position}, {_label(name)}: {sentence}"
                for name, sentences in wrong.message_dict.items()
                for sentence in sentences
            ]
    if problems:
        raise ValidationError({"parts": problems})


def _label(name: str) -> str:
    if name == "__all__":
        return "as a whole"
    return str(getattr(RigPart._meta.get_field(name), "verbose_name", name))


def _judge_whole(rig: Rig, rows: Sequence[RigPart]) -> None:
    try:
        made = recipe(rig, parts=rows)
        faults = list(strength_faults(made, strength_n_from_kgf(rig.main_strength_kgf)))
        least_m = least_dropper_spacing_m(made, flying_defaults())
    except ValueError as refusal:
        raise ValidationError({"parts": str(refusal)}) from None
    if least_m and made.dropper_spacing_m <= least_m:
        faults.append(
            f"Droppers are {made.dropper_spacing_m:.2f} m apart and must be more than "
            f"{least_m:.2f} m apart: shorten them or set them wider, so that hooks cannot meet."
        )
    if faults:
        raise ValidationError({"parts": faults})


def usual_parts(
    *, main_strength_kgf: float, bait_g: float = 80, sinker_g: float = 150, hook: str = "6/0"
) -> tuple[dict[str, Any], list[dict[str, Any]]]:
    """The usual beach rig as fields and parts to begin a recipe from; nothing is written."""
    try:
        usual = two_dropper_rig(strength_n_from_kgf(main_strength_kgf), bait_g, sinker_g, hook)
    except ValueError as refusal:
        raise ValidationError({"main_strength_kgf": str(refusal)}) from None
    fields = {
        "name": usual.name,
        "main_strength_kgf": main_strength_kgf,
        "first_dropper_m": usual.first_dropper_m,
        "dropper_spacing_m": usual.dropper_spacing_m,
        "bait_g": usual.bait_g,
        "origin": usual.origin,
    }
    parts = [
        {
            "kind": part.kind.value,
            "name": part.name,
            "count": part.count,
            "length_m": part.length_m,
            "strength_kgf": None
            if part.strength_n is None
            else round(strength_kgf_from_n(part.strength_n), 2),
            "mass_g": part.mass_g,
        }
        for part in usual.parts
    ]
    return fields, parts


@transaction.atomic
def set_rigs_ready(*, rig: Rig, ready: int) -> Rig:
    """How many of a recipe are tied and lie ready."""
    rig.ready = ready
    rig.full_clean()
    rig.save()
    return rig


@transaction.atomic
def shelve_rig(*, rig: Rig, on: datetime.date | None = None) -> Rig:
    """Put a recipe aside: days that fished it keep it, no new day is offered it."""
    rig.shelved_on = on or timezone.localdate()
    rig.save()
    return rig


@transaction.atomic
def take_rig_up(*, rig: Rig) -> Rig:
    """Take a recipe that was put aside up again."""
    rig.shelved_on = None
    rig.save()
    return rig


@transaction.atomic
def save_tackle(*, tackle: Tackle | None = None, **fields: Any) -> Tackle:
    """What lies in the box of one thing."""
    tackle = tackle or Tackle()
    for name, value in fields.items():
        setattr(tackle, name, value)
    tackle.full_clean()
    tackle.save()
    return tackle
