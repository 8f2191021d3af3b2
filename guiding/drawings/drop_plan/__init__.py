"""The plan of a drop: who stands where, where the craft flies, where the load may fall."""

from guiding.drawings.drop_plan.drawing import drop_plan, drop_plan_svg
from guiding.drawings.drop_plan.facts import (
    DropPlanFacts,
    DropWords,
    HeightPoint,
    MarkKind,
    ShoreMark,
    ShorePoint,
)
from guiding.drawings.drop_plan.rows import DropRow, drop_plan_rows

__all__ = [
    "DropPlanFacts",
    "DropRow",
    "DropWords",
    "HeightPoint",
    "MarkKind",
    "ShoreMark",
    "ShorePoint",
    "drop_plan",
    "drop_plan_rows",
    "drop_plan_svg",
]
