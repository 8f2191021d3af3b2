"""The drop sheet: the plan of the drops, what the checks said, and the rigs to scale."""

from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum

from guiding.drawings.drop_plan import DropPlanFacts
from guiding.drawings.rig import RigFacts
from guiding.papers.records.letterhead import Letterhead
from guiding.papers.records.safety import Fact


class CheckVerdict(StrEnum):
    """What a check came to."""

    GO = "go"
    CAUTION = "caution"
    STOP = "stop"


@dataclass(frozen=True, slots=True)
class CheckRow:
    """One check: what it looked at, what it found, and what to do about it (empty on go)."""

    name: str
    verdict: CheckVerdict
    found: str
    fix: str = ""


@dataclass(frozen=True, slots=True)
class DropSheet:
    """The drops of a day. `facts` are the numbers to fly by: percent a drop, turn-back level.

    `plan` is None where nothing can be drawn yet. `rigs` are drawn to scale, each with what it
    takes to tie one.
    """

    letterhead: Letterhead
    title: str
    starts_at: datetime
    spot_name: str = ""
    cast_only: str = ""
    facts: tuple[Fact, ...] = ()
    checks: tuple[CheckRow, ...] = ()
    plan: DropPlanFacts | None = None
    rigs: tuple[tuple[RigFacts, tuple[str, ...]], ...] = ()
    notes: tuple[str, ...] = ()
