"""A decision's numbers and findings as plain values that outlive every later change."""

from __future__ import annotations

import hashlib
import json
from dataclasses import dataclass
from functools import cache
from typing import Any

from pydantic import TypeAdapter, ValidationError

from guiding.days.rules.decision.facts import DayFacts
from guiding.days.rules.decision.findings import day_findings
from guiding.days.rules.limits import Finding


@dataclass(frozen=True, slots=True)
class FrozenCopy:
    """A copy read back: the facts, the findings as they were then, and as they come out now."""

    facts: DayFacts
    then: tuple[Finding, ...]
    now: tuple[Finding, ...]

    @property
    def same(self) -> bool:
        """Whether the facts still give the findings of then."""
        return self.then == self.now


def frozen_copy(facts: DayFacts) -> dict[str, Any]:
    """The facts of a day with their findings as plain JSON values, and a digest over both."""
    plain = {
        "facts": _facts().dump_python(facts, mode="json"),
        "findings": _findings().dump_python(day_findings(facts), mode="json"),
    }
    return {**plain, "sha256": _digest(plain)}


def replayed(copy: dict[str, Any]) -> FrozenCopy:
    """A frozen copy read back, its findings worked out anew from its own facts alone.

    ValueError for a copy that was changed after it was made, or is none.
    """
    plain = {name: copy.get(name) for name in ("facts", "findings")}
    if copy.get("sha256") != _digest(plain):
        raise ValueError("The copy of this decision was changed after it was taken: look at it.")
    try:
        facts = _facts().validate_python(plain["facts"])
        then = _findings().validate_python(plain["findings"])
    except ValidationError as wrong:
        first = wrong.errors()[0]
        place = ".".join(str(part) for part in first["loc"])
        raise ValueError(f"The copy of this decision cannot be read at {place}.") from None
    return FrozenCopy(facts, then, day_findings(facts))


def _digest(plain: dict[str, Any]) -> str:
    text = json.dumps(plain, sort_keys=True, separators=(",", ":"), ensure_ascii=False)
    return hashlib.sha256(text.encode()).hexdigest()


@cache
def _facts() -> TypeAdapter[DayFacts]:
    return TypeAdapter(DayFacts)


@cache
def _findings() -> TypeAdapter[tuple[Finding, ...]]:
    return TypeAdapter(tuple[Finding, ...])
