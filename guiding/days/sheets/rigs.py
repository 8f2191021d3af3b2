"""Rigs: rows turned into the recipe that is checked and the drawing that is shown."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import chain

from guiding.days.models import Rig, RigPart
from guiding.drawings.rig import RigBranch, RigFacts, RigPiece, StrengthUnit
from guiding.flying import rigs as recipes
from guiding.flying.rigs import PartKind
from guiding.flying.strength import strength_n_from_kgf


def recipe(
    rig: Rig, *, parts: Iterable[RigPart] | None = None, weak_link_kgf: float | None = None
) -> recipes.Rig:
    """A recipe as the checks take it, with another weak link where the day asks for one.

    ValueError with a sentence where the rows do not make a rig.
    """
    rows = list(rig.parts.all()) if parts is None else list(parts)
    return recipes.Rig(
        name=rig.name,
        parts=tuple(_part(row, weak_link_kgf) for row in rows),
        dropper_spacing_m=rig.dropper_spacing_m,
        first_dropper_m=rig.first_dropper_m,
        bait_g=rig.bait_g,
        origin=rig.origin,
    )


def _part(row: RigPart, weak_link_kgf: float | None) -> recipes.RigPart:
    kind = PartKind(row.kind)
    kgf = row.strength_kgf
    if kind is PartKind.WEAK_LINK and weak_link_kgf is not None:
        kgf = weak_link_kgf
    return recipes.RigPart(
        kind=kind,
        name=row.name,
        count=row.count,
        length_m=row.length_m,
        strength_n=None if kgf is None else strength_n_from_kgf(kgf),
        mass_g=row.mass_g,
        inside_mm=row.inside_mm,
    )


def rig_facts(
    rig: recipes.Rig,
    *,
    main_strength_n: float,
    bait: str = "",
    warnings: Sequence[str] = (),
    imperial: bool = False,
) -> RigFacts:
    """A recipe as it is drawn: pieces of line to scale, hooks on their droppers."""
    hooks = list(chain.from_iterable([part.name] * part.count for part in rig.of(PartKind.HOOK)))
    told = " ".join(text for text in (f"{rig.bait_g:g} g" if rig.bait_g else "", bait) if text)
    trace_top_m = rig.length_m(PartKind.WEAK_LINK)
    branches = []
    for placed in recipes.rig_layout(rig):
        if placed.kind is not PartKind.DROPPER or placed.strength_n is None:
            continue
        hook = hooks.pop(0) if hooks else ""
        piece = RigPiece(placed.name, placed.branch_m, placed.strength_n)
        at_m = min(placed.from_m - trace_top_m, rig.length_m(PartKind.TRACE))
        branches.append(RigBranch(max(at_m, 0.0), piece, hook, told if hook else ""))
    sinkers = [part.name for part in rig.of(PartKind.SINKER) for _ in range(part.count)]
    at_the_end = [f"{hook}, {told}" if told else hook for hook in hooks]
    trace = _piece(rig, PartKind.TRACE)
    if trace is None:
        raise ValueError(f"The rig '{rig.name}' has no trace: add one to the recipe.")
    return RigFacts(
        title=rig.name,
        main=RigPiece("main line", 1.0, main_strength_n),
        trace=trace,
        weak_link=_piece(rig, PartKind.WEAK_LINK),
        branches=tuple(branches),
        sinker_link=_piece(rig, PartKind.SINKER_LINK),
        sinker="; ".join([*sinkers, *at_the_end]),
        warnings=tuple(warnings),
        strength_unit=StrengthUnit.POUND if imperial else StrengthUnit.KILOGRAM_FORCE,
    )


def _piece(rig: recipes.Rig, kind: PartKind) -> RigPiece | None:
    """All pieces of a kind as one: end to end, as strong as the weakest."""
    parts = rig.of(kind)
    if not parts:
        return None
    weakest_n = min(part.strength_n or 0.0 for part in parts)
    return RigPiece(parts[0].name, rig.length_m(kind), weakest_n)
