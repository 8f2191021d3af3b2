"""Go, hold or call off: the facts of a day, what they come to, and a copy that can be replayed."""

from guiding.days.rules.decision.copy import FrozenCopy, frozen_copy, replayed
from guiding.days.rules.decision.facts import (
    CraftLimits,
    DayFacts,
    DayHours,
    FlyFacts,
    ForecastFacts,
    PartyFacts,
    SeaFacts,
    SpotLimits,
    Stretch,
    TheHouse,
)
from guiding.days.rules.decision.findings import day_findings, may_fly
from guiding.days.rules.decision.proposal import Call, Proposal, proposal, seen_mark

__all__ = [
    "Call",
    "CraftLimits",
    "DayFacts",
    "DayHours",
    "FlyFacts",
    "ForecastFacts",
    "FrozenCopy",
    "PartyFacts",
    "Proposal",
    "SeaFacts",
    "SpotLimits",
    "Stretch",
    "TheHouse",
    "day_findings",
    "frozen_copy",
    "may_fly",
    "proposal",
    "replayed",
    "seen_mark",
]
