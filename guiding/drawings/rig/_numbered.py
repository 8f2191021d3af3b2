"""The parts of a rig in the order of the drawing, each with its number."""

from dataclasses import dataclass
from enum import StrEnum

from guiding.drawings.rig.facts import RigBranch, RigFacts, RigPiece


class Place(StrEnum):
    MAIN = "main"
    LINK = "weak link"
    TRACE = "trace"
    BRANCH = "branch"
    FOOT = "sinker link"


@dataclass(frozen=True, slots=True)
class Part:
    """A piece of line with its number; two equal pieces are still two parts."""

    number: int
    place: Place
    piece: RigPiece
    branch: RigBranch | None = None

    @property
    def hook(self) -> str:
        return self.branch.hook if self.branch else ""

    @property
    def bait(self) -> str:
        return self.branch.bait if self.branch else ""


def numbered_parts(facts: RigFacts) -> list[Part]:
    """Every piece of line in the order of the drawing, left to right."""
    found: list[Part] = []

    def add(place: Place, piece: RigPiece | None, branch: RigBranch | None = None) -> None:
        if piece:
            found.append(Part(len(found) + 1, place, piece, branch))

    add(Place.MAIN, facts.main)
    add(Place.LINK, facts.weak_link)
    add(Place.TRACE, facts.trace)
    for one in sorted(facts.branches, key=lambda branch: branch.at_m):
        add(Place.BRANCH, one.piece, one)
    add(Place.FOOT, facts.sinker_link)
    return found
