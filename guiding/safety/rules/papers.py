"""Whether a paper is in date on a day."""

from __future__ import annotations

from datetime import date
from enum import StrEnum

_GRAVITY = {"in date": 0, "running out": 1, "out of date": 2, "missing": 3}


class PaperState(StrEnum):
    """How a paper stands on a day."""

    IN_DATE = "in date"
    RUNNING_OUT = "running out"
    OUT_OF_DATE = "out of date"
    MISSING = "missing"

    @property
    def gravity(self) -> int:
        """0 where all is well, more where it is worse."""
        return _GRAVITY[self.value]


def paper_state(
    *, held: bool, holds: bool, holds_until: date | None, lead_days: int, on: date
) -> PaperState:
    """How a paper stands on a day: in date, running out, out of date, or missing.

    `held`: there is such a paper at all; `holds`: one of them is valid that day; `holds_until`: the
    last day of the one that holds longest. It is running out where fewer days are left than
    renewing takes. ValueError for a lead below nought. Source: house rule.
    """
    if lead_days < 0:
        raise ValueError(f"{lead_days} days to renew cannot be: give nought or more.")
    if not held:
        return PaperState.MISSING
    if not holds or holds_until is None:
        return PaperState.OUT_OF_DATE
    return PaperState.RUNNING_OUT if (holds_until - on).days < lead_days else PaperState.IN_DATE
