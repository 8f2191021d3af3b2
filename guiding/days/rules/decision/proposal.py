"""What the findings of a day propose; the guide decides."""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

from guiding.days.rules.limits import Finding, Scope, Verdict


class Call(StrEnum):
    """A decision on the conditions."""

    GO = "go"
    HOLD = "hold"
    CALL_OFF = "call off"


@dataclass(frozen=True, slots=True)
class Proposal:
    """A proposed decision and why; `cast_only` where the day stands but nothing may be flown."""

    call: Call
    why: str
    stops: tuple[Finding, ...]
    cautions: tuple[Finding, ...]
    cast_only: bool


def proposal(findings: Sequence[Finding], cautions_to_hold: int = 3) -> Proposal:
    """What the findings propose: a stop calls off, no forecast or many cautions hold, else go.

    Stops of flying leave the day open for casting. `cautions_to_hold` 1 or more, three without
    a source [house]. ValueError below 1.
    """
    if cautions_to_hold < 1:
        raise ValueError(f"{cautions_to_hold} cautions cannot be counted: give 1 or more.")
    of_day = [one for one in findings if one.scope is Scope.DAY]
    stops = tuple(one for one in of_day if one.verdict is Verdict.STOP)
    cautions = tuple(one for one in of_day if one.verdict is Verdict.CAUTION)
    cast_only = any(
        one.scope is Scope.FLYING and one.verdict is Verdict.STOP and one.key in _NO_FLIGHT
        for one in findings
    )
    hard = [one for one in stops if one.key != "forecast"]
    if hard:
        call, why = Call.CALL_OFF, f"over the limit: {_names(hard)}"
    elif stops:
        call, why = Call.HOLD, "there is no forecast for these hours"
    elif len(cautions) >= cautions_to_hold:
        call, why = Call.HOLD, f"{len(cautions)} cautions together: {_names(cautions)}"
    else:
        why = f"within all limits, caution: {_names(cautions)}" if cautions else "within all limits"
        call = Call.GO
    return Proposal(call, why, stops, cautions, cast_only)


def seen_mark(findings: Sequence[Finding]) -> str:
    """A short mark of what findings say: the same for the same verdicts, numbers and limits.

    The age of the forecast grows by itself and is left out, save for its verdict.
    """
    told = [
        (one.key, one.verdict.value, None if one.key == "forecast age" else one.value, one.limit)
        for one in findings
    ]
    return hashlib.sha256(repr(told).encode()).hexdigest()[:32]


# Findings that leave no hour in which anything may be flown.
_NO_FLIGHT = frozenset({"permission", "craft", "take-off mass", "may fly"})


def _names(findings: Sequence[Finding]) -> str:
    return ", ".join(one.what.lower() for one in findings)
