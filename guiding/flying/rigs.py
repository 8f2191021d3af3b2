"""A rig as a recipe: its parts with lengths, strengths and counts, and which must part first."""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import StrEnum
from itertools import pairwise

from guiding.flying import ranges
from guiding.flying.defaults import HOUSE, FlyingDefaults
from guiding.flying.strength import as_sold

_PART_M = ranges.ValidRange("Length of a part", "m", 0, 50)
_PART_G = ranges.ValidRange("Mass of a part", "g", 0, 5000)
_PART_COUNT = ranges.ValidRange("Number of one part", "", 1, 200)
_BAIT_G = ranges.ValidRange("Bait on one hook", "g", 0, 5000)


class PartKind(StrEnum):
    """What a part of a rig is for."""

    WEAK_LINK = "weak link"
    TRACE = "trace"
    DROPPER = "dropper"
    SINKER_LINK = "sinker link"
    SWIVEL = "swivel"
    THREE_WAY = "three-way swivel"
    HOOK = "hook"
    SINKER = "sinker"
    RELEASE = "release loop"


LINE_KINDS = (PartKind.WEAK_LINK, PartKind.TRACE, PartKind.DROPPER, PartKind.SINKER_LINK)
"""Parts cut from line: they have a length and a strength of their own."""

ORDER_OF_STRENGTH = (
    PartKind.WEAK_LINK,
    PartKind.SINKER_LINK,
    PartKind.DROPPER,
    PartKind.TRACE,
)
"""What parts first comes first; the main line, which may equal the trace, comes after."""


@dataclass(frozen=True, slots=True)
class RigPart:
    """One line of a recipe.

    `name` is what stands on the shopping list. `length_m` of each piece as fished, for parts cut
    from line; `strength_n` of the part without knots, needed for those. `inside_mm` is the inside
    width of a hook, where it has been measured.
    """

    kind: PartKind
    name: str
    count: int = 1
    length_m: float = 0.0
    strength_n: float | None = None
    mass_g: float = 0.0
    inside_mm: float | None = None

    def __post_init__(self) -> None:
        if not self.name.strip():
            raise ValueError(f"A part of the kind '{self.kind}' has no name: say what to buy.")
        _PART_COUNT.admit(self.count)
        _PART_M.admit(self.length_m)
        _PART_G.admit(self.mass_g)
        if self.strength_n is not None:
            ranges.STRENGTH_N.admit(self.strength_n)
        if self.kind in LINE_KINDS and not (self.length_m > 0 and self.strength_n):
            raise ValueError(
                f"'{self.name}' is cut from line: give the length of a piece and its strength."
            )


@dataclass(frozen=True, slots=True)
class Rig:
    """A recipe for one rig.

    Droppers branch off the trace, the first `first_dropper_m` below its top and each next one
    `dropper_spacing_m` further. `bait_g` is the bait on one hook. `origin` says where the recipe
    comes from.
    """

    name: str
    parts: tuple[RigPart, ...]
    dropper_spacing_m: float
    first_dropper_m: float
    bait_g: float
    origin: str = ""

    def __post_init__(self) -> None:
        _BAIT_G.admit(self.bait_g)
        _PART_M.admit(self.dropper_spacing_m)
        _PART_M.admit(self.first_dropper_m)
        kinds = {part.kind for part in self.parts}
        for wanted in (PartKind.TRACE, PartKind.HOOK):
            if wanted not in kinds:
                raise ValueError(f"The rig '{self.name}' has no {wanted}: add one to the recipe.")
        foot_m = self.first_dropper_m + self.dropper_spacing_m * (self.count(PartKind.DROPPER) - 1)
        if self.count(PartKind.DROPPER) and foot_m > self.length_m(PartKind.TRACE):
            raise ValueError(
                f"The lowest dropper of '{self.name}' would branch {foot_m:g} m down a trace of "
                f"{self.length_m(PartKind.TRACE):g} m: lengthen the trace or close the spacing."
            )

    def of(self, kind: PartKind) -> tuple[RigPart, ...]:
        """The lines of the recipe of one kind."""
        return tuple(part for part in self.parts if part.kind is kind)

    def count(self, kind: PartKind) -> int:
        """How many pieces of a kind one rig holds."""
        return sum(part.count for part in self.of(kind))

    def length_m(self, kind: PartKind) -> float:
        """All pieces of a kind end to end."""
        return sum(part.count * part.length_m for part in self.of(kind))


# Twice 400 g and the pull of 300 m of 0.30 mm line in the most wind that is flown in, and half of
# what a craft of two kilograms has to spare. House default.
_USUAL_LINK_N = 15.7


def two_dropper_rig(
    main_strength_n: float, bait_g: float = 80.0, sinker_g: float = 150.0, hook: str = "6/0"
) -> Rig:
    """Recipe of the usual beach rig: two droppers on three-way swivels, about five metres long.

    main_strength_n: strength of the main line without a knot, above 0..10000 N, of which trace,
    droppers and sinker link take 85, 70 and 35 % [house]; bait_g: on each hook, 0..5000; sinker_g:
    0..5000. ValueError outside. Common practice, no source. The weak link holds 15.7 N (1.6 kgf)
    [house], which lies in the window of a new plan on a line of 45 N or more, and less on a thinner
    one; it must be set from the window for the day's wind.
    """
    ranges.STRENGTH_N.admit(main_strength_n)
    kind, link_n = PartKind, min(_USUAL_LINK_N, 0.3 * main_strength_n)
    return Rig(
        name="Two droppers",
        parts=(
            RigPart(kind.RELEASE, "release loop", mass_g=1),
            RigPart(kind.WEAK_LINK, "weak-link line", 1, 0.15, link_n),
            RigPart(kind.SWIVEL, "barrel swivel", 2, strength_n=main_strength_n, mass_g=3),
            RigPart(kind.TRACE, "trace line", 1, 4.5, 0.85 * main_strength_n, mass_g=6),
            RigPart(kind.THREE_WAY, "three-way swivel", 2, strength_n=main_strength_n, mass_g=4),
            RigPart(kind.DROPPER, "dropper line", 2, 0.45, 0.70 * main_strength_n, mass_g=0.5),
            RigPart(kind.HOOK, f"hook {hook}", 2, mass_g=5),
            RigPart(kind.SINKER_LINK, "sinker-link line", 1, 0.35, 0.35 * main_strength_n),
            RigPart(kind.SINKER, f"sinker {sinker_g:g} g", 1, mass_g=sinker_g),
        ),
        dropper_spacing_m=1.5,
        first_dropper_m=1.2,
        bait_g=bait_g,
        origin="common practice, no source",
    )


def rig_length_m(rig: Rig) -> float:
    """Length of a rig from the clip to the sinker: weak link, trace and sinker link, in metres."""
    spine = (PartKind.WEAK_LINK, PartKind.TRACE, PartKind.SINKER_LINK)
    return sum(rig.length_m(kind) for kind in spine)


def rig_hang_m(rig: Rig) -> float:
    """What hangs below the craft, in metres: the rig, or its lowest dropper if that is longer."""
    lowest = max((part.from_m + part.branch_m for part in rig_layout(rig)), default=0.0)
    return max(rig_length_m(rig), lowest)


def rig_payload_g(rig: Rig) -> float:
    """What a rig weighs under the clip with all its baits on, in grams.

    Every part times its count, and the bait of one hook times the hooks.
    """
    return sum(p.count * p.mass_g for p in rig.parts) + rig.count(PartKind.HOOK) * rig.bait_g


@dataclass(frozen=True, slots=True)
class PlacedPart:
    """A part where it sits in the rig, in metres below the clip.

    A part of the spine runs from `from_m` to `to_m`; a dropper branches at `from_m` and is
    `branch_m` long; hardware sits at one point.
    """

    kind: PartKind
    name: str
    from_m: float
    to_m: float
    branch_m: float
    strength_n: float | None


def rig_layout(rig: Rig) -> tuple[PlacedPart, ...]:
    """Where each piece cut from line sits in a rig, top to bottom: for a drawing to scale.

    Spine pieces of one kind follow each other in the order of the recipe; droppers branch off
    where the recipe's spacing puts them.
    """
    placed, at_m, trace_top_m = [], 0.0, 0.0
    for kind in (PartKind.WEAK_LINK, PartKind.TRACE, PartKind.SINKER_LINK):
        if kind is PartKind.TRACE:
            trace_top_m = at_m
        for part in rig.of(kind):
            for _ in range(part.count):
                end_m = at_m + part.length_m
                placed.append(PlacedPart(kind, part.name, at_m, end_m, 0.0, part.strength_n))
                at_m = end_m
    branch_at_m = trace_top_m + rig.first_dropper_m
    for part in rig.of(PartKind.DROPPER):
        for _ in range(part.count):
            placed.append(
                PlacedPart(
                    PartKind.DROPPER, part.name, branch_at_m, branch_at_m, part.length_m,
                    part.strength_n,
                )
            )  # fmt: skip
            branch_at_m += rig.dropper_spacing_m
    return tuple(sorted(placed, key=lambda part: (part.from_m, part.to_m)))


def strength_faults(rig: Rig, main_strength_n: float) -> tuple[str, ...]:
    """What is wrong in the order of strength of a rig; empty where it is in order.

    main_strength_n: strength of the main line without a knot, above 0..10000 N. ValueError outside.
    The order: weak link, sinker link, dropper, trace, each weaker than the next, and the trace no
    stronger than the main line; a swivel no weaker than the trace it joins. Common practice.
    """
    ranges.STRENGTH_N.admit(main_strength_n)
    faults = []
    present = [kind for kind in ORDER_OF_STRENGTH if rig.of(kind)]
    for weaker, stronger in pairwise(present):
        top_n, bottom_n = _strongest_n(rig, weaker), _weakest_n(rig, stronger)
        if top_n >= bottom_n:
            faults.append(
                f"The {weaker} holds {as_sold(top_n)} and the {stronger} {as_sold(bottom_n)}: "
                f"make the {weaker} weaker than {as_sold(bottom_n)}."
            )
    for kind in present:
        if (top_n := _strongest_n(rig, kind)) > main_strength_n:
            faults.append(
                f"The {kind} holds {as_sold(top_n)} and the main line only "
                f"{as_sold(main_strength_n)}: make the {kind} no stronger than the main line."
            )
    trace_n = _strongest_n(rig, PartKind.TRACE)
    for part in (*rig.of(PartKind.SWIVEL), *rig.of(PartKind.THREE_WAY)):
        if part.strength_n is not None and part.strength_n < trace_n:
            faults.append(
                f"'{part.name}' holds {as_sold(part.strength_n)} and the trace "
                f"{as_sold(trace_n)}: take a swivel at least as strong as the trace."
            )
    return tuple(faults)


def _strongest_n(rig: Rig, kind: PartKind) -> float:
    return max(part.strength_n or 0.0 for part in rig.of(kind))


def _weakest_n(rig: Rig, kind: PartKind) -> float:
    return min(part.strength_n or math.inf for part in rig.of(kind))


def least_dropper_spacing_m(rig: Rig, defaults: FlyingDefaults = HOUSE) -> float:
    """Spacing that droppers must exceed so that their hooks cannot meet, in metres.

    Twice the longest dropper [common]; 0 for a rig with fewer than two.
    """
    droppers = rig.of(PartKind.DROPPER)
    if rig.count(PartKind.DROPPER) < 2:
        return 0.0
    return defaults.dropper_spacing_factor * max(part.length_m for part in droppers)


def hook_size_rank(size: str) -> int:
    """Rank of a hook size among all sizes, from the smallest: '32' is 1, '1' is 17, '20/0' is 37.

    size: an even number 32..2, '1', or '1/0'..'20/0'. ValueError otherwise. Sizes are no exact
    standard and makers differ: where a width is limited by law, measure the hook. Source: angling
    texts that agree on the order.
    """
    text = size.strip()
    number, slash, nought = text.partition("/")
    if number.isdecimal():
        value = int(number)
        if slash and nought == "0" and 1 <= value <= 20:
            return 17 + value
        if not slash and value == 1:
            return 17
        if not slash and value % 2 == 0 and 2 <= value <= 32:
            return 17 - value // 2
    raise ValueError(f"'{text}' is no hook size: give 32 to 2 in evens, 1, or 1/0 to 20/0.")
