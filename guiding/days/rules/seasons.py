"""Closures and seasons: whether a day falls into dates that come once or every year."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date


@dataclass(frozen=True, slots=True)
class ShutDates:
    """Dates on which something is shut, both ends included; `yearly` looks at day and month only.

    Yearly dates may run over New Year; ValueError for others that end before they begin.
    """

    first_day: date
    last_day: date
    yearly: bool
    reason: str

    def __post_init__(self) -> None:
        if not self.yearly and self.last_day < self.first_day:
            raise ValueError(
                f"It is shut to {self.last_day}, before {self.first_day}: exchange the two."
            )


def falls_in(day: date, dates: ShutDates) -> bool:
    """Whether a day falls into shut dates. 29 February falls in where 28 February and 1 March do.

    Source: calendar arithmetic.
    """
    if not dates.yearly:
        return dates.first_day <= day <= dates.last_day
    first, last = ((each.month, each.day) for each in (dates.first_day, dates.last_day))
    here = (day.month, day.day)
    if first <= last:
        return first <= here <= last
    return here >= first or here <= last


def shut_because(day: date, closures: tuple[ShutDates, ...]) -> str:
    """Why something is shut on a day, the reasons together; empty where it is open."""
    return "; ".join(each.reason for each in closures if falls_in(day, each))
