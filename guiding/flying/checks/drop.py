"""All checks of a planned drop, in the order in which a guide would ask them."""

from __future__ import annotations

from guiding.flying.checks import energy, load, place, rig
from guiding.flying.checks.findings import Asked, DropPlan, Finding, Verdict
from guiding.flying.defaults import HOUSE, FlyingDefaults

_ALL = (*place.CHECKS, *energy.CHECKS, *load.CHECKS, *rig.CHECKS)
_WEIGHT = {Verdict.GO: 0, Verdict.CAUTION: 1, Verdict.STOP: 2}


def check_drop(plan: DropPlan, defaults: FlyingDefaults = HOUSE) -> tuple[Finding, ...]:
    """Everything that must agree before a planned drop is flown: one finding a check.

    Permission and people first, then wind and packs, then load and line, then the rig. Each finding
    names its number, the limit and, where it is not a go, the fix. Never raises for a plan that is
    well formed: what must not be flown comes back as a stop.
    """
    asked = Asked(plan, defaults)
    return tuple(check(asked) for check in _ALL)


def worst_verdict(findings: tuple[Finding, ...]) -> Verdict:
    """The verdict of all findings together: one stop stops, one caution cautions.

    findings: at least one; ValueError without any, because nothing checked is not a go.
    """
    if not findings:
        raise ValueError("Nothing has been checked: run the checks before asking for a verdict.")
    return max((finding.verdict for finding in findings), key=_WEIGHT.__getitem__)
