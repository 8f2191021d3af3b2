"""What a rig is drawn from."""

from dataclasses import dataclass, field
from enum import StrEnum


class StrengthUnit(StrEnum):
    """Unit in which strengths are shown; they are always given in newtons."""

    NEWTON = "N"
    KILOGRAM_FORCE = "kgf"
    POUND = "lb"


@dataclass(frozen=True, slots=True)
class RigPiece:
    """A piece of line: its name, the length of one piece, what it bears."""

    name: str
    length_m: float
    strength_n: float

    def __post_init__(self) -> None:
        if not self.length_m > 0 or not self.strength_n > 0:
            raise ValueError(
                f"The piece '{self.name}' needs a length and a strength above nought to be drawn."
            )


@dataclass(frozen=True, slots=True)
class RigBranch:
    """A dropper: how far down the trace it leaves, the piece, and what hangs on it."""

    at_m: float
    piece: RigPiece
    hook: str = ""
    bait: str = ""


@dataclass(frozen=True, slots=True)
class RigWords:
    """Words and marks of one language."""

    language: str = "en"
    decimal_mark: str = "."
    to_scale: str = "to scale, in metres"
    strongest_first: str = "parts first"
    down_trace: str = "down the trace"
    to_reel: str = "to the reel"
    to_clip: str = "to the clip"


@dataclass(frozen=True, slots=True)
class RigFacts:
    """A rig from the top down; a part that a rig does not have is None or empty."""

    title: str
    main: RigPiece
    trace: RigPiece
    weak_link: RigPiece | None = None
    branches: tuple[RigBranch, ...] = ()
    sinker_link: RigPiece | None = None
    sinker: str = ""
    warnings: tuple[str, ...] = ()
    strength_unit: StrengthUnit = StrengthUnit.KILOGRAM_FORCE
    words: RigWords = field(default_factory=RigWords)

    def __post_init__(self) -> None:
        for one in self.branches:
            if not 0 <= one.at_m <= self.trace.length_m:
                raise ValueError(
                    f"A dropper of '{self.title}' leaves {one.at_m:g} m down a trace of "
                    f"{self.trace.length_m:g} m; it must leave on the trace."
                )
