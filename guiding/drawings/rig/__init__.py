"""A rig to scale, with its numbered key."""

from guiding.drawings.rig.drawing import rig_diagram, rig_svg
from guiding.drawings.rig.facts import (
    RigBranch,
    RigFacts,
    RigPiece,
    RigWords,
    StrengthUnit,
)
from guiding.drawings.rig.rows import RigRow, rig_rows

__all__ = [
    "RigBranch",
    "RigFacts",
    "RigPiece",
    "RigRow",
    "RigWords",
    "StrengthUnit",
    "rig_diagram",
    "rig_rows",
    "rig_svg",
]
